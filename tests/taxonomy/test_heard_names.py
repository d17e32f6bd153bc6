"""Names for heard words: the weighing against working it out name by name, and what must hold of every share."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from rapidfuzz import fuzz

from earwitness.taxonomy import NameIndex, load_checklist
from earwitness.taxonomy.channel import LONGEST
from earwitness.taxonomy.fold import fold, letters_of, skeleton
from earwitness.taxonomy.heard_names import FEATURES, NONE, HeardName, NameEar, Weights, learned_weights
from earwitness.taxonomy.hearing import HEARD, Ear, learned_models
from earwitness.taxonomy.pronounce import blurred, pronounce
from earwitness.taxonomy.tables import data_rows
from tests.taxonomy.deep_list import JUNK, index_of, name_of

KEY = st.text("abcdefghijklmnopqrstuvwxyz ", max_size=30) | st.sampled_from(JUNK)
MISHEARD = [
    ("chasey on a finneys", "Chaceon affinis"),
    ("goodness decrisis", "Gammarus decorosus"),
    ("senolaria ultima", "Sinularia ultima"),
    ("munida sarcy", "Munida sarsi"),
    ("calla gorgia", "Callogorgia"),
    ("vampire a toothis infer nalis", "Vampyroteuthis infernalis"),
    ("glas spunges", "Hexactinellida"),
    ("head less chicken monsta", "Enypniastes eximia"),
    ("lofelia per tusser", "Desmophyllum pertusum"),
]
"""The first three are what a recogniser made of these names; the others are made up, as an English ear might err."""


@pytest.fixture(scope="module")
def index(tmp_path_factory: pytest.TempPathFactory) -> NameIndex:
    return index_of(tmp_path_factory.mktemp("ear") / "list.csv")


def told(names: list[HeardName]) -> list[tuple[int, int, float, float, list[float]]]:
    return [(name.row, name.entry, name.fit, name.share, name.features.tolist()) for name in names]


def ratio(one: str, other: str) -> float:
    return fuzz.ratio(one, other) / 100


def plain_features(index: NameIndex, key: str, entry: int) -> dict[str, float]:
    """What the model weighs of one name, in the words of FEATURES."""
    models, name = learned_models(), index.entry(entry)
    letters, meant_letters, said, meant = letters_of(key), letters_of(name.key), pronounce(key), pronounce(name.key)
    sounds = float(models.sounds.costs([said], [meant])[0])
    spelt = float(models.letters.costs([letters], [meant_letters])[0])
    rank = index.checklist.taxon(name.row).rank if name.kind == "scientific" else ""
    of_rank = {
        "species": rank in ("species", "subspecies"),
        "genus": rank == "genus",
        "family": rank == "family",
    }
    return {
        "sounds": sounds,
        "letters": spelt,
        "soundsPerSymbol": sounds / max(len(said), len(meant)),
        "lettersPerSymbol": spelt / max(len(letters), len(meant_letters)),
        "longer": (len(meant) - len(said)) / 10,
        "otherLength": abs(len(meant) - len(said)) / 10,
        "length": len(meant) / 10,
        "sameFirstSound": said[0] == meant[0],
        "sameLastSound": said[-1] == meant[-1],
        "sameFirstLetter": letters[0] == meant_letters[0],
        **of_rank,
        "group": name.kind == "scientific" and not any(of_rank.values()),
        "vernacular": name.kind == "vernacular",
        "english": name.kind == "english",
        "letterRatio": ratio(letters, meant_letters),
        "foldRatio": ratio(fold(letters), fold(meant_letters)),
        "skeletonRatio": ratio(skeleton(fold(letters)), skeleton(fold(meant_letters))),
        "soundRatio": ratio(blurred(said), blurred(meant)),
    }


@pytest.mark.parametrize("key", [*(key for key, _ in MISHEARD), "gammarid", "squat lobster", "io"])
def test_features_fits_and_shares_are_those_worked_out_name_by_name(index: NameIndex, key: str) -> None:
    weights = learned_weights()
    odds: dict[int, float] = {}
    best: dict[int, float] = {}
    for entry in Ear(index.arrays).hear([key]).entries.tolist():
        features = plain_features(index, key, entry)
        assert list(features) == list(FEATURES)
        fit = sum(weight * features[name] for weight, name in zip(weights.features.tolist(), FEATURES, strict=True))
        row = index.accepted_rows[entry]
        odds[row] = odds.get(row, 0.0) + math.exp(fit)
        best[row] = max(best.get(row, -math.inf), fit)
    whole = sum(odds.values()) + math.exp(weights.none)
    names = index.ear.hear([key])[0]
    assert {name.row for name in names} == set(odds)
    for name in names:
        assert name.features.tolist() == pytest.approx(
            [float(v) for v in plain_features(index, key, name.entry).values()], abs=1e-5
        )
        assert index.accepted_rows[name.entry] == name.row
        assert name.fit == pytest.approx(best[name.row], abs=1e-4)
        assert name.share == pytest.approx(odds[name.row] / whole, rel=1e-3)


@given(KEY)
@example("a" * LONGEST)
def test_what_holds_of_all_words(index: NameIndex, key: str) -> None:
    (names,) = index.ear.hear([key])
    assert bool(names) == (0 < len(pronounce(key)) <= LONGEST)
    assert all(0 <= name.share <= 1 and math.isfinite(name.fit) for name in names)
    assert sum(name.share for name in names) <= 1 + 1e-9
    assert all((a.fit, -a.entry) > (b.fit, -b.entry) for a, b in pairwise(names))
    assert len({name.row for name in names}) == len(names) <= HEARD


@given(st.lists(KEY, max_size=4))
@example([])
@example(JUNK)
@example(["squat lobster", "squat lobsters", "chasey on a finneys"])
def test_queries_do_not_depend_on_each_other(index: NameIndex, keys: list[str]) -> None:
    together = index.ear.hear(keys)
    assert [told(names) for names in together] == [told(index.ear.hear([key])[0]) for key in keys]


@pytest.mark.parametrize(("heard", "meant"), MISHEARD)
def test_misheard_names_are_heard(index: NameIndex, heard: str, meant: str) -> None:
    first, second, *_ = index.ear.hear([heard])[0]
    assert name_of(index, first.row) == meant
    assert first.share > 0.5 > second.share


@pytest.mark.parametrize("words", ["so we are", "let us move", "the water", "copy that", "twenty metres"])
def test_words_that_are_no_names_are_more_likely_none(index: NameIndex, words: str) -> None:
    assert sum(name.share for name in index.ear.hear([words])[0]) < 0.5


def test_a_name_shared_by_two_taxa_is_worth_as_much_to_each(index: NameIndex) -> None:
    for key, number in (("squat lobster", "singular"), ("squat lobsters", "plural")):
        first, second, *_ = index.ear.hear([key])[0]
        # Of equal fits the lower entry stands first, to the last bit and however many names are heard.
        assert first.fit == second.fit
        assert first.share == pytest.approx(second.share, rel=1e-4)
        assert first.entry < second.entry
        assert [name_of(index, name.row) for name in (first, second)] == ["Munididae", "Munidopsidae"]
        assert {index.entry(name.entry).number for name in (first, second)} == {number}
        for heard in range(2, HEARD):
            one, other = index.ear.hear([key], heard=heard)[0][:2]
            assert (one.entry, other.entry) == (first.entry, second.entry)
            assert one.fit == other.fit == first.fit


SEA_STARS = [
    "Asteriidae",
    "Goniasteridae",
    "Solasteridae",
    "Brisingidae",
    "Pterasteridae",
    "Zoroasteridae",
    "Echinasteridae",
    "Luidiidae",
    "Astropectinidae",
    "Benthopectinidae",
    "Porcellanasteridae",
    "Freyellidae",
    "Ophidiasteridae",
]


def test_equal_fits_are_equal_to_the_last_bit_among_many(tmp_path: Path) -> None:
    index = index_of(tmp_path / "list.csv", "\n".join(f"{family} family: sea star" for family in SEA_STARS))
    for heard in range(len(SEA_STARS), HEARD):
        names = index.ear.hear(["see stars"], heard=heard)[0][: len(SEA_STARS)]
        assert len({name.fit for name in names}) == 1
        assert [name_of(index, name.row) for name in names] == SEA_STARS
        assert {index.entry(name.entry).key for name in names} == {"sea stars"}


def test_of_rows_with_one_name_the_first_is_told(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    rows = [f"{number},Munida sarsi,1" for number in range(1, 9)]
    path.write_text("\n".join(["taxonID,scientificName,acceptedNameUsageID", *rows, "9,Io,9"]), encoding="utf-8")
    index = NameIndex(load_checklist(path))
    assert [entry.row for entry in index.exact("munida sarsi")] == list(range(8))
    first = index.ear.hear(["munida sarcy"])[0][0]
    assert (first.row, index.entry(first.entry).row) == (0, 0)


def test_names_of_one_taxon_lend_it_their_shares(tmp_path: Path) -> None:
    alone = index_of(tmp_path / "one.csv", "Lophelia pertusa species")
    apart = index_of(tmp_path / "apart.csv", "Lophelia pertusa species\nLophelia pertusum species")
    joined = index_of(tmp_path / "joined.csv", "Lophelia pertusa species\nLophelia pertusum species = Lophelia pertusa")
    heard = "lofelia per tusser"
    ((one,),), (two,), ((both,),) = (i.ear.hear([heard]) for i in (alone, apart, joined))
    assert both.share == pytest.approx(sum(name.share for name in two))
    assert one.share > two[0].share > two[1].share > 0
    assert joined.entry(both.entry).text == "Lophelia pertusa"
    assert both.fit == one.fit == two[0].fit


def test_none_takes_its_share(index: NameIndex) -> None:
    weights = learned_weights()
    shares = []
    for none in (-1e3, weights.none, weights.none + 5, 1e3):
        names = NameEar(index, weights=Weights(weights.features, none)).hear(["chasey on a finneys"])[0]
        shares.append(sum(name.share for name in names))
    assert shares[0] == pytest.approx(1)
    assert shares[-1] == 0
    assert shares == sorted(shares, reverse=True)


def test_the_nearest_vectors_are_those_of_the_ear(index: NameIndex) -> None:
    numbers, cosines = index.ear.nearest(["chasey on a finneys", ""], 4)
    assert numbers.shape == cosines.shape == (2, 4)
    assert index.entry(numbers.item(0, 0)).text == "Chaceon affinis"


@pytest.mark.parametrize("names", ["", "海綿", "Io genus", "X", "A" + "bcdefghij" * 6 + " genus"])
def test_lists_of_hardly_any_names(tmp_path: Path, names: str) -> None:
    index = index_of(tmp_path / "list.csv", "海 genus\n" + names)
    for key, heard in zip(JUNK, index.ear.hear(JUNK), strict=True):
        sounding = 0 < len(pronounce(key)) <= LONGEST
        assert len(heard) == (min(1, len(index.entries)) if sounding else 0)
    assert index.ear.hear([]) == []
    assert index.ear.features(Ear(index.arrays).hear([]), []).shape == (0, len(FEATURES))


def test_a_name_of_sixty_letters_is_heard(tmp_path: Path) -> None:
    index = index_of(tmp_path / "list.csv", "A" + "bcdefghij" * 6 + " genus\nIo genus")
    (name, *_), *_ = index.ear.hear(["a" + "bcdefghij" * 5 + "bcdefghi"])
    assert index.entry(name.entry).text == "A" + "bcdefghij" * 6


def test_every_weight_has_a_source_and_stands_once() -> None:
    rows = data_rows("hearing_weights.csv")
    assert [row["term"] for row in rows] == [*FEATURES, NONE]
    assert all(row["source"] for row in rows)
    weights = learned_weights()
    assert weights.features.tolist() == [float(row["value"]) for row in rows[:-1]]
    assert np.all(np.isfinite(weights.features))
