"""What the desk reads of a run's folder: its rows, its talk, its summary and the checklist it was drafted with.

Refuses a folder that holds no finished run, and rows without an ID of their own (InputError).
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from earwitness.pipeline.review.decisions import Row
from earwitness.pipeline.score import read_rows
from earwitness.pipeline.score.rows import REMEDY
from earwitness.schemas import InputError, Problem, columns
from earwitness.taxonomy import NameIndex, open_index


@dataclass(frozen=True, eq=False)
class RunFiles:
    """A finished run. `sha256` is that of events.jsonl; `events` are in the file's order, every column there."""

    folder: Path
    events: dict[str, Row]
    mentions: tuple[Row, ...]
    utterances: tuple[Row, ...]
    summary: dict[str, Any]
    sha256: str

    @property
    def recording_ids(self) -> list[str]:
        """The run's recordings, in its order."""
        return [transcript["recordingID"] for transcript in self.summary["transcripts"]]


def read_run_files(folder: str | Path) -> RunFiles:
    """Read a finished run.

    Raises:
        InputError: there is none, or its rows cannot be told apart.
    """
    out = Path(folder)
    summary = _summary(out / "run.json")
    file = out / "events.jsonl"
    whole = dict.fromkeys(columns("event"))
    events: dict[str, Row] = {}
    known = {transcript["recordingID"] for transcript in summary["transcripts"]}
    for number, row in enumerate(read_rows(file, {}), start=1):
        name = row.get("eventID")
        if not isinstance(name, str) or not name or name in events:
            raise InputError(Problem(str(file), number, f"eventID {name!r}", "an ID of its own for every row"))
        if row.get("recordingID") not in known or not isinstance(row.get("endTime"), int | float):
            raise InputError(Problem(str(file), number, "is no event of this run", REMEDY))
        events[name] = whole | row
    mentions, talk = out / "mentions.jsonl", out / "utterances.jsonl"
    named = tuple(read_rows(mentions, {})) if mentions.exists() else ()
    spoken = tuple(read_rows(talk, {})) if talk.exists() else _from_mentions(named)
    sha256 = hashlib.sha256(file.read_bytes()).hexdigest()
    return RunFiles(out, events, named, spoken, summary, sha256)


def open_checklist(run: RunFiles, given: str | Path | None = None) -> NameIndex:
    """The checklist of a run: the one given, else where the run says it lies, from here or from the run's folder.

    Raises:
        InputError: it is not there, or it is not the one that the run was drafted with.
    """
    told = run.summary["checklist"]
    places = [Path(given)] if given else [Path(told["path"]), run.folder / told["path"]]
    found = next((place for place in places if place.exists()), None)
    if found is None:
        expected = "the checklist that the run was drafted with; --checklist says where it lies now"
        raise InputError(Problem(str(places[0]), 0, "no such file", expected))
    index = open_index(found)
    if not given and index.checklist.sha256 != told["sha256"]:
        reason = "is another checklist than the run was drafted with"
        raise InputError(Problem(str(found), 0, reason, "draft again, or name the one to use with --checklist"))
    return index


def _summary(file: Path) -> dict[str, Any]:
    try:
        run = json.loads(file.read_text(encoding="utf-8"))
        names = [transcript["recordingID"] for transcript in run["transcripts"]]
        whole = all(isinstance(name, str) for name in names) and names and isinstance(run["checklist"]["path"], str)
    except (OSError, ValueError, RecursionError, KeyError, TypeError) as error:
        raise InputError(Problem(str(file), 0, f"cannot be read ({type(error).__name__})", REMEDY)) from error
    if not whole:
        raise InputError(Problem(str(file), 0, "is no run's summary", REMEDY))
    return dict(run)


def _from_mentions(mentions: tuple[Row, ...]) -> tuple[Row, ...]:
    """The utterances that a run without utterances.jsonl still tells of: those in which a name was heard."""
    found: dict[tuple[str, float, str], Row] = {}
    for row in mentions:
        key = (row["recordingID"], row["utteranceStart"], row["utteranceText"])
        found.setdefault(
            key,
            {
                "recordingID": row["recordingID"],
                "startTime": row["utteranceStart"],
                "endTime": row["utteranceEnd"],
                "speaker": row["speaker"],
                "text": row["utteranceText"],
                "words": [],
            },
        )
    order = {name: place for place, name in enumerate(dict.fromkeys(row["recordingID"] for row in mentions))}
    return tuple(sorted(found.values(), key=lambda row: (order[row["recordingID"]], row["startTime"])))
