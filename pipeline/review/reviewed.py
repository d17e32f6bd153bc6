"""A run's folder comes in; its rows as people left them go out, for publication.

Decided rows say who reviewed them and when; rejected ones are there, marked so. Links to rows that were merged lead to
the row that stayed, those to rejected rows are left out, and names told in links are those that stand.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from earwitness.pipeline.review.decisions import Row
from earwitness.pipeline.review.stack import Stack
from earwitness.pipeline.review.store import open_store, run_key
from earwitness.pipeline.table import DATABASE, RunFiles, read_run_files
from earwitness.pipeline.table.remarks import signed


def reviewed_rows(folder: str | Path, database: str | Path | None = None) -> list[Row]:
    """The event rows of a run with people's decisions, ordered by recording and time.

    Args:
        folder: the run's folder.
        database: where the decisions are; default: `review.sqlite` in the folder. Without it the rows are as drafted.

    Raises:
        InputError: the run or the database cannot be used.
    """
    return decided_rows(read_run_files(folder), database)


def decided_rows(run: RunFiles, database: str | Path | None = None) -> list[Row]:
    """The same of a run that was read before.

    Raises:
        InputError: the database cannot be used.
    """
    place = database if database is not None else run.folder / DATABASE
    if database is None and not (run.folder / DATABASE).exists():
        return list(run.events.values())
    stack = Stack(run, open_store(place, run_key(run.recording_ids)))
    try:
        return as_left(stack)
    finally:
        stack.close()


def as_left(stack: Stack) -> list[Row]:
    """The rows of a stack as they are published."""
    if not stack.history.last:
        return list(stack.run.events.values())
    order = {name: place for place, name in enumerate(stack.run.recording_ids)}
    rows = [_signed(_relinked(stack, row)) for row in stack.rows.values()]
    return sorted(rows, key=lambda row: (order[row["recordingID"]], row["startTime"], row["eventID"]))


def _signed(row: Row) -> Row:
    if row["recordKind"] != "occurrence" or row["reviewStatus"] not in ("accepted", "changed"):
        return row
    return signed(row)


def _relinked(stack: Stack, row: Row) -> Row:
    told = row["associatedOccurrences"]
    if not told:
        return row
    links, names = [], (row["associatedTaxa"] or "").split(" | ")
    stand: list[str] = []
    for part in told.split(" | "):
        relation, _, name = part.strip('"').partition('":"')
        other = stack.rows.get(_survivor(stack, name))
        former = {f'"{relation}":"{known}"' for known in _names(stack, name)}
        names = [known for known in names if known not in former]
        if other is None or other["reviewStatus"] == "rejected" or other["eventID"] == row["eventID"]:
            continue
        links.append(f'"{relation}":"{other["eventID"]}"')
        stand.append(f'"{relation}":"{other["scientificName"]}"')
    taxa = " | ".join(dict.fromkeys(filter(None, [*stand, *names])))
    return row | {"associatedOccurrences": " | ".join(dict.fromkeys(links)) or None, "associatedTaxa": taxa or None}


def _survivor(stack: Stack, event_id: str) -> str:
    """Where an event went that was merged, and that one in its turn."""
    seen = {event_id}
    while (into := stack.own(event_id)["mergedInto"]) is not None and into not in seen:
        seen.add(into)
        event_id = into
    return event_id


def _names(stack: Stack, event_id: str) -> set[str]:
    """All names that an event ever bore."""
    rows: list[Mapping[str, object]] = [
        row for row in (stack.run.events.get(event_id), stack.rows.get(event_id)) if row
    ]
    for decision in stack.history.of_event(event_id):
        for change in decision.changes:
            if change.event_id == event_id:
                rows += [columns for columns in (change.before, change.after) if columns]
    kept = stack.history.snapshot(event_id)
    return {str(row["scientificName"]) for row in (*rows, kept or {}) if row.get("scientificName")}
