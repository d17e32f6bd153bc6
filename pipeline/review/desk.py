"""A run's drafted rows and its history come in; rows as they stand go out, and decisions go in.

    desk = open_desk("dive_draft")
    outcome = desk.decide(Request(uid, "accept", {event_id: desk.version(event_id)}), "R. Reader")

Several people and several servers may work on one history: `refresh` takes in what others decided. Refuses decisions on
what has changed since it was seen (ConflictError) and those that cannot be meant so (RefusedError).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from sqlalchemy.exc import SQLAlchemyError

from earwitness.pipeline.review import reshaping
from earwitness.pipeline.review.actions import SINGLE, Case, Plan
from earwitness.pipeline.review.checklist import open_checklist
from earwitness.pipeline.review.decisions import (
    Conflict,
    ConflictError,
    Decision,
    Proposed,
    RefusedError,
    Request,
    Row,
)
from earwitness.pipeline.review.placing import Places
from earwitness.pipeline.review.stack import Stack
from earwitness.pipeline.review.store import Store, open_store, run_key
from earwitness.pipeline.review.taking_back import takes_back
from earwitness.pipeline.review.talk import Talk
from earwitness.pipeline.review.teaching import Teacher
from earwitness.pipeline.table import DATABASE, RunFiles, read_run_files
from earwitness.taxonomy import NameIndex, corrections_path

_VERSION = version("earwitness")


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a request: the decisions made, the events they touched, and what could not be taught, in words."""

    decisions: tuple[Decision, ...]
    events: tuple[str, ...]
    last: int
    complaints: tuple[str, ...] = ()


def open_desk(
    folder: str | Path,
    *,
    database: str | Path | None = None,
    checklist: str | Path | None = None,
    corrections: str | Path | None = None,
) -> Desk:
    """The desk of a finished run.

    Args:
        folder: the run's folder.
        database: a team's database or another SQLite file; default: `review.sqlite` in the folder.
        checklist: where the run's checklist lies now; default: where the run says.
        corrections: the file that decisions teach; default: the one the run was drafted with, or the one beside the
            checklist.

    Raises:
        InputError: the run, the checklist or the database cannot be used.
    """
    run = read_run_files(folder)
    index = open_checklist(run, checklist)
    drafted_with = run.summary["settings"].get("corrections") or {}
    taught = Path(corrections or drafted_with.get("path") or corrections_path(index.checklist.path))
    store = open_store(database if database is not None else run.folder / DATABASE, run_key(run.recording_ids))
    return Desk(run, index, store, Teacher(taught, index.checklist))


class Desk(Stack):
    """One run on the desk. Safe to use from several threads."""

    def __init__(self, run: RunFiles, index: NameIndex, store: Store, teacher: Teacher | None = None):
        super().__init__(run, store)
        self.index, self.checklist = index, index.checklist
        self.talk = Talk(run)
        self._places = Places(run)
        self._teacher = teacher
        self._is_draft_kept = False
        self._tell_what_waited()

    # Decisions.

    def decide(self, request: Request, reviewer: str) -> Outcome:
        """Do what somebody asks for; when this returns it is on the disk.

        Raises:
            ConflictError: somebody else decided on one of the events since it was seen; nothing is written.
            RefusedError: it cannot be meant so; nothing is written.
        """
        return self._write(request.uid, request.batch or "-", reviewer, lambda: self._proposed(request, reviewer))

    def undo(self, uid: str, reviewer: str) -> Outcome:
        """Take back the reviewer's last decision, with all of its batch.

        Raises:
            ConflictError: somebody else has decided on one of its events since.
            RefusedError: there is nothing to take back.
        """
        return self._write(uid, "-", reviewer, lambda: self._taken_back(uid, reviewer, "undo"))

    def redo(self, uid: str, reviewer: str) -> Outcome:
        """Bring back what the reviewer's last undo took.

        Raises:
            ConflictError, RefusedError: as `undo`.
        """
        return self._write(uid, "-", reviewer, lambda: self._taken_back(uid, reviewer, "redo"))

    def _write(self, uid: str, batch: str, reviewer: str, propose: Callable[[], list[Proposed]]) -> Outcome:
        for what, text in (("uid", uid), ("batch", batch), ("reviewer", reviewer)):
            if not 0 < len(text) <= 100 or not text.isprintable():
                raise RefusedError(
                    "invalid", f"{what} is empty, too long or unreadable", "1 to 100 printable characters"
                )
        try:
            with self._lock:
                self.refresh()
                if known := self.history.of_request(uid):
                    return self._outcome(known, ())
                drafts = propose()
                self._keep_draft()
                try:
                    made = self.store.append(drafts)
                except ConflictError as error:
                    # Another server was quicker between our look and our writing.
                    self.refresh()
                    raise ConflictError([self._with_what_stands(c) for c in error.conflicts]) from error
                expected = [draft.decided(number) for number, draft in enumerate(drafts, self.last + 1)]
                if made == expected:
                    self._take(made, {self.last + n: draft.snapshots for n, draft in enumerate(drafts, 1)})
                else:
                    self.refresh()
                complaints = self._tell(made)
        except SQLAlchemyError as error:
            reason = " ".join(str(getattr(error, "orig", None) or error).split())[:200]
            raise RefusedError("closed", f"the decision could not be written ({reason})", "try again") from error
        return self._outcome(made, complaints)

    def _keep_draft(self) -> None:
        if not self._is_draft_kept:
            self.store.keep_draft(self.run.sha256, list(self.run.events))
            self._is_draft_kept = True

    def _outcome(self, decisions: Sequence[Decision], complaints: Sequence[str]) -> Outcome:
        names = dict.fromkeys(change.event_id for decision in decisions for change in decision.changes)
        return Outcome(tuple(decisions), tuple(names), self.last, tuple(complaints))

    def _proposed(self, request: Request, reviewer: str) -> list[Proposed]:
        at = now()
        case = Case(
            reviewer,
            at,
            self.row,
            self.own,
            self.drafted,
            self.talk.heard_how,
            self.checklist,
            self._places.place,
        )
        seen = dict(request.targets)
        self._refuse_conflicts(seen)
        plans = self._plans(case, request)
        batch = request.batch or (request.uid if len(plans) > 1 else None)
        drafts = []
        for number, plan in enumerate(plans):
            touched = [change.event_id for change in plan.changes]
            drafts.append(
                Proposed(
                    uid=request.uid if not number else f"{request.uid}#{number + 1}",
                    at=at,
                    reviewer=reviewer,
                    action=request.action,
                    changes=plan.changes,
                    seen={name: seen.get(name, self.version(name)) for name in touched},
                    snapshots=self._to_keep(touched),
                    note=plan.note,
                    batch=batch,
                    software=_VERSION,
                    draft=self.run.sha256,
                    lesson=plan.lesson,
                )
            )
        return drafts

    def _plans(self, case: Case, request: Request) -> list[Plan]:
        targets = list(request.targets)
        if request.action == "add":
            return [reshaping.add(case, request, self.talk.words(request.words, request.columns))]
        if not targets:
            raise RefusedError("invalid", "no event is named", "its eventID and version among the targets")
        if request.action == "merge":
            return [reshaping.merge(case, targets, request)]
        if request.action in ("split", "link"):
            first = next((name for name in targets if name != request.into), targets[0])
            act = reshaping.split if request.action == "split" else reshaping.link
            return [act(case, first, request)]
        act_on_one = SINGLE.get(request.action)
        if act_on_one is None:
            raise RefusedError("invalid", f"{request.action!r} is not an action to ask for", ", ".join(SINGLE))
        return [act_on_one(case, name, request) for name in targets]

    def _to_keep(self, names: Iterable[str]) -> dict[str, Row]:
        """The drafted rows that a decision is made on, where they are not kept already."""
        kept = {}
        for name in names:
            row, standing = self.run.events.get(name), self._standing.get(name)
            settled = standing is not None and standing.is_decided
            if row is not None and not settled and self.history.snapshot(name) != row:
                kept[name] = row
        return kept

    def _taken_back(self, uid: str, reviewer: str, action: str) -> list[Proposed]:
        at = now()
        found = takes_back(self.history, reviewer, action, self._rows, self.own)
        if found.conflicts:
            seen = {name: version for name, (version, _) in found.conflicts.items()}
            raise ConflictError(
                [self._conflict(name, seen[name], decision) for name, (_, decision) in found.conflicts.items()]
            )
        return [
            Proposed(
                uid=uid if not number else f"{uid}#{number + 1}",
                at=at,
                reviewer=reviewer,
                action="undo" if action == "undo" else "redo",
                changes=changes,
                seen={change.event_id: self.version(change.event_id) for change in changes},
                undoes=decision.number,
                batch=uid if len(found.steps) > 1 else None,
                lesson=self.history.original(decision).lesson,
                software=_VERSION,
                draft=self.run.sha256,
            )
            for number, (decision, changes) in enumerate(found.steps)
        ]

    # Conflicts.

    def _refuse_conflicts(self, seen: Mapping[str, int]) -> None:
        found = []
        for name, number in seen.items():
            version = self.version(name)
            if version == 0 or version == number:
                self.row(name)
            if version != number:
                found.append(self._conflict(name, number, self.history[version] if version else None))
        if found:
            raise ConflictError(found)

    def _conflict(self, event_id: str, seen: int, decision: Decision | None) -> Conflict:
        by, at = (decision.reviewer, decision.at) if decision else ("", "")
        return Conflict(event_id, seen, self.version(event_id), by, at, self._rows.get(event_id), decision)

    def _with_what_stands(self, conflict: Conflict) -> Conflict:
        return conflict.with_row(self._rows.get(conflict.event_id), conflict.decision)

    # Teaching.

    def _tell(self, decisions: Sequence[Decision]) -> list[str]:
        """Teach what they teach; the store forgets that they wait for it where that went well."""
        waited = [decision for decision in decisions if decision.lesson is not None]
        if not waited:
            return []
        complaints = self._teacher.tell(waited, self.history) if self._teacher else []
        if not complaints:
            self.store.told([decision.number for decision in waited])
        return complaints

    def _tell_what_waited(self) -> None:
        with self._lock:
            self._tell([self.history[number] for number in self.store.waiting() if number <= self.last])


def now() -> str:
    """The present moment, RFC 3339 UTC to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
