"""A finished run's folder comes in; its rows, with what people decided on them, and summary go out, checked.

Refuses a folder without events or without run.json, a row that breaks its schema (InputError with file, line and
remedy).
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from earwitness.pipeline.place.description import described_at
from earwitness.pipeline.publish.publisher import Row
from earwitness.pipeline.score import read_rows
from earwitness.pipeline.score.rows import REMEDY
from earwitness.schemas import ContractError, InputError, Problem, columns, validate

DECISIONS = "review.sqlite"
"""The file of people's decisions in a run's folder."""


@dataclass(frozen=True, slots=True)
class RunFolder:
    """What lies in a run's folder. `sha256` is that of events.jsonl, or of the rows that people's decisions left."""

    folder: Path
    events: tuple[Row, ...]
    mentions: tuple[Row, ...]
    run: dict[str, Any]
    sha256: str
    utterances: tuple[Row, ...] = ()


def refuse_missing(folder: str | Path) -> None:
    """Raise InputError unless a run's rows lie in the folder: told before anything else that may be missing."""
    file = Path(folder) / "events.jsonl"
    if not file.exists():
        raise InputError(Problem(str(file), 0, "is missing", REMEDY))


def read_run(folder: str | Path, database: str | None = None) -> RunFolder:
    """Read a finished run, with what people decided at the review desk.

    Args:
        folder: the run's folder.
        database: where the decisions are; default: the file DECISIONS in the folder, where there is one.

    Raises:
        InputError: there is no finished run, or it has no events, or they are not as this version writes them; or the
            decisions cannot be read.
    """
    out = Path(folder)
    file = out / "events.jsonl"
    rows = read_rows(file, {})
    if not rows:
        raise InputError(Problem(str(file), 0, "the run has no events: nothing to publish", REMEDY))
    for number, row in enumerate(rows, start=1):
        _check(row, file, number)
    _refuse_twins(rows, file)
    whole = dict.fromkeys(columns("event"))
    drafted = [whole | row for row in rows]
    events = _decided(out, drafted, database)
    content = file.read_bytes() if events == drafted else json.dumps(events).encode()
    mentions, talk = out / "mentions.jsonl", out / "utterances.jsonl"
    return RunFolder(
        out,
        tuple(events),
        tuple(read_rows(mentions, {})) if mentions.exists() else (),
        _summary(out / "run.json"),
        hashlib.sha256(content).hexdigest(),
        tuple(read_rows(talk, {})) if talk.exists() else (),
    )


def _decided(out: Path, drafted: list[Row], database: str | None) -> list[Row]:
    """The rows as people left them."""
    if database is None and not (out / DECISIONS).exists():
        return drafted
    # Only a run with decisions needs what reads a database.
    from earwitness.pipeline.review.reviewed import reviewed_rows

    rows = reviewed_rows(out, database)
    known = {row["eventID"]: row for row in drafted}
    for row in rows:
        # A decision may be older than this version's schema.
        if row != known.get(row["eventID"]):
            _check(row, Path(database or out / DECISIONS), 0)
    return rows


def _check(row: Row, file: Path, number: int) -> None:
    try:
        validate("event", [row])
    except ContractError as error:
        reason = f"no event row: {str(error).partition(': ')[2][:200]}"
        remedy = "rows as this version writes them (schemas/event.schema.json): draft the recording again"
        raise InputError(Problem(str(file), number, reason, remedy)) from error


def _refuse_twins(rows: list[Row], file: Path) -> None:
    first: dict[str, int] = {}
    for number, row in enumerate(rows, start=1):
        if first.setdefault(row["eventID"], number) != number:
            reason = f"eventID {row['eventID']!r} stands in row {first[row['eventID']]} too"
            raise InputError(Problem(str(file), number, reason, "every row with an ID of its own"))


def _summary(file: Path) -> dict[str, Any]:
    try:
        run = json.loads(file.read_text(encoding="utf-8"))
        validate("run", [run])
    except (OSError, ValueError, RecursionError) as error:
        raise InputError(Problem(str(file), 0, f"cannot be read ({type(error).__name__})", REMEDY)) from error
    except ContractError as error:
        raise InputError(Problem(str(file), 0, f"is no run's summary: {str(error)[:200]}", REMEDY)) from error
    return dict(run) | {
        "recordings": [one | {"path": str(described_at(one, file.parent))} for one in run.get("recordings", ())]
    }
