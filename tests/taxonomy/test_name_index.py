"""The name index against plain scans: the reference implementations stand here, beside what they check."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from earwitness.taxonomy import LONGEST_NAME, NameIndex, load_checklist
from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.entries import KINDS
from earwitness.taxonomy.fold import spoken_key
from earwitness.taxonomy.pronounce import pronounce

# name, rank, accepted name, vernaculars; real taxa, WoRMS (marinespecies.org) from memory.
ROWS = [
    ("Hexactinellida", "class", "", "glass sponge"),
    ("Ophiuroidea", "class", "", "brittle star|serpent star"),
    ("Asteroidea", "class", "", "sea star|starfish|seastar"),
    ("Desmophyllum pertusum", "species", "", "spider hazards|cold-water coral"),
    ("Lophelia pertusa", "species", "Desmophyllum pertusum", ""),
    ("Lophelia", "genus", "Desmophyllum", ""),
    ("Desmophyllum", "genus", "", ""),
    ("Chaceon affinis", "species", "", "deep-sea red crab"),
    ("Chaceon", "genus", "", ""),
    ("Munididae", "family", "", "squat lobster"),
    ("Munidopsidae", "family", "", "squat lobster"),
    ("Munida sarsi", "species", "", "Sars's squat lobster"),
    ("Stauromedusae", "order", "", "stalked jellyfish"),
    ("Io", "genus", "", ""),
    ("Euplectella aspergillum", "species", "", "Venus's flower basket|Venus’ flower basket"),
    ("Torquaratoridae", "family", "", "a very long name of many words that nobody says"),
    ("Bathynomus giganteus", "species", "", "giant isopod"),
    ("Grimpoteuthis", "genus", "", "dumbo octopus"),
]
WORDS = st.text("abcehiknoprst ", max_size=14)


@pytest.fixture(scope="module")
def index(tmp_path_factory: pytest.TempPathFactory) -> NameIndex:
    path = tmp_path_factory.mktemp("names") / "list.csv"
    with path.open("w", encoding="utf-8", newline="") as out:
        table = csv.writer(out)
        table.writerow(
            ["taxonID", "scientificName", "taxonRank", "acceptedNameUsageID", "taxonomicStatus", "vernacularName"]
        )
        for name, rank, accepted, spoken in ROWS:
            table.writerow([name, name, rank, accepted or name, "synonym" if accepted else "accepted", spoken])
    return NameIndex(load_checklist(path))


def test_exact_look_up_is_a_plain_scan_of_the_entries(index: NameIndex) -> None:
    for key in {entry.key for entry in index.entries} | {"", "nothing", "sponge", "glass"}:
        assert index.exact(key) == tuple(entry for entry in index.entries if entry.key == key)


def test_an_entry_is_the_same_however_it_is_asked_for(index: NameIndex) -> None:
    entries = list(index.entries)
    assert [index.entry(i) for i in range(len(index.entries))] == entries
    assert index.entries[3:9:2] == tuple(entries[3:9:2])
    assert index.entries[-1] == entries[-1]
    with pytest.raises(IndexError):
        index.entries[len(entries)]


def test_what_is_kept_by_entry(index: NameIndex) -> None:
    names, tables = index.checklist, index.tables
    for i, entry in enumerate(index.entries):
        assert index.accepted_rows[i] == names.accepted(entry.row)
        assert KINDS[index.kinds[i]] == entry.kind
        assert tables.rank_names[index.ranks[i]] == names.taxon(entry.row).rank
    assert tables.rank_names[0] == "species"


SAID = st.lists(
    st.sampled_from([*{word for row in ROWS for word in spoken_key(" ".join(row)).split()}, "", "the", "glass sponge"]),
    max_size=8,
)


@given(SAID)
@example(["glass", "sponge", "glass"])
@example(["munida", "sarsi", "munida"])
@example(["lophelia", "pertusa"])
@example(["glass sponge", "io"])
@example(["sarss", "squat", "lobster", "s"])
@example(["", "io"])
@example(["io", "", "munida"])
def test_the_names_that_words_begin_with(index: NameIndex, words: list[str]) -> None:
    """Against one exact look-up for each number of words."""
    runs = range(min(len(words), LONGEST_NAME), 0, -1)
    plain = [count for count in runs if index.exact(" ".join(words[:count]))]
    assert index.name_lengths(words) == plain
    assert index.exact_prefixes(words) == max(plain, default=0)
    assert index.known(words).tolist() == [bool(index.exact(word)) for word in words]


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("glass sponge", [("Hexactinellida", "vernacular", "singular")]),
        ("glass sponges", [("Hexactinellida", "vernacular", "plural")]),
        ("hexactinellid", [("Hexactinellida", "english", "singular")]),
        ("hexactinellids", [("Hexactinellida", "english", "plural")]),
        ("squat lobster", [("Munididae", "vernacular", "singular"), ("Munidopsidae", "vernacular", "singular")]),
        ("sarss squat lobsters", [("Munida sarsi", "vernacular", "plural")]),
        ("deep sea red crab", [("Chaceon affinis", "vernacular", "singular")]),
        ("lophelia pertusa", [("Lophelia pertusa", "scientific", "")]),
        ("stauromedusae", [("Stauromedusae", "scientific", "")]),
        ("stauromedusa", [("Stauromedusae", "english", "singular")]),
        ("venuss flower basket", [("Euplectella aspergillum", "vernacular", "singular")]),
        ("venus flower baskets", [("Euplectella aspergillum", "vernacular", "plural")]),
    ],
)
def test_the_ways_a_taxon_may_be_said(index: NameIndex, key: str, said: list[tuple[str, str, str]]) -> None:
    names = index.checklist
    assert [(names.taxon(e.row).scientific_name, e.kind, e.number) for e in index.exact(key)] == said


def test_every_name_of_the_list_can_be_said_but_the_longest(index: NameIndex) -> None:
    for row, (name, _, _, vernaculars) in enumerate(ROWS):
        for said in [name, *filter(None, vernaculars.split("|"))]:
            key = spoken_key(said)
            found = row in [entry.row for entry in index.exact(key)]
            assert found == (len(key.split()) <= LONGEST_NAME)


def test_no_row_has_a_key_twice(index: NameIndex) -> None:
    keys = [(entry.key, entry.row) for entry in index.entries]
    assert len(set(keys)) == len(keys)
    assert index.first_words == {entry.key.split()[0] for entry in index.entries}
    assert index.words == {word for entry in index.entries for word in entry.key.split()}


def test_epithets_lead_to_their_rows(index: NameIndex) -> None:
    names = index.checklist
    said = {e: sorted(names.taxon(row).scientific_name for row in rows) for e, rows in index.epithets.items()}
    assert said == {
        "pertusum": ["Desmophyllum pertusum"],
        "pertusa": ["Lophelia pertusa"],
        "affinis": ["Chaceon affinis"],
        "sarsi": ["Munida sarsi"],
        "aspergillum": ["Euplectella aspergillum"],
        "giganteus": ["Bathynomus giganteus"],
    }


KEY = WORDS.map(spoken_key)


@given(KEY)
@example("chasey on a finneys")
@example("losophelia pertoosa")
@example("io")
@example("")
def test_similar_names_are_one_a_taxon_with_their_shares(index: NameIndex, key: str) -> None:
    found = index.similar(key, 100)
    rows = [index.checklist.accepted(entry.row) for entry, _ in found]
    assert bool(found) == bool(pronounce(key))
    assert len(set(rows)) == len(rows)
    assert all(0 <= share <= 1 for _, share in found)
    assert sum(share for _, share in found) <= 1 + 1e-9
    assert [index.similar(key, limit) for limit in (0, 1, 3)] == [found[:0], found[:1], found[:3]]
    (heard,) = index.ear.hear([key])
    assert found == [(index.entry(name.entry), name.share) for name in heard]


@given(KEY)
@example("chasey on a finneys")
@example("squat lobsters")
def test_two_indexes_of_one_list_say_the_same(index: NameIndex, key: str) -> None:
    assert NameIndex(index.checklist, index.tables, index.arrays).similar(key, 100) == index.similar(key, 100)


def test_two_indexes_of_one_list_hear_by_the_same_arrays(index: NameIndex) -> None:
    one, other = index.arrays, NameIndex(index.checklist).arrays
    assert set(one) == set(other) == {"graph", "sounds", "letters"}
    assert all(np.array_equal(one[name], other[name]) for name in one)


@pytest.mark.parametrize(
    ("heard", "name"),
    [
        ("chasey on a finneys", "Chaceon affinis"),
        ("losophelia pertoosa", "Desmophyllum pertusum"),
        ("brittel stars", "Ophiuroidea"),
        ("jiant i so pod", "Bathynomus giganteus"),
        ("grimp oh toothis", "Grimpoteuthis"),
    ],
)
def test_misheard_names_are_found(index: NameIndex, heard: str, name: str) -> None:
    entry, share = index.similar(heard)[0]
    assert index.checklist.taxon(index.checklist.accepted(entry.row)).scientific_name == name
    assert share > 0.5


def own_place(index: NameIndex, key: str) -> int:
    """Place, from 0, of the first taxon of this name among those that its own key may be heard for."""
    own = {index.checklist.accepted(entry.row) for entry in index.exact(key)}
    rows = [index.checklist.accepted(entry.row) for entry, _ in index.similar(key, 100)]
    return next(place for place, row in enumerate(rows) if row in own)


def test_every_name_is_heard_for_itself(index: NameIndex) -> None:
    assert [entry.key for entry in index.entries if own_place(index, entry.key)] == []


def test_nearly_every_name_of_a_real_list_is_heard_for_itself(demo_seas: Checklist) -> None:
    """Not all: what kind of name it is weighs too, so that a family outdoes an order one letter away."""
    index = NameIndex(demo_seas)
    places = [own_place(index, entry.key) for entry in index.entries[::7]]
    assert len(places) > 100
    assert sum(place == 0 for place in places) >= 0.98 * len(places)


def test_similar_takes_a_key_with_line_breaks(index: NameIndex) -> None:
    assert index.similar("glass\nsponge") == index.similar("glass sponge") != []


def test_a_list_of_one_name(tmp_path: Path) -> None:
    path = tmp_path / "one.csv"
    path.write_text("scientificName\nXylophaga\n", encoding="utf-8")
    index = NameIndex(load_checklist(path))
    ((entry, share),) = index.similar("zylo faga")
    assert (entry.key, share > 0.5) == ("xylophaga", True)
    ((entry, share),) = index.similar("thruster")
    assert (entry.key, share < 0.01) == ("xylophaga", True)
    assert index.similar("") == []
    assert index.epithets == {}


def test_a_list_without_names_that_can_be_said(tmp_path: Path) -> None:
    path = tmp_path / "none.csv"
    path.write_text("scientificName\n海綿\n", encoding="utf-8")
    index = NameIndex(load_checklist(path))
    assert (len(index.checklist), len(index.entries)) == (1, 0)
    assert index.similar("sponge") == []
    assert index.exact("sponge") == ()
