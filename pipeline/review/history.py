"""Decisions in order come in; how every event stands after them goes out.

What stands is what the decisions say that were not taken back. Undo is allowed only where nobody else has built on a
decision since, so leaving it out is the same as if it had never been.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from earwitness.pipeline.review.decisions import OWN_COLUMNS, Change, Decision, Row

LINKS = ("associatedTaxa", "associatedOccurrences")
"""Columns that speak of other events as well: reopening an event leaves them."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What decisions made of one event.

    Args:
        added: the row that people added, None for a drafted event.
        columns: event columns that decisions set.
        own: the desk's own columns (OWN_COLUMNS), those that are not null.
    """

    added: Row | None = None
    columns: Mapping[str, Any] = field(default_factory=dict)
    own: Mapping[str, Any] = field(default_factory=dict)

    @property
    def is_decided(self) -> bool:
        """Whether it was accepted, changed or rejected: from then on no newer draft changes it."""
        return self.added is not None or self.columns.get("reviewStatus", "draft") != "draft"


@dataclass(slots=True)
class _Pile:
    """One reviewer's decisions that can be taken back, and undos that can, the latest last."""

    done: list[int] = field(default_factory=list)
    undone: list[int] = field(default_factory=list)


class History:
    """All decisions of a run so far. `kept` has the drafted rows kept with a decision, by its number."""

    def __init__(self) -> None:
        self.decisions: list[Decision] = []
        self._live: set[int] = set()
        self._touching: dict[str, list[int]] = {}
        self._snapshots: dict[str, Row] = {}
        self.kept: dict[int, Mapping[str, Row]] = {}
        self._piles: dict[str, _Pile] = {}
        self._uids: dict[str, int] = {}

    @property
    def last(self) -> int:
        """Number of the last decision; 0: none."""
        return len(self.decisions)

    @property
    def reviewers(self) -> list[str]:
        """Everybody who decided on anything, in order of their first decision."""
        return list(self._piles)

    def __getitem__(self, number: int) -> Decision:
        return self.decisions[number - 1]

    def of_request(self, uid: str) -> list[Decision]:
        """The decisions that a request with this uid made; empty: it was not done."""
        if uid not in self._uids:
            return []
        found = [self[self._uids[uid]]]
        # See `Desk`: what one request decides on several events bears its uid and a number.
        while f"{uid}#{len(found) + 1}" in self._uids:
            found.append(self[self._uids[f"{uid}#{len(found) + 1}"]])
        return found

    def take(self, decisions: Iterable[Decision], snapshots: Mapping[int, Mapping[str, Row]]) -> set[str]:
        """Take in the decisions that follow; returns the events they touched."""
        changed: set[str] = set()
        for decision in decisions:
            if decision.number != self.last + 1:
                raise ValueError(f"decision {decision.number} after {self.last}")
            self.decisions.append(decision)
            self._uids[decision.uid] = decision.number
            for name in dict.fromkeys(change.event_id for change in decision.changes):
                self._touching.setdefault(name, []).append(decision.number)
                changed.add(name)
            if kept := snapshots.get(decision.number):
                self._snapshots |= kept
                self.kept[decision.number] = kept
            self._set_live(decision)
        return changed

    def _set_live(self, decision: Decision) -> None:
        pile = self._piles.setdefault(decision.reviewer, _Pile())
        if decision.undoes is None:
            self._live.add(decision.number)
            pile.done.append(decision.number)
            pile.undone.clear()
        elif decision.action == "undo":
            self._live.discard(decision.undoes)
            pile.done.remove(decision.undoes)
            pile.undone.append(decision.number)
        else:
            original = self.original(decision).number
            self._live.add(original)
            pile.undone.remove(decision.undoes)
            pile.done.append(original)

    def original(self, decision: Decision) -> Decision:
        """The decision that an undo takes back or a redo brings back; any other is its own."""
        while decision.undoes is not None:
            decision = self[decision.undoes]
        return decision

    def is_live(self, number: int) -> bool:
        """Whether a decision stands, that is was not taken back."""
        return number in self._live

    def live(self) -> Iterator[Decision]:
        """The decisions that stand, in order."""
        return (decision for decision in self.decisions if decision.number in self._live)

    def version(self, event_id: str) -> int:
        """Number of the last decision that touched an event; 0: none."""
        numbers = self._touching.get(event_id)
        return numbers[-1] if numbers else 0

    def of_event(self, event_id: str) -> list[Decision]:
        """The decisions that touched an event, in order."""
        return [self[number] for number in self._touching.get(event_id, ())]

    def events(self) -> Iterator[str]:
        """The events that were ever touched."""
        return iter(list(self._touching))

    def snapshot(self, event_id: str) -> Row | None:
        """The drafted row that an event's decisions were made on."""
        return self._snapshots.get(event_id)

    def standing(self, event_id: str) -> Standing | None:
        """How an event stands; None for one that no decision is about (any more)."""
        added: Row | None = None
        columns: dict[str, Any] = {}
        own: dict[str, Any] = {}
        found = False
        for decision in self.of_event(event_id):
            if decision.number not in self._live:
                continue
            for change in _about(decision, event_id):
                found = True
                if change.before is None:
                    added = dict(change.after or {})
                    continue
                after = change.after or {}
                if decision.action == "reopen" and added is None:
                    # As drafted, and from now on as the newest draft has it.
                    columns = {name: value for name, value in columns.items() if name in LINKS}
                else:
                    columns |= {name: value for name, value in after.items() if name not in OWN_COLUMNS}
                own |= {name: value for name, value in after.items() if name in OWN_COLUMNS}
        if not found:
            return None
        return Standing(added, columns, {name: value for name, value in own.items() if value is not None})

    def to_undo(self, reviewer: str) -> list[Decision]:
        """What the reviewer's next undo takes back, the latest first; empty: nothing."""
        return self._top(self._piles.get(reviewer, _Pile()).done)

    def to_redo(self, reviewer: str) -> list[Decision]:
        """The undos that the reviewer's next redo takes back, the latest first; empty: nothing."""
        return self._top(self._piles.get(reviewer, _Pile()).undone)

    def _top(self, numbers: list[int]) -> list[Decision]:
        if not numbers:
            return []
        batch = self[numbers[-1]].batch
        found: list[Decision] = []
        for number in reversed(numbers):
            if found and (batch is None or self[number].batch != batch):
                break
            found.append(self[number])
        return found

    def others_since(self, decision: Decision, reviewer: str) -> dict[str, Decision]:
        """Events of a decision that others touched after it and what they did still stands: event -> their last."""
        found = {}
        for name in dict.fromkeys(change.event_id for change in decision.changes):
            later = [d for d in self.of_event(name) if d.number > decision.number and d.reviewer != reviewer]
            if decision.action != "undo":
                later = [d for d in later if d.number in self._live]
            if later:
                found[name] = later[-1]
        return found


def _about(decision: Decision, event_id: str) -> Iterator[Change]:
    return (change for change in decision.changes if change.event_id == event_id)
