"""What people decide on a run's events: the types of the history, and how a decision is refused.

EarwitnessError
├── RefusedError    a decision that cannot be meant so; carries kind, message and remedy
└── ConflictError   somebody else has decided since; carries one Conflict an event
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal, get_args

from earwitness.schemas import EarwitnessError

Row = dict[str, Any]
Action = Literal[
    "accept", "change", "reject", "add", "split", "merge", "link", "ask", "note", "reopen", "teach", "undo", "redo"
]
ACTIONS: tuple[Action, ...] = get_args(Action)

OWN_COLUMNS = ("askNote", "reviewNote", "rejectReason", "mergedInto")
"""Columns of an event that only the desk has: a question to somebody, a remark, why it was rejected, and the event that
it was merged into. null: none."""

REJECT_REASONS: Mapping[str, str] = {
    "not-seen": "Only talked about, not on the picture",
    "twice": "The same animals as in another row",
    "no-name": "The words name no animal",
    "no-animal": "Something else: rock, litter, gear",
    "unclear": "Cannot be told from the picture",
    "other": "Another reason, told in the note",
}
"""Own words. "no-name" says something of the words and teaches it; the others speak of the picture."""
MERGED = "merged"
"""The reason a merged event bears; nobody chooses it."""


@dataclass(frozen=True, slots=True)
class Change:
    """What a decision did to one event.

    Args:
        event_id: the event.
        before: the changed columns as they stood; None: the event was not there.
        after: as they stand now; None: the event is taken away (undoing what added it).
    """

    event_id: str
    before: Mapping[str, Any] | None
    after: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True)
class Lesson:
    """What a decision teaches of heard words: the taxon they mean, or (None) that they name none."""

    heard: str
    taxon_id: str | None
    name: str | None


@dataclass(frozen=True, slots=True)
class Decision:
    """One entry of the history.

    Args:
        number: order in the history of the run, from 1.
        uid: given by whoever decided: the same uid twice is one decision.
        at: RFC 3339 UTC, to the millisecond.
        reviewer: who.
        action: what.
        changes: by event.
        note: remarks, may be empty.
        undoes: for an undo the number of the decision taken back; for a redo that of the undo taken back.
        batch: what was decided at one stroke bears one batch, and is undone together.
        software: version of this program.
        draft: SHA-256 of the events.jsonl it was decided on.
        lesson: what it teaches, if anything; of an undo, what is no longer taught.
    """

    number: int
    uid: str
    at: str
    reviewer: str
    action: Action
    changes: tuple[Change, ...]
    note: str
    undoes: int | None
    batch: str | None
    software: str
    draft: str
    lesson: Lesson | None = None


@dataclass(frozen=True, slots=True)
class Proposed:
    """A decision on its way into the history, which gives it its number.

    `seen` has, for each event, the version (number of the last decision on it) that it was decided on; `snapshots` the
    drafted rows that are kept with it.
    """

    uid: str
    at: str
    reviewer: str
    action: Action
    changes: tuple[Change, ...]
    seen: Mapping[str, int]
    snapshots: Mapping[str, Row] = field(default_factory=dict)
    note: str = ""
    undoes: int | None = None
    batch: str | None = None
    software: str = ""
    draft: str = ""
    lesson: Lesson | None = None

    def decided(self, number: int) -> Decision:
        """The decision that it becomes."""
        return Decision(
            number,
            self.uid,
            self.at,
            self.reviewer,
            self.action,
            self.changes,
            self.note,
            self.undoes,
            self.batch,
            self.software,
            self.draft,
            self.lesson,
        )


@dataclass(frozen=True, slots=True)
class Request:
    """What somebody wants to do, as the desk is asked for it.

    Args:
        uid: one for each request; a request that is sent again bears the same.
        action: any but undo and redo.
        targets: event -> the version that was seen.
        columns: new values of event columns.
        taxon_id: the taxon it is.
        note: a remark; for "ask" the question.
        reason: for "reject", one of REJECT_REASONS.
        into: for "merge" the event that stays, for "link" the other one.
        relation: for "link", like "on" or "host of".
        words: for "add", the words it rests on: recordingID, utteranceStart, beginsAt, endsAt.
        parts: for "split", what differs in each part: columns, and taxonID.
        batch: for what belongs to one stroke; default: the uid, where there are several targets.
        teach: whether heard words -> name is learned; None: by the rule of `teaching`.
    """

    uid: str
    action: Action
    targets: Mapping[str, int] = field(default_factory=dict)
    columns: Mapping[str, Any] = field(default_factory=dict)
    taxon_id: str | None = None
    note: str | None = None
    reason: str | None = None
    into: str | None = None
    relation: str | None = None
    words: Mapping[str, Any] | None = None
    parts: Sequence[Mapping[str, Any]] = ()
    batch: str | None = None
    teach: bool | None = None


@dataclass(frozen=True, slots=True)
class Conflict:
    """An event that has another version than its reviewer saw: who decided last, when, and its row as it stands."""

    event_id: str
    seen: int
    stands: int
    by: str
    at: str
    row: Row | None = None
    decision: Decision | None = None

    def with_row(self, row: Row | None, decision: Decision | None) -> Conflict:
        """The same, with what stands."""
        return replace(self, row=row, decision=decision)


class ConflictError(EarwitnessError):
    """Nothing was written: somebody else has decided since on one event or more."""

    def __init__(self, conflicts: Sequence[Conflict]):
        super().__init__("; ".join(f"{c.event_id}: decided by {c.by} at {c.at}" for c in conflicts))
        self.conflicts = tuple(conflicts)


class RefusedError(EarwitnessError):
    """Nothing was written: the decision cannot be meant so.

    `kind` is a short word for programs: "unknown" (there is no such event, taxon or recording), "invalid", "nothing"
    (there is nothing to undo or redo), "closed" (the store cannot be written).
    """

    def __init__(self, kind: str, message: str, remedy: str = ""):
        super().__init__(f"{message}; {remedy}" if remedy else message)
        self.kind, self.message, self.remedy = kind, message, remedy
