"""A run's drafted rows and its history come in; every event as it stands goes out.

A decided event stays as it was decided, on the drafted row that its reviewer saw; an undecided one follows the newest
draft. Refuses events that are not there (RefusedError).
"""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from earwitness.pipeline.review.decisions import OWN_COLUMNS, Decision, RefusedError, Row
from earwitness.pipeline.review.history import History, Standing
from earwitness.pipeline.review.store import Store
from earwitness.pipeline.table import RunFiles

T = TypeVar("T")
COUNTED = ("total", "draft", "accepted", "changed", "rejected", "ask")
"""What a stack counts its events by: all, by reviewStatus, and those that somebody asks about."""


class Stack:
    """The events of one run as they stand. Safe to use from several threads."""

    def __init__(self, run: RunFiles, store: Store):
        self.run, self.store = run, store
        self.history = History()
        self._lock = threading.RLock()
        self._rows: dict[str, Row] = dict(run.events)
        self._standing: dict[str, Standing] = {}
        self._counts = Counter(what for row in self._rows.values() for what in _counted(row, None))
        self.refresh()

    def refresh(self) -> tuple[list[Decision], set[str]]:
        """Take in what was decided since, here or elsewhere: the decisions and the events they touched."""
        with self._lock:
            before = self.history.last
            decisions = self.store.since(before)
            if not decisions:
                return [], set()
            return decisions, self._take(decisions, self.store.snapshots_since(before))

    def _take(self, decisions: Sequence[Decision], snapshots: Mapping[int, Mapping[str, Row]]) -> set[str]:
        """Take in the decisions that follow; returns the events they touched."""
        changed = self.history.take(decisions, snapshots)
        # Copies: whoever walks through the rows as they were is not disturbed.
        rows, standings, counts = dict(self._rows), dict(self._standing), Counter(self._counts)
        for name in changed:
            standing = self.history.standing(name)
            row = effective(standing, self.run.events.get(name), self.history.snapshot(name))
            counts.subtract(_counted(rows.get(name), standings.get(name)))
            counts.update(_counted(row, standing))
            _put(standings, name, standing)
            _put(rows, name, row)
        self._rows, self._standing, self._counts = rows, standings, counts
        return changed

    @property
    def rows(self) -> Mapping[str, Row]:
        """All events as they stand, by eventID: in the draft's order, then what people added."""
        return self._rows

    def row(self, event_id: str) -> Row:
        """One event as it stands.

        Raises:
            RefusedError: there is no such event.
        """
        row = self._rows.get(event_id)
        if row is None:
            raise RefusedError("unknown", f"there is no event {event_id!r}", "an event of this run")
        return row

    def own(self, event_id: str) -> Row:
        """The desk's own columns of an event, null where there is nothing."""
        standing = self._standing.get(event_id)
        return dict.fromkeys(OWN_COLUMNS) | (dict(standing.own) if standing else {})

    def standing(self, event_id: str) -> Standing | None:
        """What decisions made of an event, None where none stands."""
        return self._standing.get(event_id)

    def drafted(self, event_id: str) -> Row | None:
        """The drafted row that an event's decision is about; None for one that people added."""
        standing = self._standing.get(event_id)
        if standing is not None and standing.added is not None:
            return None
        kept = self.history.snapshot(event_id)
        newest = self.run.events.get(event_id)
        if standing is not None and standing.is_decided and kept is not None:
            return kept
        return newest if newest is not None else kept

    def version(self, event_id: str) -> int:
        """Number of the last decision on an event; 0: none."""
        return self.history.version(event_id)

    @property
    def last(self) -> int:
        """Number of the last decision taken in."""
        return self.history.last

    @property
    def counts(self) -> dict[str, int]:
        """How many events stand how, by COUNTED: kept in step with the decisions, whatever the number of events."""
        counts = self._counts
        return {what: counts[what] for what in COUNTED}

    def close(self) -> None:
        """Let the database go."""
        self.store.close()


def _counted(row: Row | None, standing: Standing | None) -> Iterator[str]:
    """What one event counts for."""
    if row is not None:
        yield from ("total", row["reviewStatus"])
        if standing is not None and "askNote" in standing.own:
            yield "ask"


def _put(place: dict[str, T], name: str, value: T | None) -> None:
    if value is None:
        place.pop(name, None)
    else:
        place[name] = value


def effective(standing: Standing | None, drafted: Row | None, kept: Row | None) -> Row | None:
    """An event as it stands.

    Args:
        standing: what decisions made of it.
        drafted: its row in the newest draft.
        kept: the drafted row that its decisions were made on.

    Returns:
        None where it is not there: a draft that the newest one has no more, and nobody said anything of.
    """
    if standing is None:
        return drafted
    if standing.added is not None:
        return standing.added | dict(standing.columns)
    base = kept if standing.is_decided and kept is not None else drafted if drafted is not None else kept
    if base is None:
        return None
    if base is kept and drafted is None and not (standing.columns or standing.own):
        return None
    return base | dict(standing.columns)
