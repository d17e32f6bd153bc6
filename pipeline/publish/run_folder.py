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
from earwitness.pipeline.table import DATABASE, REMEDY, RunFiles, read_run_files
from earwitness.pipeline.table.read import refuse_odd
from earwitness.schemas import InputError, Problem


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
        database: where the decisions are; default: the file DATABASE in the folder, where there is one.

    Raises:
        InputError: there is no finished run, or it has no events, or they are not as this version writes them; or the
            decisions cannot be read.
    """
    run = read_run_files(folder, strict=True)
    if not run.events:
        file = run.folder / "events.jsonl"
        raise InputError(Problem(str(file), 0, "the run has no events: nothing to publish", REMEDY))
    drafted = list(run.events.values())
    events = _decided(run, drafted, database)
    sha256 = run.sha256 if events == drafted else hashlib.sha256(json.dumps(events).encode()).hexdigest()
    return RunFolder(run.folder, tuple(events), run.mentions, _found(run), sha256, run.utterances)


def _decided(run: RunFiles, drafted: list[Row], database: str | None) -> list[Row]:
    """The rows as people left them."""
    file = run.folder / DATABASE
    if database is None and not file.exists():
        return drafted
    # Only a run with decisions needs what reads a database.
    from earwitness.pipeline.review.reviewed import decided_rows

    rows = decided_rows(run, database)
    for row in rows:
        # A decision may be older than this version's schema.
        if row != run.events.get(row["eventID"]):
            refuse_odd(row, file if database is None else "--database", 0)
    return rows


def _found(run: RunFiles) -> dict[str, Any]:
    """The summary, with the way to each description that holds now."""
    told = run.summary.get("recordings", ())
    return run.summary | {"recordings": [one | {"path": str(described_at(one, run.folder))} for one in told]}
