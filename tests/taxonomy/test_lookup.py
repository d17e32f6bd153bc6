"""Search as one types, on a small list and on the demo's: how names are found, their order, and hostile input."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from earwitness.taxonomy import Corrections, Found, NameIndex, load_checklist, load_corrections, search, warm_up
from earwitness.taxonomy.corrections import record
from earwitness.taxonomy.fold import spoken_key
from earwitness.taxonomy.lookup_marks import marks
from earwitness.taxonomy.lookup_words import LONGEST_WORD, NameWords
from earwitness.taxonomy.mapped import Strings

LIST = """\
taxonID,acceptedNameUsageID,parentNameUsageID,scientificName,taxonRank,taxonomicStatus,vernacularName
1,1,,Munididae,family,accepted,
2,2,1,Munida,genus,accepted,squat lobster
3,3,2,Munida sarsi,species,accepted,
4,4,2,Munida quadrispina,species,accepted,
5,3,2,Munida bamffica sarsii,species,synonym,
6,6,,Munna,genus,accepted,
7,7,,Chaceon,genus,accepted,
8,8,7,Chaceon affinis,species,accepted,deep-sea red crab
9,9,,Thyasira sarsi,species,accepted,
10,10,,Ælurus,genus,accepted,Maud’s café crab
11,11,,Paragorgia arborea,species,accepted,bubblegum coral
12,12,,Codium,genus,accepted,
13,13,,Gadus,genus,accepted,cod
"""


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> NameIndex:
    place = tmp_path_factory.mktemp("lookup") / "taxa.csv"
    place.write_text(LIST, encoding="utf-8")
    return NameIndex(load_checklist(place))


@pytest.fixture(scope="module")
def demo() -> NameIndex:
    index = NameIndex(load_checklist(Path(__file__).parents[2] / "fixtures" / "quillmere_canyon" / "checklist.csv"))
    warm_up(index)
    return index


def names(found: list[Found], index: NameIndex) -> list[str]:
    return [index.checklist.taxon(hit.row).scientific_name for hit in found]


@pytest.mark.parametrize(
    ("typed", "first", "how", "marked"),
    [
        ("mun", "Munna", "prefix", ["Mun"]),
        ("MUNIDA S", "Munida sarsi", "prefix", ["Munida", "s"]),
        ("mun sar", "Munida sarsi", "words", ["Mun", "sar"]),
        ("m. q", "Munida quadrispina", "words", ["M", "q"]),
        ("quadr", "Munida quadrispina", "prefix", ["quadr"]),
        ("red cr", "Chaceon affinis", "prefix", ["red", "cr"]),
        ("deep-sea", "Chaceon affinis", "prefix", ["deep", "sea"]),
        ("mauds caf", "Ælurus", "prefix", ["Maud’s", "caf"]),
        ("aelu", "Ælurus", "prefix", ["Ælu"]),
        ("bamff", "Munida sarsi", "prefix", ["bamff"]),
        ("chaseon", "Chaceon", "spelling", ["Chaceon"]),
        ("paragorgai arb", "Paragorgia arborea", "spelling", ["Paragorgia", "arb"]),
        ("chasey on a finneys", "Chaceon affinis", "sound", []),
        ("cod", "Gadus", "prefix", ["cod"]),
    ],
)
def test_what_is_first(small, typed, first, how, marked):
    hit = search(small, typed)[0]
    assert (small.checklist.taxon(hit.row).scientific_name, hit.how) == (first, how)
    assert [hit.entry.text[begin:end] for begin, end in hit.marks] == marked


def test_a_synonym_leads_to_the_accepted_taxon_once(small):
    found = search(small, "sarsi")
    assert names(found, small) == ["Munida sarsi", "Thyasira sarsi"]
    assert [hit.entry.text for hit in found] == ["Munida sarsi", "Thyasira sarsi"]


def test_favoured_taxa_come_first_where_they_match(small):
    assert names(search(small, "mu", favoured=[3]), small)[0] == "Munida quadrispina"
    assert names(search(small, "mu", favoured={3: 0.2, 2: 0.9}), small)[:2] == ["Munida sarsi", "Munida quadrispina"]
    assert names(search(small, "sarsi", favoured=[8, 6]), small)[0] == "Thyasira sarsi"
    assert "Chaceon" not in names(search(small, "mu", favoured=[6]), small)
    # Somebody who typed a whole name means it.
    assert names(search(small, "munida", favoured=[3]), small)[:2] == ["Munida", "Munida quadrispina"]


def test_nothing_typed_shows_the_favoured(small):
    assert names(search(small, "  ", favoured={7: 0.1, 4: 0.7}), small) == ["Munida sarsi", "Chaceon affinis"]
    assert search(small, "") == []
    assert search(small, "?!", favoured=[3]) == []


def test_rows_that_are_not_there_are_not_favoured(small):
    assert search(small, "mun", favoured=[-1, 10**6]) == search(small, "mun")


def test_what_people_said_of_words_comes_first(small, tmp_path):
    place = tmp_path / "taxa.corrections.csv"
    record(place, "cod", small.checklist.taxon(5))
    corrections: Corrections = load_corrections(place, small.checklist)
    found = search(small, "cod", corrections=corrections)
    assert names(found, small)[:2] == ["Munna", "Gadus"]
    assert found[0].how == "words"


@pytest.mark.parametrize("limit", [0, -1, 1, 3, 100])
def test_no_more_than_asked_for(small, limit):
    found = search(small, "m", limit=limit)
    assert len(found) == max(0, min(limit, 6))
    assert len({hit.row for hit in found}) == len(found)


@pytest.mark.parametrize(
    "typed",
    ["a" * 10_000, "mun " * 3_000, "\0\x1b[2J", "\ud800mun", "\n\n", "e\u0301" * 500, "ﬃ", "١٢٣", "' OR 1=1; --", "é"],
)
def test_hostile_letters_are_harmless(small, typed):
    for hit in search(small, typed, favoured=[3]):
        assert all(0 <= begin < end <= len(hit.entry.text) for begin, end in hit.marks)


def test_a_list_without_names(tmp_path):
    place = tmp_path / "none.csv"
    place.write_text("scientificName\n?\n", encoding="utf-8")
    assert search(NameIndex(load_checklist(place)), "mun") == []


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_favoured_names_own_beginning_always_finds_it(demo, data):
    entry = demo.entry(data.draw(st.integers(0, len(demo.entries) - 1)))
    typed = entry.key[: data.draw(st.integers(1, len(entry.key)))]
    row = demo.checklist.accepted(entry.row)
    assert row in [hit.row for hit in search(demo, typed, limit=2, favoured=[row])]


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_one_wrong_letter_finds_it_among_twelve(demo, data):
    entry = demo.entry(data.draw(st.integers(0, len(demo.entries) - 1)))
    places = [i for i, char in enumerate(entry.key) if char.isalpha()]
    if any(len(word) < 4 for word in entry.key.split()) or len(entry.key) < 5:
        return
    at = data.draw(st.sampled_from(places))
    wrong = data.draw(st.sampled_from("abcdefghijklmnopqrstuvwxyz".replace(entry.key[at], "")))
    typed = entry.key[:at] + wrong + entry.key[at + 1 :]
    assert demo.checklist.accepted(entry.row) in [hit.row for hit in search(demo, typed)]


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=30), st.lists(st.integers(0, 40), max_size=5))
def test_the_same_letters_give_the_same_names(demo, typed, favoured):
    found = search(demo, typed, favoured=favoured)
    assert found == search(demo, typed, favoured=favoured)
    for hit in found:
        assert hit.row == demo.checklist.accepted(hit.row)
        assert all(0 <= begin < end <= len(hit.entry.text) for begin, end in hit.marks)


keys = st.lists(st.from_regex(r"[abc]{1,9}( [abc]{1,9}){0,3}", fullmatch=True), max_size=12)


@settings(max_examples=100, deadline=None)
@given(keys, st.from_regex(r"[abc]{1,6}( [abc]{1,3})?", fullmatch=True))
def test_beginnings_against_looking_at_every_word(listed, typed):
    words = NameWords.of(Strings.of(listed))
    ends = [(e, n) for e, key in enumerate(listed) for n in range(len(key.split())) if _from(key, n).startswith(typed)]
    found = words.beginning(typed)
    assert sorted(zip(words.entries[found].tolist(), words.ordinals[found].tolist(), strict=True)) == ends


def _from(key: str, word: int) -> str:
    return " ".join(key.split()[word:])


@settings(max_examples=150, deadline=None)
@given(keys, st.from_regex(r"[abcd]{1,18}", fullmatch=True), st.integers(0, 2))
def test_distances_against_rapidfuzz(listed, typed, most):
    """Myers' bits against the plain edit distance to every beginning; and near words are all that are near."""
    words = NameWords.of(Strings.of(listed))
    spelt = [bytes(column[column > 0]).decode() for column in words.letters.T]
    cut = typed[:LONGEST_WORD]
    expected = [min(Levenshtein.distance(cut, word[:n]) for n in range(len(word) + 1)) for word in spelt]
    assert words.distances(typed).tolist() == expected
    places, distances = words.near(typed, most)
    wanted = [(p, d) for w, d in enumerate(expected) if d <= most for p in range(words.words[w], words.words[w + 1])]
    assert list(zip(places.tolist(), distances.tolist(), strict=True)) == wanted


@given(st.text(max_size=20), st.lists(st.text("abcdeé", min_size=1, max_size=5).map(spoken_key), max_size=4))
def test_marks_are_in_order_and_apart(text, tokens):
    spans = np.array([at for span in marks(text, tokens) for at in span], dtype=int)
    assert all(begin < end for begin, end in zip(spans[::2], spans[1::2], strict=True))
    assert (np.diff(spans) >= 0).all()
    assert not len(spans) or (spans[0] >= 0 and spans[-1] <= len(text))
