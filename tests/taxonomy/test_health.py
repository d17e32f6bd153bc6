"""Health of a checklist: planted findings, and plain scans beside the columnar ones."""

from __future__ import annotations

import csv
import gzip
import json
from collections import defaultdict
from pathlib import Path

import pytest
from wordfreq import zipf_frequency

from earwitness.pipeline.mention import exact
from earwitness.schemas import Problem
from earwitness.taxonomy import Checklist, load_checklist
from earwitness.taxonomy.english_forms import english_forms
from earwitness.taxonomy.fold import fold, letters_of, spoken_key
from earwitness.taxonomy.health import COMMON_WORD, FEWEST_LETTERS, Finding, Health, inspect

# Real taxa, names from WoRMS and the NCBI Taxonomy, from memory; some vernaculars are bent so as to plant a finding.
LIST = """\
taxonID,parentNameUsageID,scientificName,taxonRank,taxonomicStatus,acceptedNameUsageID,genus,family,vernacularName
1,,Animalia,kingdom,accepted,1,,,animal
2,1,Amphipoda,order,accepted,2,,,
3,2,Melitidae,family,accepted,3,,,
4,1,Mellitidae,family,accepted,4,,Mellitidae,keyhole urchin
5,99,Thenea,genus,accepted,5,,Theneidae,
6,5,Thenea schmidti,species,accepted,6,,Theneidae,
7,5,Thenea schmidtii,species,accepted,7,,Theneidae,
8,1,Cancer,genus,accepted,8,,,rock crab|crab
9,8,Cancer borealis,species,accepted,9,,,rock crab
10,1,Talorchestia,genus,accepted,10,,,
11,2,Talorchestia,genus,accepted,11,,,
12,1,Munidopsis serricornis,species,accepted,12,,,squat lobster (spiny)
13,,Munidopsis tridentata,species,synonym,12,,,
14,1,Io,genus,accepted,14,,,Крап
15,1,Actiniaria,,accepted,15,,,that thing that looks like a small flower|rock crab
"""


@pytest.fixture(scope="module")
def listed(tmp_path_factory: pytest.TempPathFactory) -> Checklist:
    path = tmp_path_factory.mktemp("list") / "taxa.csv"
    path.write_text(LIST, encoding="utf-8")
    return load_checklist(path)


@pytest.fixture(scope="module")
def health(listed: Checklist) -> Health:
    return inspect(listed)


def finding(health: Health, code: str) -> Finding:
    (found,) = (one for one in health.findings if one.code == code)
    return found


@pytest.mark.parametrize(
    ("code", "count", "of", "cases"),
    [
        ("withoutRank", 1, 14, [(("Actiniaria",), "")]),
        ("withoutParent", 1, 14, [(("Animalia",), "kingdom")]),
        ("orphans", 1, 14, [(("Thenea",), "parent 99")]),
        ("genusNotListed", 1, 4, [(("Munidopsis",), "1 species")]),
        ("homonyms", 1, 14, [(("Talorchestia",), "genus 10, genus 11")]),
        (
            "sharedVernaculars",
            1,
            6,
            [(("rock crab",), "Cancer, Cancer borealis, Actiniaria")],
        ),
        (
            "soundAlike",
            2,
            20,
            [
                (("Melitidae", "Mellitidae"), "of no common family"),
                (("Thenea schmidti", "Thenea schmidtii"), "genus Thenea"),
            ],
        ),
        ("everydayNames", 2, 14, None),
        ("everydayVernaculars", 2, 6, None),
        ("tooShort", 1, 24, [(("Io",), "genus")]),
        ("tooLong", 1, 24, [(("that thing that looks like a small flower",), "")]),
        ("neverSaid", 2, 24, [(("squat lobster (spiny)",), "( )"), (("Крап",), "К р а п")]),
    ],
)
def test_planted_finding(
    code: str, count: int, of: int, cases: list[tuple[tuple[str, ...], str]] | None, health: Health
) -> None:
    found = finding(health, code)
    told = [(item.names, item.note) for item in found.items]
    assert (found.count, found.of) == (count, of), told
    if cases is not None:
        assert told == cases
    assert found.title
    assert found.remedy.endswith(".")


def test_everyday_words_stand_in_the_order_of_their_use(health: Health) -> None:
    assert [item.names for item in finding(health, "everydayNames").items] == [("Cancer",), ("Io",)]
    words = [item.names[0] for item in finding(health, "everydayVernaculars").items]
    assert words == sorted(["animal", "crab"], key=lambda word: -zipf_frequency(word, "en"))


def test_everyday_is_what_the_mention_stage_takes_it_to_be() -> None:
    assert COMMON_WORD == exact.COMMON_WORD


def test_names_are_counted_by_kind_and_rank(health: Health) -> None:
    assert health.kinds == {
        "accepted": 14,
        "synonym": 1,
        "vernacular": 9,
        "english": sum(len(english_forms(*named)) for named in [("Melitidae", "family"), ("Mellitidae", "family")])
        + len(english_forms("Amphipoda", "order")),
    }
    by_rank = {rank.rank: (rank.accepted, rank.synonyms, rank.vernaculars) for rank in health.ranks}
    assert by_rank == {
        "genus": (5, 0, 3),
        "species": (4, 1, 2),
        "family": (2, 0, 1),
        "order": (1, 0, 0),
        "kingdom": (1, 0, 1),
        "": (1, 0, 2),
    }
    assert [rank.accepted for rank in health.ranks] == sorted((r.accepted for r in health.ranks), reverse=True)


def test_problems_are_those_of_loading_or_those_given(listed: Checklist, health: Health) -> None:
    assert [item.note for item in finding(health, "onLoading").items] == [str(p) for p in listed.problems]
    assert any("homonym" in item.note for item in finding(health, "onLoading").items)
    told = inspect(listed, [Problem("a.csv", 3, "odd")])
    assert [item.note for item in finding(told, "onLoading").items] == ["a.csv:3: odd"]
    assert finding(inspect(listed, []), "onLoading").count == 0


def test_json_holds_all_of_it(health: Health) -> None:
    told = json.loads(json.dumps(health.to_json()))
    assert [f["code"] for f in told["findings"]] == [f.code for f in health.findings]
    assert told["findings"][6]["items"][0] == {"names": ["Melitidae", "Mellitidae"], "note": "of no common family"}
    assert told["kinds"] == health.kinds


@pytest.mark.parametrize(
    "text", ["scientificName\nIo\n", "scientificName\n深海\n", "scientificName,vernacularName\nIo,|\n"]
)
def test_the_shortest_lists(text: str, tmp_path: Path) -> None:
    path = tmp_path / "one.csv"
    path.write_text(text, encoding="utf-8")
    health = inspect(load_checklist(path))
    assert health.kinds == {"accepted": 1, "synonym": 0, "vernacular": 0, "english": 0}
    assert finding(health, "withoutParent").count == finding(health, "withoutRank").count == 1
    assert finding(health, "soundAlike").count == 0


def plain_names(checklist: Checklist) -> list[tuple[str, str, int, str]]:
    """Text, spoken key, accepted row and kind of every name, one by one."""
    names = []
    for one in checklist:
        kind = "accepted" if one.accepted == one.index else "synonym"
        names.append((one.scientific_name, spoken_key(one.scientific_name), one.accepted, kind))
        names += [(said, spoken_key(said), one.accepted, "vernacular") for said in one.vernaculars]
    return names


@pytest.fixture(scope="module", params=["planted", "demo_seas"])
def any_list(request: pytest.FixtureRequest) -> Checklist:
    found = request.getfixturevalue("listed" if request.param == "planted" else request.param)
    assert isinstance(found, Checklist)
    return found


def test_sound_alikes_are_those_of_a_plain_scan(any_list: Checklist) -> None:
    sounds = defaultdict(list)
    for text, key, row, _ in plain_names(any_list):
        if key:
            sounds[fold(letters_of(key))].append((text, key, row))
    plain = {
        frozenset(key for _, key, _ in names)
        for names in sounds.values()
        if len({row for *_, row in names}) > 1 and len({key for _, key, _ in names}) > 1
    }
    found = finding(inspect(any_list), "soundAlike")
    assert {frozenset(map(spoken_key, item.names)) for item in found.items} == plain
    assert found.count == len(plain)


def test_everyday_names_are_those_of_a_plain_scan(any_list: Checklist) -> None:
    names = plain_names(any_list)
    health = inspect(any_list)
    for code, kinds in (("everydayNames", {"accepted", "synonym"}), ("everydayVernaculars", {"vernacular"})):
        keys = {key for _, key, _, kind in names if kind in kinds and key and " " not in key}
        plain = {key for key in keys if zipf_frequency(key, "en") >= COMMON_WORD}
        assert {spoken_key(item.names[0]) for item in finding(health, code).items} == plain


def test_short_names_and_shared_vernaculars_are_those_of_a_plain_scan(any_list: Checklist) -> None:
    names = plain_names(any_list)
    health = inspect(any_list)
    short = sorted(text for text, key, *_ in names if 0 < len(letters_of(key)) < FEWEST_LETTERS)
    assert sorted(item.names[0] for item in finding(health, "tooShort").items) == short
    rows = defaultdict(set)
    for _, key, row, _ in names:
        rows[key].add(row)
    shared = {key for _, key, _, kind in names if kind == "vernacular" and key and len(rows[key]) > 1}
    assert {spoken_key(item.names[0]) for item in finding(health, "sharedVernaculars").items} == shared


def test_counts_of_a_large_list_are_those_of_its_file(marine_ncbi: Checklist, marine_ncbi_path: Path) -> None:
    """Counted again with Python's csv module from the file itself."""
    health = inspect(marine_ncbi)
    with gzip.open(marine_ncbi_path, "rt", encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert health.kinds["accepted"] == len(rows)
    assert health.kinds["vernacular"] == sum(bool(row["vernacularName"]) for row in rows)
    genera = {row["scientificName"].lower() for row in rows}
    species = [row["scientificName"] for row in rows if row["taxonRank"] == "species"]
    assert finding(health, "genusNotListed").of == len(species)
    assert finding(health, "genusNotListed").count == sum(n.split()[0].lower() not in genera for n in species)
    ids = {row["taxonID"] for row in rows}
    outside = sum(bool(row["parentNameUsageID"]) and row["parentNameUsageID"] not in ids for row in rows)
    assert finding(health, "orphans").count <= outside
