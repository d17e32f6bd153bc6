"""The blind dives are what their scripts and their README say. Nothing here runs the program on them."""

from __future__ import annotations

import copy
import json
import re
from collections import Counter
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline.score.gold import read_gold
from tests.unseen import OPENED
from tests.unseen.build import (
    DIVES,
    HERE,
    KINDS,
    MARKERS,
    MEASURES,
    RAW_WORDS,
    STATUSES,
    Script,
    files,
    problems,
    raw_words,
    read_names,
    read_script,
)

CUE = re.compile(r"(\d\d):(\d\d):(\d\d)\.(\d{3}) --> (\d\d):(\d\d):(\d\d)\.(\d{3})\n(.+)")


@pytest.fixture(params=DIVES)
def script(request: pytest.FixtureRequest) -> Script:
    return read_script(HERE / request.param)


def tally(script: Script) -> Counter[str]:
    """The figures of the README."""
    gold = [mention for turn in script.utterances for mention in turn.gold]
    counted = Counter(mention["status"] if mention["kind"] == "sighting" else mention["kind"] for mention in gold)
    counted["utterances"] = len(script.utterances)
    counted["events"] = len(script.events)
    counted["of them occurrences"] = sum(event["is_occurrence"] for event in script.events)
    return counted


def cues(text: str) -> list[tuple[float, float, str]]:
    found = []
    for cue in CUE.finditer(text):
        h, m, s, ms, h2, m2, s2, ms2 = (int(part) for part in cue.groups()[:8])
        start, end = 3600 * h + 60 * m + s + ms / 1000, 3600 * h2 + 60 * m2 + s2 + ms2 / 1000
        found.append((start, end, cue.group(9)))
    return found


def test_every_folder_is_a_dive() -> None:
    assert sorted(DIVES) == sorted(path.parent.name for path in HERE.glob("*/script.jsonl"))


def test_readme_says_which_dives_are_open() -> None:
    rows = re.findall(r"^\| `(\w+)` \| (open|blind) \|", (HERE / "README.md").read_text("utf-8"), re.M)
    assert dict(rows) == {dive: "open" if dive in OPENED else "blind" for dive in DIVES}
    assert set(OPENED) < set(DIVES)


def test_the_files_are_those_that_the_scripts_give(script: Script) -> None:
    for name, text in files(script).items():
        assert (HERE / script.dive / name).read_text("utf-8") == text, name


def test_no_script_breaks_a_rule(script: Script) -> None:
    assert problems(script) == []
    assert 70 <= len(script.utterances) <= 110


def test_names_are_accepted_names_of_the_checklist_with_their_rank(script: Script, shared: Path) -> None:
    assert problems(script, read_names(shared / "checklists" / "demo_seas.csv")) == []


def test_the_tables_are_written_as_those_of_the_development_dives(shared: Path) -> None:
    """Same rows but for the times, which come from audio there."""
    folders = sorted(path.parent for path in (shared / "narrations").glob("*/script.jsonl"))
    assert folders
    for folder in folders:
        made = files(read_script(folder))
        for name in ("gold_mentions.csv", "gold_events.csv"):
            times = re.compile(r"\b\d+\.\d{3},\d+\.\d{3}\b")
            assert times.sub("", made[name]) == times.sub("", (folder / name).read_text("utf-8")), folder.name


def test_meta_has_the_keys_of_a_dive(script: Script) -> None:
    meta = json.loads((HERE / script.dive / "meta.json").read_text("utf-8"))
    assert set(meta) == {"dive", "region", "start_utc", "start_depth_m", "vehicle", "register"}
    assert meta["dive"] == script.dive
    assert "(invented)" in meta["region"]


def test_gold_can_be_read(script: Script) -> None:
    folder = HERE / script.dive
    mentions = read_gold(folder / "gold_mentions.csv").mentions
    events = read_gold(folder / "gold_events.csv").events
    assert mentions is not None
    assert events is not None
    assert len(mentions) == sum(len(turn.gold) for turn in script.utterances)
    assert [event.event for event in events] == [event["event"] for event in script.events]
    assert all(event.start < event.end for event in events)


def test_clean_times_follow_the_plain_rule(script: Script) -> None:
    found = cues(files(script)["clean.vtt"])
    assert [text for _, _, text in found] == [f"<v {turn.speaker}>{turn.text}" for turn in script.utterances]
    for start, end, text in found:
        assert end - start == pytest.approx(len(text.split(">", 1)[1].split()) / 2.6 + 0.3, abs=0.001)
    assert all(before[1] < after[0] for before, after in pairwise(found))


def test_raw_captions_are_the_same_words_cut_anywhere(script: Script) -> None:
    found = cues(files(script)["raw.vtt"])
    words = " ".join(text for _, _, text in found)
    assert words.split() == raw_words(" ".join(turn.text for turn in script.utterances))
    assert re.fullmatch(r"[a-z' ]+", words)
    assert max(len(text.split()) for _, _, text in found) == RAW_WORDS
    assert all(before[1] <= after[0] for before, after in pairwise(found))
    ends = {turn.end for turn in script.utterances}
    assert sum(round(1000 * end) + 300 in ends for _, end, _ in found) < len(found) / 2


def test_readme_counts_are_true() -> None:
    rows = re.findall(r"^\| ([\w ]+) \|((?: \d+ \|)+)$", (HERE / "README.md").read_text("utf-8"), re.M)
    stated = {name: [int(cell) for cell in re.findall(r"\d+", cells)] for name, cells in rows}
    tallies = [tally(read_script(HERE / dive)) for dive in DIVES]
    assert stated == {name: [counted[name] for counted in tallies] for name in stated}
    assert set(stated) >= {*STATUSES, *KINDS} - {"sighting"}


def test_each_status_kind_marker_and_measure_is_represented() -> None:
    gold = [mention for dive in DIVES for turn in read_script(HERE / dive).utterances for mention in turn.gold]
    seen = Counter(mention[key] for mention in gold for key in ("kind", "status", "marker", "what") if key in mention)
    assert {name: seen[name] for name in (*KINDS, *STATUSES, *MARKERS, *MEASURES) if seen[name] < 2} == {}


def broken(change: Callable[[dict[str, Any], dict[str, Any]], None]) -> list[str]:
    """The problems of a sound script of one mention and one event, after a change."""
    mention: dict[str, Any] = {
        "kind": "sighting",
        "verbatim": "Atolla",
        "name": "Atolla",
        "rank": "genus",
        "event": "e1",
        "status": "observed",
        "certainty": "certain",
        "count": "1",
        "attrs": {},
    }
    event: dict[str, Any] = {"event": "e1", "name": "Atolla", "rank": "genus", "certainty": "certain", "count": "1"}
    event |= {"qualifier": None, "resolution": "seen", "is_occurrence": True}
    turn = read_script(HERE / DIVES[1]).utterances[2]
    change(mention, event)
    names = {"Atolla": "genus", "Atolla wyvillei": "species"}
    return problems(Script("x", [type(turn)(1, 0, 9, "S1", "An Atolla.", [mention])], [event]), names)


def test_a_sound_script_has_no_problem() -> None:
    assert broken(lambda mention, event: None) == []


@pytest.mark.parametrize(
    ("mention_change", "event_change", "said"),
    [
        ({"verbatim": "Atoll wyvillei"}, {}, "words not there"),
        ({"verbatim": ""}, {}, "words not there"),
        ({"kind": "animal"}, {}, "no such kind"),
        ({"status": "seen"}, {}, "no such status"),
        ({"status": "general", "certainty": None}, {}, "talk only"),
        ({"status": "recalled"}, {}, "talk only"),
        ({"event": None}, {}, "but of no event"),
        ({"event": "e2"}, {}, "no such event"),
        ({"certainty": None}, {}, "certainty None for observed"),
        ({"status": "denied"}, {}, "certainty certain for denied"),
        ({"rank": "species"}, {}, "not an accepted species"),
        ({"name": "Atola"}, {}, "not an accepted genus"),
        ({"count": "some"}, {}, "no count"),
        ({"attrs": {"colour": "red"}}, {}, "no such attributes"),
        ({"attrs": {"qualifier": "nr."}}, {}, "no such qualifier"),
        ({"kind": "marker", "marker": "lunch"}, {}, "no such marker"),
        ({"kind": "measure", "what": "speed_kn", "value": 1}, {}, "no such measure"),
        ({"kind": "measure", "what": "depth_m", "value": "12"}, {}, "no such measure"),
        ({"kind": "substrate", "value": ""}, {}, "substrate of no kind"),
        ({}, {"name": "Atolla wyvillei", "rank": "species"}, "nobody says Atolla wyvillei"),
        ({}, {"certainty": "sure"}, "no such certainty"),
        ({}, {"is_occurrence": False}, "doubtful and an occurrence"),
        ({}, {"resolution": ""}, "how it was settled"),
    ],
)
def test_the_rules_refuse(mention_change: dict[str, Any], event_change: dict[str, Any], said: str) -> None:
    def change(mention: dict[str, Any], event: dict[str, Any]) -> None:
        mention |= copy.deepcopy(mention_change)
        event |= event_change

    assert any(said in problem for problem in broken(change)), broken(change)
