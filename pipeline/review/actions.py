"""A request and what stands come in; the changes it makes go out, for the history to take.

An event that gets a decision bears "accepted" where it says what was drafted, else "changed" or "rejected". Refuses
what names unknown events, taxa or words, and what would break the event schema (RefusedError).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from earwitness.pipeline.review.decisions import (
    OWN_COLUMNS,
    REJECT_REASONS,
    Action,
    Change,
    Lesson,
    RefusedError,
    Request,
    Row,
)
from earwitness.pipeline.review.edits import check, clean_text, content_differs, edited
from earwitness.pipeline.review.history import LINKS
from earwitness.pipeline.review.naming import accepted_row
from earwitness.pipeline.review.teaching import is_teachable, lesson_of_name, lesson_of_rejection
from earwitness.taxonomy import Checklist

REVIEWED = "reviewed"
"""identificationVerificationStatus of an occurrence that a person has decided on. Own word: those of the standard
vocabularies are left to people."""


@dataclass(frozen=True, slots=True)
class Case:
    """Who decides, when, and what stands.

    Args:
        reviewer, at: who and when.
        row: event -> its row as it stands; raises RefusedError for an unknown one.
        own: event -> the desk's own columns, all of OWN_COLUMNS.
        drafted: event -> the drafted row it began as; None for one that people added.
        heard_how: event -> how its words were matched (matchedHow of its mention), None where that is not known.
        checklist: the taxa.
        place: a row -> the columns that follow from its times.
    """

    reviewer: str
    at: str
    row: Callable[[str], Row]
    own: Callable[[str], Row]
    drafted: Callable[[str], Row | None]
    heard_how: Callable[[str], str | None]
    checklist: Checklist
    place: Callable[[Row], Row]

    def edits(self, row: Row, wanted: Mapping[str, Any], taxon_id: str | None) -> Row:
        """The columns of a row that change where people set these values and that taxon (see `edited`)."""
        new = edited(self.checklist, row, wanted, taxon_id)
        if "startTime" in new or "endTime" in new:
            check(row | new)
            new |= {column: value for column, value in self.place(row | new).items() if value != row[column]}
        return new

    def change(self, event_id: str, edits: Mapping[str, Any]) -> Change:
        """A change of these columns, the desk's own among them, checked; those that stay are left out.

        Raises:
            RefusedError: the event may not stand so.
        """
        row = self.row(event_id)
        stands = row | self.own(event_id)
        after = {column: value for column, value in edits.items() if stands[column] != value}
        check(row | {column: value for column, value in after.items() if column not in OWN_COLUMNS})
        return Change(event_id, {column: stands[column] for column in after}, after)

    def decision(self, event_id: str, edits: Mapping[str, Any], status: str | None = None) -> Change:
        """A change that settles an event; by itself "accepted" where it says what was drafted, else "changed"."""
        row, draft = self.row(event_id), self.drafted(event_id)
        new = row | {column: value for column, value in edits.items() if column not in OWN_COLUMNS}
        if status is None:
            status = "changed" if draft is None or content_differs(new, draft) else "accepted"
        cleared = {"rejectReason": None, "mergedInto": None}
        return self.change(event_id, cleared | self.review(status, row["recordKind"]) | dict(edits))

    def review(self, status: str, kind: str) -> Row:
        """The columns that tell who decided."""
        return {
            "reviewStatus": status,
            "reviewedBy": self.reviewer,
            "reviewedAt": self.at,
            "identificationVerificationStatus": REVIEWED if kind == "occurrence" else None,
        }


@dataclass(frozen=True, slots=True)
class Plan:
    """What one decision will do."""

    changes: tuple[Change, ...]
    note: str = ""
    lesson: Lesson | None = None


def accept(case: Case, event_id: str, request: Request) -> Plan:
    """As it stands; with columns or a taxon, as `change`."""
    return change(case, event_id, request)


def change(case: Case, event_id: str, request: Request) -> Plan:
    """Other values, another name, or both."""
    row = case.row(event_id)
    wanted, own = _own_apart(request)
    edits = case.edits(row, wanted, request.taxon_id)
    # A question about a row is answered by whoever settles its name, not by who counts again.
    settles = request.action == "accept" or "taxonID" in edits
    made = case.decision(event_id, ({"askNote": None} if settles else {}) | edits | own)
    lesson = lesson_of_name(row, case.heard_how(event_id), edits, request.teach)
    return Plan((made,), clean_text(request.note) or "", lesson)


def reject(case: Case, event_id: str, request: Request) -> Plan:
    """Not a record; the reason is one of REJECT_REASONS."""
    reason = request.reason or "other"
    if reason not in REJECT_REASONS:
        raise RefusedError("invalid", f"reason {reason!r}", f"one of {', '.join(REJECT_REASONS)}")
    edits = {"askNote": None, "rejectReason": reason} | _noted(request)
    made = case.decision(event_id, edits, "rejected")
    lesson = lesson_of_rejection(case.row(event_id), case.heard_how(event_id), reason, request.teach)
    return Plan((made,), clean_text(request.note) or "", lesson)


def ask(case: Case, event_id: str, request: Request) -> Plan:
    """A question for somebody else, with a note; `askNote` null in the columns takes it away."""
    case.row(event_id)
    _, own = _own_apart(request)
    question = own["askNote"] if "askNote" in own else clean_text(request.note) or ""
    return Plan((case.change(event_id, {"askNote": question}),), clean_text(request.note) or "")


def note(case: Case, event_id: str, request: Request) -> Plan:
    """A remark on the event, in place of the one before."""
    return Plan((case.change(event_id, {"reviewNote": clean_text(request.note)}),), clean_text(request.note) or "")


def reopen(case: Case, event_id: str, request: Request) -> Plan:
    """Back on the pile as it was drafted; what was noted and linked stays."""
    row, draft = case.row(event_id), case.drafted(event_id)
    cleared = {"rejectReason": None, "mergedInto": None}
    if draft is None:
        return Plan((case.decision(event_id, cleared),), clean_text(request.note) or "")
    back = {column: value for column, value in draft.items() if column not in LINKS and row[column] != value}
    return Plan((case.change(event_id, back | cleared),), clean_text(request.note) or "")


def teach(case: Case, event_id: str, request: Request) -> Plan:
    """Only learn what the heard words mean (without a taxon: that they name none); the event stays as it is."""
    heard = case.row(event_id)["verbatimIdentification"]
    if not is_teachable(heard):
        raise RefusedError("invalid", "the event rests on no words to learn", "an occurrence that was heard")
    if request.taxon_id is None:
        lesson = Lesson(heard, None, None)
    else:
        taxon = case.checklist.taxon(accepted_row(case.checklist, request.taxon_id))
        lesson = Lesson(heard, taxon.taxon_id, taxon.scientific_name)
    return Plan((Change(event_id, {}, {}),), clean_text(request.note) or "", lesson)


def _own_apart(request: Request) -> tuple[Row, Row]:
    """The event columns that a request sets, and the desk's own."""
    own = {name: clean_text(request.columns[name]) for name in ("askNote", "reviewNote") if name in request.columns}
    wanted = {name: value for name, value in request.columns.items() if name not in ("askNote", "reviewNote")}
    return wanted, own | _noted(request)


def _noted(request: Request) -> Row:
    noted = clean_text(request.note)
    return {"reviewNote": noted} if noted and request.action in ("accept", "change", "reject") else {}


SINGLE: Mapping[Action, Callable[[Case, str, Request], Plan]] = {
    "accept": accept,
    "change": change,
    "reject": reject,
    "ask": ask,
    "note": note,
    "reopen": reopen,
    "teach": teach,
}
"""Actions on one event; with several targets each gets a decision of its own, all in one batch."""
