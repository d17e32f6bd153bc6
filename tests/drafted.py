"""Rows of the event table as a draft has them, for runs that tests write by hand."""

from __future__ import annotations

from typing import Any

from earwitness.pipeline.table.remarks import DRAFT
from earwitness.schemas import columns, load_schema

Row = dict[str, Any]
SIGHTING: Row = {
    "identificationVerificationStatus": "unverified",
    "occurrenceStatus": "present",
    "basisOfRecord": "MachineObservation",
    "nameScore": 0.9,
    "certainty": 0.95,
    "certaintyTerm": "certain",
    "identificationRemarks": f"{DRAFT} Name read as in the checklist.",
}
"""What a drafted sighting has that other rows have not."""


def blank(recording: str, kind: str, start: float, **told: Any) -> Row:
    """A drafted row of a kind with what is told and nothing else."""
    letter = {"occurrence": "o", "marker": "m", "measurement": "q", "substrate": "s"}[kind]
    row: Row = dict.fromkeys(columns("event"))
    row |= {name: [] for name, rule in load_schema("event")["properties"].items() if rule.get("type") == "array"}
    row |= {
        "eventID": f"{recording}:{letter}{round(start * 1000):08d}",
        "recordingID": recording,
        "recordKind": kind,
        "startTime": start,
        "endTime": start + 2.5,
        "timeUncertainty": 0.25,
        "transcriptText": "look at that",
        "reviewStatus": "draft",
        "softwareVersion": "0.1.0",
    }
    return row | told
