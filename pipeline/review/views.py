"""What the desk shows, as JSON: the run, all events in few columns, one event with all about it, the talk."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from itertools import chain
from typing import Any

from earwitness.pipeline.review.decisions import REJECT_REASONS, Conflict, Decision, Row
from earwitness.pipeline.review.desk import Desk, Outcome
from earwitness.pipeline.review.naming import lineage
from earwitness.pipeline.review.queues import doubt
from earwitness.pipeline.words import word_rows
from earwitness.taxonomy.fold import spoken_key

COLUMNS = (
    "eventID",
    "recordingID",
    "recordKind",
    "startTime",
    "endTime",
    "scientificName",
    "taxonRank",
    "vernacularName",
    "identificationQualifier",
    "nameScore",
    "certainty",
    "certaintyTerm",
    "individualCount",
    "organismQuantity",
    "reviewStatus",
    "reviewedBy",
    "ask",
    "version",
    "doubt",
    "verbatimIdentification",
    "heardKey",
    "markerType",
    "measurementType",
    "measurementValue",
    "measurementUnit",
    "habitat",
    "speaker",
)
"""Of a compact row."""
HOW = {
    "exact": "spelt so in the checklist",
    "group": "a group of the checklist",
    "abbreviated": "from an abbreviated genus",
    "epithet": "from the epithet alone",
    "similar": "sounds like it",
    "corrected": "corrected so before",
}
"""Why a name is suggested, by how its words were matched."""
_OF_A_MENTION = ("mentionID", "eventID", "beginsAt", "endsAt", "status", "scientificName", "taxonRank")
_OF_A_CUE = ("beginsAt", "endsAt", "category", "words", "did")


def compact(desk: Desk, event_id: str) -> list[Any]:
    """One event as COLUMNS."""
    row = desk.rows[event_id]
    asked = desk.own(event_id)["askNote"] is not None
    made = {
        "ask": asked,
        "version": desk.version(event_id),
        "doubt": doubt(row, asked, len(desk.talk.mentions_of(event_id))),
        "heardKey": heard_key(row),
    }
    return [made[column] if column in made else row[column] for column in COLUMNS]


def heard_key(row: Mapping[str, Any]) -> str | None:
    """The heard words that a name rests on, folded, so that the same words are found again."""
    said = row["verbatimIdentification"]
    return (spoken_key(said) or None) if said else None


def all_events(desk: Desk) -> dict[str, Any]:
    """Every event, compact."""
    return {"columns": list(COLUMNS), "rows": [compact(desk, name) for name in desk.rows], "last": desk.last}


def run_head(desk: Desk) -> dict[str, Any]:
    """What the page says of the run as a whole."""
    ends: Counter[str] = Counter()
    for row in (*chain.from_iterable(desk.talk.utterances.values()), *desk.rows.values()):
        ends[row["recordingID"]] = max(ends[row["recordingID"]], row["endTime"])
    names = desk.run.recording_ids
    return {
        "title": names[0] if len(names) == 1 else f"{names[0]} and {len(names) - 1} more",
        "caution": desk.run.summary["caution"],
        "software": f"earwitness {desk.run.summary['softwareVersion']}",
        "draft": desk.run.sha256,
        "reviewers": desk.history.reviewers,
        "recordings": [{"recordingID": name, "endTime": ends[name]} for name in names],
        "counts": desk.counts,
        "last": desk.last,
        "rejectReasons": [{"code": code, "words": words} for code, words in REJECT_REASONS.items()],
        "qualifiers": _qualifiers(),
    }


@cache
def _qualifiers() -> list[str]:
    return list(dict.fromkeys(row["sign"] for row in word_rows("qualifiers")))


def details(desk: Desk, event_id: str) -> dict[str, Any]:
    """One event with all about it.

    Raises:
        RefusedError: there is no such event.
    """
    row = desk.row(event_id)
    return {
        "row": row,
        "draft": desk.drafted(event_id),
        "version": desk.version(event_id),
        "own": desk.own(event_id),
        "lineage": lineage(desk.checklist, row["taxonID"]),
        "candidates": _candidates(desk, row),
        "mentions": desk.talk.mentions_of(event_id),
        "history": [decision_json(decision, desk) for decision in desk.history.of_event(event_id)],
        "links": _links(desk, row),
    }


def _candidates(desk: Desk, row: Row) -> list[dict[str, Any]]:
    if row["recordKind"] != "occurrence":
        return []
    how = desk.talk.heard_how(row["eventID"])
    draft = desk.drafted(row["eventID"])
    stands = {name: row[name] for name in ("scientificName", "taxonID", "taxonRank", "nameScore")}
    reason = "added in review" if draft is None else HOW.get(how or "", "heard")
    if draft is not None and draft["taxonID"] != row["taxonID"]:
        reason = f"chosen by {row['reviewedBy']}"
    found = [stands | {"why": reason}]
    found += [choice | {"why": HOW.get(how or "", "sounds like it")} for choice in row["alternatives"]]
    for step in row["determinations"]:
        if step["taxonID"]:
            who = f" by {step['speaker']}" if step["speaker"] else ""
            told = {"scientificName": step["scientificName"], "taxonID": step["taxonID"], "taxonRank": None}
            found.append(told | {"nameScore": None, "why": f"{step['step']}{who}"})
    once: dict[str, dict[str, Any]] = {}
    for choice in found:
        once.setdefault(choice["taxonID"], choice)
    return [_with_lineage(desk, choice) for choice in once.values()]


def _with_lineage(desk: Desk, choice: Mapping[str, Any]) -> dict[str, Any]:
    row = desk.checklist.by_id(choice["taxonID"])
    taxon = desk.checklist.taxon(desk.checklist.accepted(row)) if row is not None else None
    above = [step["name"] for step in lineage(desk.checklist, choice["taxonID"])][:-1]
    return dict(choice) | {
        "taxonRank": taxon.rank if taxon else choice["taxonRank"],
        "lineage": " > ".join(above),
        "vernacularName": taxon.vernaculars[0] if taxon and taxon.vernaculars else None,
    }


def _links(desk: Desk, row: Row) -> list[dict[str, Any]]:
    """The events that this one stands in a relation to."""
    found = []
    for part in (row["associatedOccurrences"] or "").split(" | "):
        relation, _, name = part.partition('":"')
        other = desk.rows.get(name.rstrip('"'))
        if other is not None:
            found.append(
                {
                    "relation": relation.lstrip('"'),
                    "eventID": other["eventID"],
                    "scientificName": other["scientificName"],
                    "startTime": other["startTime"],
                }
            )
    return found


def talk(desk: Desk, recording_id: str) -> list[dict[str, Any]]:
    """All that was said in a recording, with what was made of it."""
    rows = []
    for row in desk.talk.utterances.get(recording_id, ()):
        mentions = desk.talk.mentions_in(row)
        rows.append(
            {
                "startTime": row["startTime"],
                "endTime": row["endTime"],
                "speaker": row["speaker"],
                "text": row["text"],
                "words": row["words"],
                "mentions": [{name: mention.get(name) for name in _OF_A_MENTION} for mention in mentions],
                "cues": _cues(mentions, len(row["text"])),
            }
        )
    return rows


def _cues(mentions: Iterable[Row], length: int) -> list[dict[str, Any]]:
    """The cues in an utterance, each once for what it did, with the mentions that it did this to."""
    found: dict[tuple[Any, ...], list[str]] = {}
    for mention in mentions:
        for cue in mention["cues"]:
            # A cue of a neighbouring utterance lies outside of this one's text.
            if 0 <= cue["beginsAt"] < cue["endsAt"] <= length:
                told = found.setdefault(tuple(cue[name] for name in _OF_A_CUE), [])
                told += [mention["mentionID"]] if mention["mentionID"] not in told else []
    ordered = sorted(found.items(), key=lambda item: item[0][:2])
    return [dict(zip(_OF_A_CUE, cue, strict=True)) | {"mentionIDs": names} for cue, names in ordered]


def decision_json(decision: Decision, desk: Desk) -> dict[str, Any]:
    """One decision; `stands` tells whether it was not taken back."""
    return {
        "number": decision.number,
        "uid": decision.uid,
        "at": decision.at,
        "reviewer": decision.reviewer,
        "action": decision.action,
        "changes": [{"eventID": c.event_id, "before": c.before, "after": c.after} for c in decision.changes],
        "note": decision.note,
        "undoes": decision.undoes,
        "batch": decision.batch,
        "software": decision.software,
        "draft": decision.draft,
        "taught": {"heard": decision.lesson.heard, "scientificName": decision.lesson.name} if decision.lesson else None,
        "stands": decision.undoes is not None or desk.history.is_live(decision.number),
    }


def outcome_json(desk: Desk, outcome: Outcome) -> dict[str, Any]:
    """What came of a request."""
    return told(desk, outcome.decisions, outcome.events) | {"complaints": list(outcome.complaints)}


def told(desk: Desk, decisions: Sequence[Decision], events: Iterable[str]) -> dict[str, Any]:
    """Decisions, the events they touched as they stand, compact, and those that are gone."""
    names = list(events)
    return {
        "decisions": [decision_json(decision, desk) for decision in decisions],
        "columns": list(COLUMNS),
        "events": [compact(desk, name) for name in names if name in desk.rows],
        "gone": [name for name in names if name not in desk.rows],
        "counts": desk.counts,
        "last": desk.last,
    }


def conflict_json(desk: Desk, conflict: Conflict) -> dict[str, Any]:
    """An event that somebody else decided on since."""
    return {
        "eventID": conflict.event_id,
        "seen": conflict.seen,
        "stands": conflict.stands,
        "by": conflict.by,
        "at": conflict.at,
        "row": conflict.row,
        "decision": decision_json(conflict.decision, desk) if conflict.decision else None,
    }
