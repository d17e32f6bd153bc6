"""What each reviewer made of each event: the history and the drafted rows come in, views go out.

The history is one chain, and the second to decide sees what the first decided. A reviewer's view of an event is the row
as it stood after their own last decision on its state that was not taken back. Refuses nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from earwitness.pipeline.review.decisions import MERGED, OWN_COLUMNS, Decision
from earwitness.pipeline.review.edits import means_the_same
from earwitness.pipeline.review.history import History

Row = Mapping[str, Any]
_DECIDED = ("accepted", "changed", "rejected")
_SIGNED = frozenset(("reviewStatus", "reviewedBy", "reviewedAt"))
"""A change lists only what differs: whoever accepts an accepted row changes but who did and when."""


@dataclass(frozen=True, slots=True)
class Views:
    """Rows with the desk's own columns beside the event's.

    Args:
        by_reviewer: reviewer -> event -> the row after their last decision.
        final: event -> the row as it stands, for decided events.
    """

    by_reviewer: Mapping[str, Mapping[str, Row]]
    final: Mapping[str, Row]


def views(
    decisions: Iterable[Decision],
    drafted: Mapping[str, Row],
    kept: Mapping[int, Mapping[str, Row]] = MappingProxyType({}),
) -> Views:
    """Replay a whole history, from its first decision on.

    Args:
        decisions: all of them, with those that were taken back.
        drafted: rows that the last decisions were made on, by eventID.
        kept: number of a decision -> event -> the drafted row that it was made on, where it was another than before.
    """
    history = History()
    history.take(decisions, {})
    stand: dict[str, dict[str, Any]] = {}
    base = dict(drafted)
    found: dict[str, dict[str, Row]] = {}
    for decision in history.live():
        for change in decision.changes:
            name, after = change.event_id, change.after or {}
            if name in kept.get(decision.number, ()):
                base[name] = kept[decision.number][name]
                stand[name] = dict(base[name])
            if change.before is None:
                stand[name] = dict(after)
            elif decision.action == "reopen":
                stand[name] = dict(base.get(name, stand.get(name, {})))
            else:
                stand[name] = {**stand.get(name, base.get(name, {})), **after}
            if change.before is None or not _SIGNED.isdisjoint(after):
                mine = found.setdefault(decision.reviewer, {})
                mine.pop(name, None)
                if is_decided(stand[name]):
                    mine[name] = _judged(stand[name], base.get(name))
    return Views(
        {reviewer: rows for reviewer, rows in found.items() if rows},
        {name: row for name, row in stand.items() if is_decided(row)},
    )


def _judged(row: Row, draft: Row | None) -> Row:
    """A reviewer's row. Whoever puts back what was drafted accepts it, though the row keeps that it was changed."""
    is_back = draft is not None and row["reviewStatus"] == "changed" and means_the_same(row, draft)
    return {**row, "reviewStatus": "accepted"} if is_back else dict(row)


def is_decided(row: Row) -> bool:
    """Whether a person decided on the row itself; one that was merged into another was only put away."""
    return row.get("reviewStatus") in _DECIDED and row.get(OWN_COLUMNS[2]) != MERGED


def name_at(row: Row, rank: str) -> str | None:
    """The name a row has at a rank; None where it is rejected or was not named so closely."""
    if row.get("reviewStatus") == "rejected":
        return None
    name, own = row.get("scientificName"), (row.get("taxonRank") or "").lower()
    if not name:
        return None
    if rank == "name":
        return str(name)
    if rank == "species":
        words = str(name).split()
        return " ".join(words[:2]) if own in ("species", "subspecies", "variety", "form") and len(words) > 1 else None
    return str(name) if own == rank else row.get(rank) or None
