"""A newer draft beside decisions: what people decided stays; what the draft says now is shown.

Changed: a column that a decided event has and the newest draft says otherwise, where it differs from what was drafted
when people decided. Gone: a decided event that the newest draft has no more. New: events that the draft has now and
that the draft before did not, on which people decided last.
"""

from __future__ import annotations

from typing import Any

from earwitness.pipeline.review.decisions import Row
from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.edits import REVIEW
from earwitness.schemas import columns

_OF_THE_RUN = ("softwareVersion", "checklistName", "checklistHash", *REVIEW)


def redraft(desk: Desk) -> dict[str, Any]:
    """What the newest draft says otherwise than the one that people decided on."""
    changed: list[dict[str, Any]] = []
    gone: list[dict[str, Any]] = []
    for name in desk.history.events():
        standing, kept = desk.standing(name), desk.history.snapshot(name)
        if standing is None or kept is None or not standing.is_decided:
            continue
        row, newest = desk.rows[name], desk.run.events.get(name)
        if newest is None:
            gone.append(_named(row))
            continue
        for column in columns("event"):
            if column not in _OF_THE_RUN and newest[column] != kept[column] and newest[column] != row[column]:
                changed.append(
                    {
                        "eventID": name,
                        "column": column,
                        "decided": row[column],
                        "draft": newest[column],
                        "before": kept[column],
                    }
                )
    return {"changed": changed, "gone": gone, "new": _new(desk)}


def _new(desk: Desk) -> list[dict[str, Any]]:
    older = next((d.draft for d in reversed(desk.history.decisions) if d.draft != desk.run.sha256), None)
    known = desk.store.draft_events(older) if older else None
    if known is None:
        return []
    return [_named(row) for name, row in desk.run.events.items() if name not in known]


def _named(row: Row) -> dict[str, Any]:
    return {column: row[column] for column in ("eventID", "recordingID", "startTime", "recordKind", "scientificName")}
