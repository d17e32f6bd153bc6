"""Requests that concern several events or make new ones: add, split, merge, link. See `actions` for the rest."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from earwitness.pipeline.review.actions import Case, Plan
from earwitness.pipeline.review.decisions import MERGED, Change, RefusedError, Request, Row
from earwitness.pipeline.review.edits import check, clean_text, edited
from earwitness.pipeline.review.naming import BY_HAND, accepted_row, name_columns
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.terms import RELATIONS
from earwitness.schemas import columns

LETTERS = {"occurrence": "o", "marker": "m", "measurement": "q", "substrate": "s"}
_FILLED = ("sex", "lifeStage", "behavior", "vitality", "colour", "positionInFrame", "habitat")
_COUNTS = ("individualCount", "organismQuantity", "organismQuantityType")
_SIZES = ("sizeValue", "sizeUnit", "sizeMethod")


@dataclass(frozen=True, slots=True)
class Words:
    """A stretch of talk that a new event rests on; `given` are columns every row of the run has alike."""

    recording_id: str
    start: float
    end: float
    heard: str
    text: str
    speaker: str | None
    uncertainty: float
    given: Mapping[str, Any]


def add(case: Case, request: Request, words: Words) -> Plan:
    """A new event from words of the transcript.

    Raises:
        RefusedError: an occurrence without a taxon, or a row that breaks the schema.
    """
    wanted = dict(request.columns)
    kind = wanted.pop("recordKind", "occurrence")
    if not isinstance(kind, str) or kind not in LETTERS:
        raise RefusedError("invalid", f"recordKind {kind!r}", f"one of {', '.join(LETTERS)}")
    start = wanted.pop("startTime", words.start)
    wanted.pop("recordingID", None)
    row: Row = dict.fromkeys(columns("event"))
    row |= {"alternatives": [], "certaintyCues": [], "determinations": [], "placeFlags": []} | dict(words.given)
    row |= {
        "eventID": "new",
        "recordingID": words.recording_id,
        "recordKind": kind,
        "startTime": start,
        "endTime": wanted.pop("endTime", max(words.end, start if isinstance(start, int | float) else 0.0)),
        "timeUncertainty": words.uncertainty,
        "transcriptText": words.text,
        "speaker": words.speaker,
        **case.review("changed", kind),
    }
    if kind == "occurrence":
        if request.taxon_id is None:
            raise RefusedError("invalid", "a sighting needs a name", "choose one; a wide group is enough")
        row |= name_columns(case.checklist, accepted_row(case.checklist, request.taxon_id))
        row |= {
            "verbatimIdentification": words.heard or None,
            "nameScore": BY_HAND,
            "certainty": 1.0,
            "certaintyTerm": "certain",
            "occurrenceStatus": "present",
            "identificationRemarks": "Added in review.",
            "basisOfRecord": "MachineObservation",
        }
    row |= edited(case.checklist, row, wanted, None)
    check(row)
    row |= {"eventID": _new_id(row, request.uid, 1)} | case.place(row)
    return Plan((Change(row["eventID"], None, row),), clean_text(request.note) or "")


def split(case: Case, event_id: str, request: Request) -> Plan:
    """One event becomes several: the first part stays on it, each other one is a new event like it.

    Raises:
        RefusedError: less than two parts, or one that may not stand.
    """
    if len(request.parts) < 2:
        raise RefusedError("invalid", "a split needs two parts or more", "what differs in each part")
    row = _standing_row(case, event_id)
    edits = [_part(case, row, part) for part in request.parts]
    changes = [case.decision(event_id, edits[0], "changed")]
    for number, own in enumerate(edits[1:], start=1):
        new = row | own | case.review("changed", row["recordKind"])
        check(new)
        new["eventID"] = _new_id(new, request.uid, number)
        changes.append(Change(new["eventID"], None, new))
    return Plan(tuple(changes), clean_text(request.note) or "")


def _part(case: Case, row: Row, part: Mapping[str, Any]) -> Row:
    wanted = {name: value for name, value in part.items() if name not in ("set", "taxonID")}
    taxon_id, within = part.get("taxonID"), part.get("set") or {}
    if not isinstance(taxon_id, str | None) or not isinstance(within, Mapping):
        raise RefusedError("invalid", "a part is not understood", "columns, and taxonID where its name differs")
    return case.edits(row, wanted | dict(within), taxon_id)


def merge(case: Case, event_ids: Iterable[str], request: Request) -> Plan:
    """Several rows of the same animals become one: `into` stays and takes in what it did not know, the others go.

    Raises:
        RefusedError: there is nothing to merge, or the rows are not of one kind and recording.
    """
    if request.into is None:
        raise RefusedError("invalid", "a merge needs the event that stays", "its eventID as into")
    stays = _standing_row(case, request.into)
    others = [name for name in event_ids if name != request.into]
    if not others:
        raise RefusedError("invalid", "an event cannot be merged into itself", "another event")
    new = dict(stays)
    changes = []
    for name in others:
        other = case.row(name)
        if (other["recordKind"], other["recordingID"]) != (stays["recordKind"], stays["recordingID"]):
            raise RefusedError("invalid", "events of two kinds or recordings are not one", "events of one kind")
        _take_in(new, other)
        changes.append(case.decision(name, {"rejectReason": MERGED, "mergedInto": request.into}, "rejected"))
    edits = {column: value for column, value in new.items() if value != stays[column]}
    return Plan((case.decision(request.into, edits), *changes), clean_text(request.note) or "")


def _take_in(row: Row, other: Row) -> None:
    """What another row knows of the same animals. Time, place and name stay those of the row itself."""
    texts = [*row["transcriptText"].split(" | "), *other["transcriptText"].split(" | ")]
    row["transcriptText"] = " | ".join(dict.fromkeys(filter(None, texts)))
    steps = [*row["determinations"], *(step for step in other["determinations"] if step not in row["determinations"])]
    row["determinations"] = sorted(steps, key=lambda step: step["time"])
    for column in _FILLED:
        if row[column] is None:
            row[column] = other[column]
    for together in (_COUNTS, _SIZES):
        if all(row[column] is None for column in together):
            row |= {column: other[column] for column in together}


def link(case: Case, event_id: str, request: Request) -> Plan:
    """Two events stand in a relation, told on both; neither is decided by that alone.

    Raises:
        RefusedError: the relation is unknown, or the events are not two occurrences of one recording.
    """
    if request.relation not in RELATIONS:
        raise RefusedError("invalid", f"relation {request.relation!r}", f"one of {', '.join(RELATIONS)}")
    if request.into is None or request.into == event_id:
        raise RefusedError("invalid", "a link needs another event", "its eventID as into")
    one, other = _standing_row(case, event_id), _standing_row(case, request.into)
    if one["recordingID"] != other["recordingID"] or {one["recordKind"], other["recordKind"]} != {"occurrence"}:
        raise RefusedError("invalid", "only animals of one recording can be linked", "two occurrences")
    changes = (
        _linked(case, one, request.relation, other),
        _linked(case, other, inverses()[request.relation], one),
    )
    return Plan(changes, clean_text(request.note) or "")


def _linked(case: Case, row: Row, relation: str, other: Row) -> Change:
    edits = {
        "associatedOccurrences": _told(row["associatedOccurrences"], relation, other["eventID"]),
        "associatedTaxa": _told(row["associatedTaxa"], relation, other["scientificName"]),
    }
    if row["reviewStatus"] == "draft":
        return case.change(row["eventID"], edits)
    return case.decision(row["eventID"], edits)


def _told(before: str | None, relation: str, other: str) -> str:
    parts = [*(before.split(" | ") if before else ()), f'"{relation}":"{other}"']
    return " | ".join(dict.fromkeys(parts))


def inverses() -> Mapping[str, str]:
    """Relation -> how the other side stands to it, as the word list of the describe stage has them."""
    found: dict[str, str] = {}
    for row in word_rows("relations"):
        if row["kind"]:
            found.setdefault(row["kind"], row["inverse"])
            found.setdefault(row["inverse"], row["kind"])
    return {kind: found.get(kind, "with") for kind in RELATIONS}


def _standing_row(case: Case, event_id: str) -> Row:
    row = case.row(event_id)
    if row["reviewStatus"] == "rejected":
        raise RefusedError("invalid", f"{event_id} was rejected", "reopen it first")
    return row


def _new_id(row: Row, uid: str, number: int) -> str:
    """An ID that no draft gives, the same for the same request."""
    mark = hashlib.sha256(f"{uid}\n{number}".encode()).hexdigest()[:8]
    return f"{row['recordingID']}:{LETTERS[row['recordKind']]}{round(row['startTime'] * 1000):08d}.h{mark}"
