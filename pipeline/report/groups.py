"""Higher groups: in which lane, colour and shape an animal is shown. In: event rows. Out: at most eight groups.

A group keeps its colour from report to report, so that dives can be laid side by side; colour is never alone: every
group has a shape of its own too.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from earwitness.pipeline.report.wording import clean

RANKS = ("phylum", "class", "order", "family")
"""Ranks to group by: the first at which the dive's animals fall into two groups or more, else the first."""
USUAL = ("Cnidaria", "Porifera", "Echinodermata", "Arthropoda", "Chordata", "Mollusca", "Annelida")
"""Phyla most talked of on dives, each with its own slot (common practice, no source); others get what is left."""
SHAPES = ("circle", "square", "triangle", "diamond", "wedge", "pentagon", "cross", "star")
LAST = len(SHAPES) - 1
"""Slot of everything that has no group of its own."""
ELSEWHERE = "other groups"


@dataclass(frozen=True, slots=True)
class Group:
    """Animals drawn alike.

    Args:
        name: of the taxon, or `ELSEWHERE`.
        slot: which colour and shape.
        events: how many occurrence rows.
        members: names that stand together in `ELSEWHERE`; "not placed" for animals without a taxon of this rank.
    """

    name: str
    slot: int
    events: int
    members: tuple[str, ...] = ()

    @property
    def shape(self) -> str:
        """Name of its shape."""
        return SHAPES[self.slot]


@dataclass(frozen=True, slots=True)
class Groups:
    """The groups of a report, largest first, and the rank they are taxa of."""

    rank: str
    groups: tuple[Group, ...]

    def of(self, row: dict[str, Any]) -> Group:
        """The group of an occurrence row."""
        name = clean(row.get(self.rank))
        return next((group for group in self.groups if group.name == name), self.groups[-1])


def higher_groups(occurrences: Iterable[dict[str, Any]]) -> Groups:
    """Group occurrence rows by phylum, or by a lower rank where all are of one phylum."""
    rows = list(occurrences)
    tallies = {rank: Counter(clean(row.get(rank)) for row in rows) for rank in RANKS}
    rank = next((rank for rank in RANKS if len(set(tallies[rank]) - {""}) > 1), RANKS[0])
    tally = tallies[rank]
    ordered = sorted((name for name in tally if name), key=lambda name: (-tally[name], name))
    own, rest = ordered[:LAST], ordered[LAST:]
    free = [slot for slot in range(LAST) if USUAL[slot] not in own]
    groups = [Group(name, USUAL.index(name) if name in USUAL else free.pop(0), tally[name]) for name in own]
    members = (*rest, *(["not placed"] if tally[""] else []))
    if members:
        groups.append(Group(ELSEWHERE, LAST, tally[""] + sum(tally[name] for name in rest), members))
    return Groups(rank, tuple(groups))
