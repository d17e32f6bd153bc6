"""The built-in demonstration dive holds together: talk, gold, heard text and checklist agree."""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[1]
DIVE = ROOT / "fixtures" / "quillmere_canyon"
STANDARD = ROOT.parent / "shared" / "standards" / "tdwg_terms.csv"

TIME = r"(\d\d):(\d\d):(\d\d\.\d{3})"
CUE = re.compile(rf"(?:(\d+)\n)?{TIME} --> {TIME}\n(?:<v ([^>]+)>)?(.+)")
COLUMNS = ("kingdom", "phylum", "class", "order", "family", "genus")
"""The ranks that have a column of their own."""
RANK_ORDER = (
    "kingdom phylum subphylum superclass class subclass infraclass superorder "
    "order suborder infraorder superfamily family genus species"
)
RANKS = {rank: n for n, rank in enumerate(RANK_ORDER.split())}
"""How far down a rank stands."""
NO_CERTAINTY = {"compared", "general"}
STATUSES = NO_CERTAINTY | {"observed", "hedged", "asked", "denied", "recalled", "elsewhere"}
CERTAINTIES = {"certain", "probable", "possible", "doubtful"}
NAMES = {
    "marker": {"dive_start", "on_bottom", "off_bottom", "dive_end", "sample", "target", "image", "highlight"},
    "measure": {"depth_m", "heading_deg", "range_m", "temperature_c", "laser_cm"},
}
"""What `name` may be in a mention of these kinds."""


def table(name: str) -> list[dict[str, str]]:
    with (DIVE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def cues(name: str) -> list[dict[str, Any]]:
    """Every cue block of a WebVTT file; a block that is not a cue fails the test that asked."""
    head, *blocks = (DIVE / name).read_text(encoding="utf-8").strip().split("\n\n")
    assert head == "WEBVTT"
    found = []
    for block in blocks:
        match = CUE.fullmatch(block)
        assert match, f"not a cue: {block!r}"
        number, h1, m1, s1, h2, m2, s2, speaker, text = match.groups()
        start = round(int(h1) * 3600 + int(m1) * 60 + float(s1), 3)
        end = round(int(h2) * 3600 + int(m2) * 60 + float(s2), 3)
        found.append({"number": number, "start": start, "end": end, "speaker": speaker, "text": text})
    return found


@pytest.fixture(scope="module")
def talk() -> list[dict[str, Any]]:
    return cues("clean.vtt")


@pytest.fixture(scope="module")
def mentions() -> list[dict[str, str]]:
    return table("gold_mentions.csv")


@pytest.fixture(scope="module")
def events() -> list[dict[str, str]]:
    return table("gold_events.csv")


@pytest.fixture(scope="module")
def taxa() -> dict[str, dict[str, str]]:
    rows = table("checklist.csv")
    by_id = {row["taxonID"]: row for row in rows}
    assert len(by_id) == len(rows), "a taxonID stands twice"
    return by_id


@pytest.fixture(scope="module")
def segments() -> list[dict[str, Any]]:
    found = json.loads((DIVE / "heard_words.json").read_text(encoding="utf-8"))["segments"]
    assert isinstance(found, list)
    return found


def lineage(taxon: dict[str, str], taxa: dict[str, dict[str, str]]) -> list[dict[str, str]]:
    """The taxon and everything above it, lowest first."""
    chain = [taxon]
    while chain[-1]["parentNameUsageID"]:
        chain.append(taxa[chain[-1]["parentNameUsageID"]])
        assert len(chain) < 30, f"{taxon['scientificName']} stands above itself"
    return chain


# The talk


@pytest.mark.parametrize("name", ["clean.vtt", "heard.vtt"])
def test_cues_follow_one_another(name: str) -> None:
    found = cues(name)
    assert len(found) > 90
    assert all(cue["start"] < cue["end"] for cue in found)
    assert all(one["end"] <= two["start"] for one, two in pairwise(found))


def test_the_true_talk_is_numbered_and_names_its_speakers(talk: list[dict[str, Any]]) -> None:
    assert [cue["number"] for cue in talk] == [str(n) for n in range(1, len(talk) + 1)]
    people = json.loads((DIVE / "dive.json").read_text(encoding="utf-8"))["people"]
    assert {cue["speaker"] for cue in talk} == set(people)


def test_the_heard_talk_covers_the_true_one_without_speakers(talk: list[dict[str, Any]]) -> None:
    heard = cues("heard.vtt")
    assert {cue["speaker"] for cue in heard} == {None}
    assert abs(heard[0]["start"] - talk[0]["start"]) < 1
    assert abs(heard[-1]["end"] - talk[-1]["end"]) < 1
    assert len(heard) != len(talk)
    for cue in talk:  # something was heard of every utterance
        assert any(h["start"] < cue["end"] and h["end"] > cue["start"] for h in heard), cue["number"]


def test_the_dive_says_that_it_is_invented_and_when_it_starts() -> None:
    dive = json.loads((DIVE / "dive.json").read_text(encoding="utf-8"))
    assert "(invented)" in dive["region"]
    assert datetime.fromisoformat(dive["start_utc"]).tzinfo is not None
    assert dive["dive"] == DIVE.name


# The heard words


def test_segments_are_the_cues_of_the_heard_text(segments: list[dict[str, Any]]) -> None:
    as_cues = [(s["start"], s["end"], s["text"]) for s in segments]
    assert as_cues == [(c["start"], c["end"], c["text"]) for c in cues("heard.vtt")]


def test_words_say_what_their_segment_says(segments: list[dict[str, Any]]) -> None:
    for segment in segments:
        assert "".join(word["word"] for word in segment["words"]) == " " + segment["text"]


def test_word_times_follow_the_rule_in_the_readme(segments: list[dict[str, Any]]) -> None:
    for segment in segments:
        start, end = segment["start"], segment["end"]
        weights = [len(word["word"].strip()) + 1 for word in segment["words"]]
        for n, word in enumerate(segment["words"]):
            share = [sum(weights[:k]) / sum(weights) for k in (n, n + 1)]
            # half a hundredth for the rounding, and a hair for its direction at a tie
            assert word["start"] == pytest.approx(start + (end - start) * share[0], abs=0.00501)
            assert word["end"] == pytest.approx(start + (end - start) * share[1], abs=0.00501)
            assert word["start"] < word["end"]
            assert word["probability"] is None  # no recogniser ran


# The gold


def test_every_mention_stands_in_its_utterance(talk: list[dict[str, Any]], mentions: list[dict[str, str]]) -> None:
    for row in mentions:
        cue = talk[int(row["utterance_no"]) - 1]
        assert row["verbatim"] in cue["text"], row
        assert (float(row["start_s"]), float(row["end_s"])) == (cue["start"], cue["end"])
    numbers = [int(row["utterance_no"]) for row in mentions]
    assert numbers == sorted(numbers)


def test_mentions_of_an_utterance_are_in_spoken_order(
    talk: list[dict[str, Any]], mentions: list[dict[str, str]]
) -> None:
    for number, cue in enumerate(talk, 1):
        at = 0
        for row in mentions:
            if int(row["utterance_no"]) == number:
                found = cue["text"].find(row["verbatim"], at)
                assert found >= 0, row
                at = found + 1


def test_mentions_use_the_words_of_the_readme(mentions: list[dict[str, str]]) -> None:
    for row in mentions:
        if row["kind"] == "sighting":
            assert row["status"] in STATUSES
            assert (row["certainty"] == "") == (row["status"] in NO_CERTAINTY), row
            assert row["certainty"] in CERTAINTIES | {""}
            assert re.fullmatch(r"(~?\d+|many)?", row["count"]), row
        else:
            assert row["kind"] == "substrate" or row["name"] in NAMES[row["kind"]], row
            assert row["event"] == row["status"] == row["certainty"] == ""
            assert re.fullmatch(r"\d+(\.\d+)?" if row["kind"] == "measure" else "", row["count"]), row
    assert Counter(row["kind"] for row in mentions).keys() == {"sighting", "marker", "substrate", "measure"}


def test_gold_names_are_accepted_names_of_the_checklist(
    mentions: list[dict[str, str]], events: list[dict[str, str]], taxa: dict[str, dict[str, str]]
) -> None:
    rank = {t["scientificName"]: t["taxonRank"] for t in taxa.values() if t["taxonomicStatus"] == "accepted"}
    for row in [row for row in mentions if row["kind"] == "sighting"] + events:
        assert rank[row["name"]] == row["rank"], row


def test_an_event_lasts_from_its_first_mention_to_its_last(
    mentions: list[dict[str, str]], events: list[dict[str, str]]
) -> None:
    assert len({row["event"] for row in events}) == len(events)
    assert {row["event"] for row in mentions} - {""} == {row["event"] for row in events}
    for event in events:
        own = [row for row in mentions if row["event"] == event["event"]]
        assert float(event["start_s"]) == min(float(row["start_s"]) for row in own)
        assert float(event["end_s"]) == max(float(row["end_s"]) for row in own)


def test_a_determination_and_a_count_were_said(mentions: list[dict[str, str]], events: list[dict[str, str]]) -> None:
    for event in events:
        own = [row for row in mentions if row["event"] == event["event"]]
        said = {row["name"] for row in own if row["status"] != "denied"}
        assert event["name"] in said, event
        assert event["count"] in {row["count"] for row in own}, event
        assert event["is_occurrence"] in {"true", "false"}
        assert event["certainty"] in CERTAINTIES
        if event["is_occurrence"] == "false":
            assert own[-1]["status"] == "denied", event
            assert event["certainty"] == "doubtful"


def test_talk_about_absent_animals_makes_no_event(mentions: list[dict[str, str]]) -> None:
    absent = [row for row in mentions if row["status"] in NO_CERTAINTY | {"recalled", "elsewhere"}]
    assert {row["status"] for row in absent} == {"general", "compared", "recalled", "elsewhere"}
    assert all(row["event"] == "" for row in absent)


def test_a_synonym_and_an_abbreviated_genus_are_said(
    mentions: list[dict[str, str]], taxa: dict[str, dict[str, str]]
) -> None:
    synonyms = {t["scientificName"]: t for t in taxa.values() if t["taxonomicStatus"] == "synonym"}
    by_name = {t["scientificName"]: t for t in taxa.values()}
    said = [row for row in mentions if row["verbatim"] in synonyms]
    assert len(said) >= 2
    for row in said:
        accepted = taxa[synonyms[row["verbatim"]]["acceptedNameUsageID"]]
        # a genus that now has one known species here ("Lophelia") may be meant as that species
        assert accepted in lineage(by_name[row["name"]], taxa)
    short = [row for row in mentions if re.fullmatch(r"[A-Z]\. [a-z]+", row["verbatim"])]
    assert len(short) >= 2
    for row in short:
        genus, epithet = row["name"].split()
        assert row["verbatim"] == f"{genus[0]}. {epithet}"


# The checklist


def test_header_is_darwin_core(taxa: dict[str, dict[str, str]]) -> None:
    """Term names: the standards body's own list, TDWG rs.tdwg.org (CC BY 4.0), where it is at hand."""
    if not STANDARD.exists():
        pytest.skip("the published list of terms is not beside this checkout")
    with STANDARD.open(encoding="utf-8", newline="") as file:
        terms = [value for row in csv.DictReader(file) for value in row.values()]
    assert set(next(iter(taxa.values()))) <= set(terms)


def test_size_and_identifiers(taxa: dict[str, dict[str, str]]) -> None:
    assert 300 <= len(taxa) <= 450
    assert list(taxa) == [f"EW:{n}" for n in range(1, len(taxa) + 1)]
    names = [row["scientificName"] for row in taxa.values()]
    assert len(set(names)) == len(names)


def test_parents_and_accepted_names_exist(taxa: dict[str, dict[str, str]]) -> None:
    for row in taxa.values():
        accepted = taxa[row["acceptedNameUsageID"]]
        assert accepted["taxonomicStatus"] == "accepted"
        if row["taxonomicStatus"] == "accepted":
            assert accepted is row
        else:
            assert row["taxonomicStatus"] == "synonym"
            assert accepted is not row
            assert accepted["taxonRank"] == row["taxonRank"]
            assert accepted["parentNameUsageID"] == row["parentNameUsageID"]
        if row["taxonRank"] == "kingdom":
            assert row["parentNameUsageID"] == ""
        else:
            assert taxa[row["parentNameUsageID"]]["taxonomicStatus"] == "accepted"
    assert 15 <= sum(row["taxonomicStatus"] == "synonym" for row in taxa.values()) <= 30


def test_a_parent_has_a_higher_rank(taxa: dict[str, dict[str, str]]) -> None:
    for row in taxa.values():
        if parent := taxa.get(row["parentNameUsageID"]):
            assert RANKS[parent["taxonRank"]] < RANKS[row["taxonRank"]], row


def test_columns_above_agree_with_the_parents(taxa: dict[str, dict[str, str]]) -> None:
    for row in taxa.values():
        accepted = taxa[row["acceptedNameUsageID"]]
        above = {taxon["taxonRank"]: taxon["scientificName"] for taxon in lineage(accepted, taxa)}
        assert {c: row[c] for c in COLUMNS} == {c: above.get(c, "") for c in COLUMNS}, row


def test_names_are_spelled_as_names(taxa: dict[str, dict[str, str]]) -> None:
    """Endings: International Code of Zoological Nomenclature, fourth edition, art. 5 (binomen) and 29.2."""
    endings = {"family": "idae", "superfamily": "oidea"}
    for row in taxa.values():
        name, rank = row["scientificName"], row["taxonRank"]
        assert re.fullmatch(r"[A-Z][a-z]+ [a-z]+" if rank == "species" else r"[A-Z][a-z]+", name), name
        assert name.endswith(endings.get(rank, "")), name
        if rank == "species" and row["taxonomicStatus"] == "accepted":
            assert name.split()[0] == row["genus"]


def test_vernaculars_are_clean(taxa: dict[str, dict[str, str]]) -> None:
    filled = [row["vernacularName"] for row in taxa.values() if row["vernacularName"]]
    assert len(filled) > 100
    for cell in filled:
        names = cell.split("|")
        assert all(name and name == name.strip() for name in names), cell
        assert len(set(names)) == len(names), cell


def test_the_readme_counts_right(
    talk: list[dict[str, Any]],
    events: list[dict[str, str]],
    segments: list[dict[str, Any]],
    taxa: dict[str, dict[str, str]],
) -> None:
    readme = (ROOT / "fixtures" / "README.md").read_text(encoding="utf-8")
    synonyms = sum(row["taxonomicStatus"] == "synonym" for row in taxa.values())
    assert f"{len(talk)} utterances, {talk[-1]['end'] / 60:.1f} minutes" in readme
    assert f"{len(segments)} segments" in readme
    assert f"{len(events)} events" in readme
    assert f"{len(taxa)} names ({synonyms} of them synonyms)" in readme
    for path in DIVE.iterdir():
        assert f"`{path.name}`" in readme
