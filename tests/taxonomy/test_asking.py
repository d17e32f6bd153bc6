"""Asking what words could be: corrections, then names that are spelt, then names that are heard."""

from __future__ import annotations

from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from earwitness.taxonomy import Corrections, NameIndex, Suggestion, ask, exact_score, load_corrections
from earwitness.taxonomy.corrections import record, undo
from earwitness.taxonomy.fold import spoken_key
from earwitness.taxonomy.heard_names import FEATURES, NameEar, Weights
from tests.taxonomy.deep_list import JUNK, index_of, name_of

EXACT, CORRECTED = exact_score("exact"), exact_score("corrected")
WORDS = st.text("abcdefghijklmnopqrstuvwxyz -'é7\n", max_size=30) | st.sampled_from(JUNK)


@pytest.fixture(scope="module")
def index(tmp_path_factory: pytest.TempPathFactory) -> NameIndex:
    return index_of(tmp_path_factory.mktemp("asking") / "list.csv")


def corrected(index: NameIndex, path: Path, *said: tuple[str, str | None]) -> Corrections:
    """Corrections in this order, a minute apart; None for no name."""
    for minute, (heard, name) in enumerate(said):
        taxon = None if name is None else index.checklist.taxon(index.checklist.find(name)[0])
        record(path, heard, taxon, now=datetime(2031, 5, 4, 10, minute, tzinfo=UTC))
    return load_corrections(path, index.checklist)


def told(index: NameIndex, found: list[Suggestion]) -> list[tuple[str, float]]:
    return [(name_of(index, suggestion.row), suggestion.score) for suggestion in found]


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("chasey on a finneys", "Chaceon affinis"),
        ("goodness decrisis", "Gammarus decorosus"),
        ("senolaria ultima", "Sinularia ultima"),
    ],
)
def test_misheard_names(index: NameIndex, heard: str, meant: str) -> None:
    first, second, *_ = ask(index, heard)
    assert name_of(index, first.row) == first.entry.text == meant
    assert 0.5 < first.score <= EXACT
    assert second.score < 0.1
    # However it is written.
    assert ask(index, f"  {heard.upper().replace(' ', '-')}!\n") == ask(index, heard)


@given(WORDS, st.integers(0, 9))
@example("glass\nsponge", 5)
@example("Venus’s flower baskets", 5)
@example("squat lobster", 1)
@example("sinularia", 3)
def test_what_holds_of_all_words(index: NameIndex, heard: str, limit: int) -> None:
    found = ask(index, heard, 200)
    assert ask(index, heard, limit) == found[:limit]
    assert all(0 <= suggestion.score <= EXACT for suggestion in found)
    assert all(one.score >= other.score for one, other in pairwise(found))
    assert len({suggestion.row for suggestion in found}) == len(found)
    for suggestion in found:
        assert index.checklist.accepted(suggestion.entry.row) == suggestion.row
        assert suggestion.score == round(suggestion.score, 3)
    if not any("a" <= char <= "z" for char in spoken_key(heard)):
        assert found == []
    # Spelt names before heard ones.
    spelt = {index.checklist.accepted(entry.row) for entry in index.exact(spoken_key(heard.replace("\n", " ")))}
    assert {suggestion.row for suggestion in found[: len(spelt)]} == spelt


def test_the_taxon_with_the_highest_share_is_first_whatever_the_limit(tmp_path: Path) -> None:
    """By a model to which all names are alike, the taxon with the most names is the likeliest."""
    index = index_of(tmp_path / "list.csv", "Io genus\nUmbellula genus\nMunididae family: squat lobster")
    vars(index)["ear"] = NameEar(index, weights=Weights(np.zeros(len(FEATURES)), 0.0))
    found = ask(index, "something", 3)
    assert name_of(index, index.ear.hear(["something"])[0][0].row) == "Io"
    assert [name for name, _ in told(index, found)] == ["Munididae", "Io", "Umbellula"]
    assert found[0].score == round((len(index.entries) - 2) / (len(index.entries) + 1), 3)
    assert ask(index, "something", 1) == found[:1]


def test_every_name_that_is_spelt_comes_first(index: NameIndex) -> None:
    for entry in index.entries:
        taxa = {index.checklist.accepted(e.row) for e in index.exact(entry.key)}
        found = ask(index, entry.key, 3)
        assert {suggestion.row for suggestion in found[: len(taxa)]} == taxa
        assert all(suggestion.score == round(EXACT / len(taxa), 3) for suggestion in found[: len(taxa)])
        assert {suggestion.entry.key for suggestion in found[: len(taxa)]} == {entry.key}


@pytest.mark.parametrize(
    ("heard", "number"), [("glass sponge", "singular"), ("glass sponges", "plural"), ("glas spunges", "plural")]
)
def test_singular_and_plural(index: NameIndex, heard: str, number: str) -> None:
    first = ask(index, heard)[0]
    assert (name_of(index, first.row), first.entry.number) == ("Hexactinellida", number)


def test_a_synonym_leads_to_the_accepted_taxon(index: NameIndex) -> None:
    first = ask(index, "lophelia pertusa")[0]
    assert (name_of(index, first.row), first.entry.text) == ("Desmophyllum pertusum", "Lophelia pertusa")


@pytest.mark.parametrize("heard", JUNK)
def test_odd_words_are_answered(index: NameIndex, heard: str) -> None:
    found = ask(index, heard)
    assert len(found) in (0, 5)
    assert sum(suggestion.score for suggestion in found) < 0.5


def test_digits_are_said_but_alone_are_no_name(index: NameIndex) -> None:
    assert ask(index, "300") == []
    assert index.similar("300") != []
    assert ask(index, "sponge 300") != []


def test_a_correction_comes_first(index: NameIndex, tmp_path: Path) -> None:
    said = corrected(index, tmp_path / "c.csv", ("gooseberry one", "Periphylla periphylla"))
    found = told(index, ask(index, "Gooseberry, one", corrections=said))
    assert found[0] == ("Periphylla periphylla", CORRECTED)
    assert len(found) == 5
    assert told(index, ask(index, "gooseberry one"))[0] != found[0]
    assert told(index, ask(index, "gooseberry two", corrections=said)) == told(index, ask(index, "gooseberry two"))


def test_a_correction_comes_before_what_is_spelt_and_what_is_heard(index: NameIndex, tmp_path: Path) -> None:
    said = corrected(index, tmp_path / "c.csv", ("glass sponge", "Farrea occa"), ("munida sarcy", "Munididae"))
    assert told(index, ask(index, "glass sponge", 2, said)) == [("Farrea occa", CORRECTED), ("Hexactinellida", EXACT)]
    (first, _), (second, score) = told(index, ask(index, "munida sarcy", 2, said))
    assert (first, second) == ("Munididae", "Munida sarsi")
    assert score <= CORRECTED


def test_of_two_corrections_the_last_comes_first(index: NameIndex, tmp_path: Path) -> None:
    said = corrected(index, tmp_path / "c.csv", ("vox gorgy", "Iridogorgia"), ("vox gorgy", "Chrysogorgia"))
    found = told(index, ask(index, "vox gorgy", corrections=said))
    assert found[:2] == [("Chrysogorgia", CORRECTED), ("Iridogorgia", round(CORRECTED / 2, 3))]
    assert all(score <= found[1][1] for _, score in found[2:])


def test_a_correction_to_a_synonym_means_the_accepted_taxon(index: NameIndex, tmp_path: Path) -> None:
    said = corrected(index, tmp_path / "c.csv", ("laughing pelter", "Lophelia pertusa"))
    assert told(index, ask(index, "laughing pelter", 1, said)) == [("Desmophyllum pertusum", CORRECTED)]


def test_words_that_somebody_said_are_no_name_give_nothing(index: NameIndex, tmp_path: Path) -> None:
    path = tmp_path / "c.csv"
    said = corrected(index, path, ("glass sponge", None), ("munida sarcy", None))
    assert ask(index, "Glass sponge", corrections=said) == ask(index, "munida sarcy", corrections=said) == []
    assert ask(index, "glass sponges", corrections=said) != []
    undo(path, index.checklist, "glass sponge", now=datetime(2031, 5, 5, tzinfo=UTC))
    assert ask(index, "glass sponge", corrections=load_corrections(path, index.checklist)) == ask(index, "glass sponge")


@pytest.mark.parametrize("names", ["海 genus", "Io genus", "X genus", "A" + "bcdefghij" * 6 + " genus"])
def test_lists_of_hardly_any_names(tmp_path: Path, names: str) -> None:
    index = index_of(tmp_path / "list.csv", names)
    for heard in [*JUNK, "io", "coral"]:
        found = ask(index, heard)
        assert len(found) <= len(index.entries) <= 1
        assert all(0 <= suggestion.score <= EXACT for suggestion in found)
    for entry in index.entries:
        (found,) = ask(index, entry.text)
        assert (found.entry, found.score) == (entry, EXACT)
