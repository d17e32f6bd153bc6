"""The name index against plain scans: the reference implementations stand here, beside what they check."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from earwitness.taxonomy import LONGEST_NAME, NameIndex, load_checklist
from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.entries import KINDS
from earwitness.taxonomy.fold import fold, letters_of, skeleton, spoken_key
from earwitness.taxonomy.name_index import TrigramIndex

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


def ratio(one: str, other: str) -> float:
    """Normalised indel similarity: twice the longest common subsequence over both lengths (plain table)."""
    if not one and not other:
        return 1.0
    above = [0] * (len(other) + 1)
    for a in one:
        here = [0]
        for place, b in enumerate(other):
            here.append(above[place] + 1 if a == b else max(above[place + 1], here[-1]))
        above = here
    return 2 * above[-1] / (len(one) + len(other))


def trigrams(text: str) -> set[str]:
    padded = f"  {text} "
    return {padded[i : i + 3] for i in range(len(padded) - 2)}


def brute_nearest(strings: list[str], query: str, limit: int) -> list[int]:
    """Dice overlap of trigram sets with every string, best first, ties by number; none for no trigram shared."""
    if not query:
        return []
    wanted = trigrams(query)
    # Two blanks before and one after: an empty string has the one trigram of three blanks, and no query has it.
    dice = [2.0 * len(wanted & trigrams(s)) / (len(trigrams(s)) + len(wanted)) for s in strings]
    return sorted((i for i, share in enumerate(dice) if share), key=lambda i: (-dice[i], i))[:limit]


@given(
    st.lists(st.text("abc", max_size=7), max_size=25),
    st.text("abcd", max_size=7),
    st.integers(0, 30),
)
@example(["ab", "ab", "ba", "", "ab"], "ab", 2)
@example([], "ab", 3)
@example([""], "a", 3)
@example(["aaaa", "aaa", "aa", "a"], "aaaaaa", 2)
def test_nearest_is_what_a_comparison_with_every_string_gives(strings: list[str], query: str, limit: int) -> None:
    assert TrigramIndex(strings).nearest(query, limit) == brute_nearest(strings, query, limit)


@given(st.lists(st.text("abz019", max_size=6), max_size=12), st.text("abz019", max_size=6))
def test_digits_are_one_class_of_their_own(strings: list[str], query: str) -> None:
    digits = str.maketrans("019", "###")
    plain = brute_nearest([s.translate(digits) for s in strings], query.translate(digits), 12)
    assert TrigramIndex(strings).nearest(query, 12) == plain


def brute_similar(index: NameIndex, key: str) -> list[tuple[float, int]]:
    """(similarity, accepted row) of every name that shares a trigram of the skeleton, best first, one a taxon."""

    def forms(said: str) -> tuple[str, str, str]:
        letters = letters_of(said)
        return letters, fold(letters), skeleton(fold(letters))

    heard = forms(key)
    best: dict[int, float] = {}
    for entry in index.entries:
        name = forms(entry.key)
        if heard[2] and trigrams(heard[2]) & trigrams(name[2]):
            row = index.checklist.accepted(entry.row)
            best[row] = max(best.get(row, 0.0), sum(map(ratio, heard, name)) / 3)
    return sorted(((likeness, row) for row, likeness in best.items()), reverse=True)


@given(WORDS.map(spoken_key))
@example("chasey on a finneys")
@example("losophelia pertoosa")
@example("io")
@example("")
def test_similar_names_are_those_of_a_full_comparison(index: NameIndex, key: str) -> None:
    # The list is short enough for every name to be compared letter by letter.
    assert len(index.entries) < 120
    found = index.similar(key, 100)
    plain = brute_similar(index, key)
    assert [likeness for _, likeness in found] == pytest.approx([likeness for likeness, _ in plain])
    by_row = {row: likeness for likeness, row in plain}
    for entry, likeness in found:
        assert likeness == pytest.approx(by_row[index.checklist.accepted(entry.row)])
    assert index.similar(key, 3) == found[:3]


def test_every_name_is_most_like_itself(index: NameIndex) -> None:
    for entry in index.entries:
        first, likeness = index.similar(entry.key)[0]
        assert likeness == 1.0
        assert letters_of(first.key) == letters_of(entry.key)


def test_every_name_of_a_real_list_is_most_like_itself(demo_seas: Checklist) -> None:
    index = NameIndex(demo_seas)
    for entry in index.entries[::7]:
        first, likeness = index.similar(entry.key)[0]
        assert likeness == 1.0
        assert letters_of(first.key) == letters_of(entry.key)


def test_similar_takes_a_key_with_line_breaks(index: NameIndex) -> None:
    assert index.similar("glass\nsponge") == index.similar("glass sponge")


def test_a_list_of_one_name(tmp_path: Path) -> None:
    path = tmp_path / "one.csv"
    path.write_text("scientificName\nIo\n", encoding="utf-8")
    index = NameIndex(load_checklist(path))
    assert [entry.key for entry, _ in index.similar("io")] == ["io"]
    assert index.similar("xylophaga") == []
    assert index.epithets == {}
