"""Undo and redo: a reviewer's own decisions, the newest first, unless somebody else has built on them since."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from earwitness.pipeline.review.decisions import OWN_COLUMNS, Change, Decision, RefusedError, Row
from earwitness.pipeline.review.history import History


@dataclass(frozen=True, slots=True)
class Steps:
    """What an undo or redo will do.

    Args:
        steps: each decision that it takes back, with the changes that makes.
        conflicts: events that somebody else decided on since: event -> the version last seen, and their decision.
    """

    steps: tuple[tuple[Decision, tuple[Change, ...]], ...]
    conflicts: Mapping[str, tuple[int, Decision]]


def takes_back(
    history: History, reviewer: str, action: str, rows: Mapping[str, Row], own: Callable[[str], Row]
) -> Steps:
    """What the reviewer's next undo (or redo) takes back.

    Raises:
        RefusedError: there is nothing to take back.
    """
    found = history.to_undo(reviewer) if action == "undo" else history.to_redo(reviewer)
    if not found:
        raise RefusedError("nothing", f"there is nothing to {action}", "a decision of your own")
    conflicts = {
        name: (decision.number, other)
        for decision in found
        for name, other in history.others_since(decision, reviewer).items()
    }
    if conflicts:
        return Steps((), conflicts)
    # Several decisions on one event follow each other: what the first sets, the next finds.
    stands = dict(rows)
    owned: dict[str, Row] = {}
    steps = []
    for decision in found:
        original = history.original(decision)
        changes = []
        for change in original.changes:
            wanted = change.before if action == "undo" else change.after
            had = change.after if action == "undo" else change.before
            name = change.event_id
            row = stands.get(name)
            if wanted is None or row is None:
                changes.append(Change(name, row if had is None or wanted is None else None, wanted))
                if wanted is None:
                    stands.pop(name, None)
                else:
                    stands[name] = dict(wanted)
                continue
            there = row | owned.setdefault(name, own(name))
            changes.append(Change(name, {column: there.get(column) for column in wanted}, dict(wanted)))
            stands[name] = row | {column: value for column, value in wanted.items() if column not in OWN_COLUMNS}
            owned[name] |= {column: value for column, value in wanted.items() if column in OWN_COLUMNS}
        steps.append((decision, tuple(changes)))
    return Steps(tuple(steps), {})
