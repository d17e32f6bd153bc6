"""What was named on a dive, and how much that speaks for a name heard elsewhere on it."""

from __future__ import annotations

from bisect import bisect_left
from functools import cache, lru_cache

from earwitness.pipeline.mention.spans import Found
from earwitness.pipeline.mention.windows import Window
from earwitness.pipeline.words import word_rows
from earwitness.taxonomy import Checklist


@cache
def _terms() -> dict[str, float]:
    return {row["term"]: float(row["nats"]) for row in word_rows("context")}


class Context:
    """Taxa named on a dive, by the place of their words.

    Args:
        checklist: the taxa.
        named: spans with a sure name.
    """

    def __init__(self, checklist: Checklist, named: list[Found]):
        self._checklist = checklist
        self._places: dict[int, list[int]] = {}
        self._genera: dict[int, list[int]] = {}
        self._groups: list[tuple[int, int]] = []
        self._lineage = lru_cache(maxsize=None)(self._lineage_of)
        for span in named:
            self.add((span.first, span.last), span.candidates[0].row)

    def add(self, window: Window, row: int) -> None:
        """A taxon was named here."""
        first, _ = window
        self._places.setdefault(row, []).append(first)
        genus, _ = self._lineage(row)
        if genus is not None:
            self._genera.setdefault(genus, []).append(first)
        else:
            self._groups.append((first, row))
            self._groups.sort()

    def nats(self, row: int, window: Window) -> float:
        """How much likelier (natural log of odds) a taxon is to be meant here for what was named elsewhere."""
        first, last = window
        genus, lineage = self._lineage(row)
        terms = _terms()
        total = 0.0
        if any(not first <= place < last for place in self._places.get(row, ())):
            total += terms["taxon"]
        elif genus is not None and any(not first <= place < last for place in self._genera.get(genus, ())):
            total += terms["genus"]
        reach = int(terms["groupWords"])
        begin, end = (bisect_left(self._groups, (place, -1)) for place in (first - reach, last + reach))
        near = self._groups[begin:end]
        if any(group in lineage and group != row and not first <= place < last for place, group in near):
            total += terms["group"]
        return total

    def _lineage_of(self, row: int) -> tuple[int | None, frozenset[int]]:
        """Row of the genus (the taxon itself or above it), and all rows above."""
        above = tuple(self._checklist.lineage(row))
        genus = next((at for at in (row, *above) if self._checklist.taxon(at).rank == "genus"), None)
        return genus, frozenset(above)
