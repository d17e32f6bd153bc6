"""A finished run's folder comes in; its rows and summary go out, as far as one can lean on them.

Refuses a folder that holds no finished run, a file that is missing or broken, and rows that cannot be told apart: an
InputError names file, row and what was expected.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from earwitness.schemas import ContractError, InputError, Problem, columns, validate

Row = dict[str, Any]
REMEDY = "the folder of a finished run, as its --out named it; run again if the file was lost"
_SECONDS = ("startTime", "endTime", "utteranceStart", "utteranceEnd")


@dataclass(frozen=True, eq=False)
class RunFiles:
    """A finished run.

    Args:
        folder: where it lies.
        events: by eventID, in the file's order, every column there.
        mentions, utterances: in the files' order; none where an older run has no such file.
        summary: what run.json tells.
        sha256: of events.jsonl.
    """

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


def read_run_files(folder: str | Path, *, strict: bool = False) -> RunFiles:
    """Read a finished run.

    Args:
        folder: the run's folder.
        strict: also refuse rows and a summary that are not as this version writes them.

    Raises:
        InputError: there is none, or its rows cannot be told apart.
    """
    out = Path(folder)
    summary = _summary(out / "run.json", strict)
    file = out / "events.jsonl"
    rows = read_rows(file, {})
    if strict:
        for number, row in enumerate(rows, start=1):
            refuse_odd(row, file, number)
    _refuse_twins(rows, file)
    known = {transcript["recordingID"] for transcript in summary["transcripts"]}
    for number, row in enumerate(rows, start=1):
        if row.get("recordingID") not in known or row.get("endTime") is None:
            raise InputError(Problem(str(file), number, "is no event of this run", REMEDY))
    whole = dict.fromkeys(columns("event"))
    return RunFiles(
        out,
        {row["eventID"]: whole | row for row in rows},
        _rows_if_there(out / "mentions.jsonl"),
        _rows_if_there(out / "utterances.jsonl"),
        summary,
        hashlib.sha256(file.read_bytes()).hexdigest(),
    )


def read_rows(path: Path, closed: Mapping[str, Sequence[str]]) -> list[Row]:
    """The rows of a JSON Lines file, times and other numbers checked.

    Args:
        path: events.jsonl or mentions.jsonl of a run.
        closed: columns that hold one of these labels, or null.

    Raises:
        InputError: the file cannot be read, or a line is no row; names the line.
    """
    try:
        lines = path.read_text(encoding="utf-8").split("\n")
    except OSError as error:
        reason = "is missing" if isinstance(error, FileNotFoundError) else f"cannot be read ({error.strerror})"
        raise InputError(Problem(str(path), 0, reason, REMEDY)) from error
    except UnicodeDecodeError as error:
        raise InputError(Problem(str(path), 0, "not UTF-8 text", REMEDY)) from error
    rows = []
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            row = json.loads(line, parse_constant=_refuse_constant)
        except (ValueError, RecursionError) as error:
            reason = f"not JSON ({error})"
            raise InputError(Problem(str(path), number, reason, "one JSON object a line")) from error
        if fault := _fault(row, closed):
            raise InputError(Problem(str(path), number, *fault))
        rows.append(row)
    return rows


def refuse_odd(row: Row, file: str | Path, number: int) -> None:
    """Whether a row is as this version writes it.

    Raises:
        InputError: it is not; names the file and the row.
    """
    try:
        validate("event", [row])
    except ContractError as error:
        reason = f"no event row: {str(error).partition(': ')[2][:200]}"
        remedy = "rows as this version writes them (schemas/event.schema.json): draft the recording again"
        raise InputError(Problem(str(file), number, reason, remedy)) from error


def _rows_if_there(file: Path) -> tuple[Row, ...]:
    return tuple(read_rows(file, {})) if file.exists() else ()


def _refuse_twins(rows: Sequence[Row], file: Path) -> None:
    first: dict[str, int] = {}
    remedy = "every row with an ID of its own"
    for number, row in enumerate(rows, start=1):
        name = row.get("eventID")
        if not isinstance(name, str) or not name:
            raise InputError(Problem(str(file), number, f"eventID {name!r}", remedy))
        if first.setdefault(name, number) != number:
            raise InputError(Problem(str(file), number, f"eventID {name!r} stands in row {first[name]} too", remedy))


def _summary(file: Path, strict: bool) -> dict[str, Any]:
    try:
        run = json.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise InputError(Problem(str(file), 0, f"cannot be read ({type(error).__name__})", REMEDY)) from error
    if strict:
        try:
            validate("run", [run])
        except ContractError as error:
            raise InputError(Problem(str(file), 0, f"is no run's summary: {str(error)[:200]}", REMEDY)) from error
    try:
        names = [transcript["recordingID"] for transcript in run["transcripts"]]
        is_whole = bool(names) and all(isinstance(name, str) for name in (*names, run["checklist"]["path"]))
    except (KeyError, TypeError):
        is_whole = False
    if not is_whole:
        raise InputError(Problem(str(file), 0, "is no run's summary", REMEDY))
    return dict(run)


def _refuse_constant(word: str) -> None:
    raise ValueError(f"{word} is no JSON number")


def _fault(row: object, closed: Mapping[str, Sequence[str]]) -> tuple[str, str] | None:
    if not isinstance(row, dict):
        return "not a JSON object", "one JSON object a line"
    for column in _SECONDS:
        lacking = row.get(column) is None and column == "startTime"
        if lacking or not _is_number_or_null(row.get(column)):
            return f"{column} is {row.get(column)!r}", "a number of seconds into the recording"
    if not _is_number_or_null(row.get("certainty")):
        return f"certainty is {row['certainty']!r}", "a number from 0 to 1, or null"
    for column, allowed in closed.items():
        if row.get(column) is not None and row[column] not in allowed:
            return f"{column} is {row[column]!r}", f"one of {', '.join(allowed)}, or null"
    return None


def _is_number_or_null(value: object) -> bool:
    if value is None:
        return True
    # 1e999 is JSON, and infinite.
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < math.inf
