"""The main job gives the same events whatever file the talk comes in."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline import draft
from earwitness.pipeline.read import Cue, read_transcript
from earwitness.taxonomy import NameIndex, load_checklist

COMPARED = ("recordKind", "scientificName", "certaintyTerm", "individualCount", "organismQuantity", "markerType")


def _clock(seconds: float, point: str = ".") -> str:
    milliseconds = round(seconds * 1000)
    minutes, rest = divmod(milliseconds, 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}{point}{rest % 1000:03d}"


def _subrip(cues: tuple[Cue, ...]) -> str:
    blocks = (
        f"{n}\n{_clock(c.start, ',')} --> {_clock(c.end, ',')}\n{(c.speaker or '').upper()}: {c.text}\n"
        for n, c in enumerate(cues, 1)
    )
    return "\n".join(blocks)


def _sbv(cues: tuple[Cue, ...]) -> str:
    return "\n".join(f"{_clock(c.start)[1:]},{_clock(c.end)[1:]}\n{c.text}\n" for c in cues)


def _text(cues: tuple[Cue, ...]) -> str:
    return "\n\n".join(f"[{_clock(c.start)} - {_clock(c.end)}]\n{c.text}" for c in cues)


def _text_to_the_second(cues: tuple[Cue, ...]) -> str:
    return "\n\n".join(f"[{int(c.start // 60)}:{int(c.start % 60):02d}]\n{c.text}" for c in cues)


def _ttml(cues: tuple[Cue, ...]) -> str:
    lines = "".join(f'<p begin="{_clock(c.start)}" end="{_clock(c.end)}">{c.text}</p>' for c in cues)
    return f'<tt xmlns="http://www.w3.org/ns/ttml" xml:lang="en"><body><div>{lines}</div></body></tt>'


def _json(cues: tuple[Cue, ...]) -> str:
    return json.dumps({"segments": [{"start": c.start, "end": c.end, "text": f" {c.text}"} for c in cues]})


def _table(path: Path, cues: tuple[Cue, ...]) -> None:
    with path.open("w", encoding="utf-8-sig", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["Start", "End", "Speaker", "Text"])
        writer.writerows([c.start, c.end, c.speaker, c.text] for c in cues)


@pytest.fixture(scope="module")
def index(dive: Path) -> NameIndex:
    return NameIndex(load_checklist(dive / "checklist.csv"))


@pytest.fixture(scope="module")
def cues(dive: Path) -> tuple[Cue, ...]:
    return read_transcript(dive / "clean.vtt").cues


def told(path: Path, index: NameIndex) -> list[dict[str, Any]]:
    run = draft(path, index)
    assert run.summary["counts"]["skipped"] == 0
    return [{name: event[name] for name in COMPARED} for event in run.events]


@pytest.fixture(scope="module")
def without_speakers(dive: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("silent") / "a.vtt"
    path.write_text(re.sub(r"<v [^>]*>", "", (dive / "clean.vtt").read_text(encoding="utf-8")), encoding="utf-8")
    return path


@pytest.mark.parametrize(("name", "encoding"), [("a.srt", "utf-16"), ("a", "utf-8-sig")])
def test_same_events_from_a_format_with_speakers(
    name: str, encoding: str, cues: tuple[Cue, ...], index: NameIndex, dive: Path, tmp_path: Path
) -> None:
    (tmp_path / name).write_text(_subrip(cues), encoding=encoding)
    assert told(tmp_path / name, index) == told(dive / "clean.vtt", index)


@pytest.mark.parametrize(("name", "write"), [("a.sbv", _sbv), ("a.txt", _text), ("a.ttml", _ttml), ("a.json", _json)])
def test_same_events_from_a_format_without_speakers(
    name: str, write: Any, cues: tuple[Cue, ...], index: NameIndex, without_speakers: Path, tmp_path: Path
) -> None:
    """Who agrees with whom cannot be told there, so the measure is the same talk without its speakers."""
    (tmp_path / name).write_text(write(cues), encoding="utf-8")
    assert told(tmp_path / name, index) == told(without_speakers, index)


def test_same_names_from_text_that_is_timed_to_the_second(
    cues: tuple[Cue, ...], index: NameIndex, without_speakers: Path, tmp_path: Path
) -> None:
    """Silences cannot be told there, and a silence is part of what makes a claim; names need none."""
    (tmp_path / "a.txt").write_text(_text_to_the_second(cues), encoding="utf-8")
    runs = [draft(path, index) for path in (tmp_path / "a.txt", without_speakers)]
    there, here = ([(m["verbatimIdentification"], m["scientificName"]) for m in run.mentions] for run in runs)
    assert there == here
    assert len(here) > 60


def test_same_events_from_a_table(cues: tuple[Cue, ...], index: NameIndex, dive: Path, tmp_path: Path) -> None:
    _table(tmp_path / "a.csv", cues)
    assert told(tmp_path / "a.csv", index) == told(dive / "clean.vtt", index)


def test_a_stutter_is_marked_noted_and_not_mined(index: NameIndex, tmp_path: Path) -> None:
    path = tmp_path / "loop.vtt"
    again = "".join(
        f"00:00:{at:02d}.000 --> 00:00:{at + 1:02d}.500\nThere is a sea pig on the left.\n\n" for at in range(10, 40, 2)
    )
    path.write_text(f"WEBVTT\n\n00:01.000 --> 00:05.000\n{'octopus ' * 12}\n\n{again}", encoding="utf-8")
    run = draft(path, index)
    assert [event["scientificName"] for event in run.events] == ["Scotoplanes"]
    assert len(run.mentions) == 1
    assert run.summary["transcripts"][0]["cuesMarked"] == 15
    assert sum("not mined" in problem.reason for problem in run.problems) == 15
