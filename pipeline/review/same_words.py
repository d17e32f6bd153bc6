"""Drafts that rest on the same heard words as an event: what is decided on one may hold for all."""

from __future__ import annotations

from typing import Any

from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.views import heard_key


def same_words(desk: Desk, event_id: str) -> dict[str, Any]:
    """The heard words of an event, and the other undecided occurrences that rest on the same, by time.

    Raises:
        RefusedError: there is no such event.
    """
    row = desk.row(event_id)
    key = heard_key(row)
    events = []
    for name, other in desk.rows.items():
        if key is None or name == event_id or other["reviewStatus"] != "draft" or heard_key(other) != key:
            continue
        events.append(
            {
                "eventID": name,
                "startTime": other["startTime"],
                "recordingID": other["recordingID"],
                "text": other["transcriptText"],
                "scientificName": other["scientificName"],
                "version": desk.version(name),
                "reviewStatus": other["reviewStatus"],
            }
        )
    return {"heard": row["verbatimIdentification"], "events": events}
