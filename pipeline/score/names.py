"""How near a run's name is to the gold's, on the checklist's tree.

In: two names as rows give them, and a checklist. Out: a `Named` each, their `Agreement` and `Relation`.
Refuses nothing: a name the checklist lacks is compared as text, by its genus where the checklist has that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Literal, Protocol

Relation = Literal["same", "ancestor", "descendant", "apart"]
"""What the run's taxon is to the gold's: `ancestor` is right but coarser, `descendant` claims more than was
said.
"""


class TaxonRow(Protocol):
    """The fields of a checklist row that measuring reads; empty text or None where the row has none."""

    @property
    def scientific_name(self) -> str: ...  # noqa: D102
    @property
    def rank(self) -> str: ...  # noqa: D102
    @property
    def genus(self) -> str | None: ...  # noqa: D102
    @property
    def family(self) -> str | None: ...  # noqa: D102


class Lineages(Protocol):
    """What measuring needs of a checklist; `earwitness.taxonomy.checklist.Checklist` is one."""

    def find(self, name: str, /) -> Sequence[int]: ...  # noqa: D102
    def accepted(self, index: int, /) -> int: ...  # noqa: D102
    def lineage(self, index: int, /) -> Sequence[int]: ...  # noqa: D102
    def is_same_or_ancestor(self, above: int, below: int, /) -> bool: ...  # noqa: D102
    def taxon(self, index: int, /) -> TaxonRow: ...  # noqa: D102


class Agreement(IntEnum):
    """How far two names agree, best first."""

    SAME_TAXON = 0
    SAME_GENUS = 1
    SAME_FAMILY = 2
    ANCESTOR = 3
    DESCENDANT = 4
    NONE = 5

    @property
    def related(self) -> bool:
        """Right or an ancestor, or the same family or closer: pairs whose other columns can be compared."""
        return self <= Agreement.ANCESTOR


@dataclass(frozen=True, slots=True)
class Named:
    """A name placed on the checklist.

    Args:
        text: the accepted name, or the name as given where the checklist lacks it; None where no name was
            given.
        anchor: index of the accepted row, or of the genus where only that is known; None where neither is.
        known: whether the checklist has the name itself.
        species, genus, family: the name at that level, or None where the taxon is above it or the level is
            unknown.
    """

    text: str | None = None
    anchor: int | None = None
    known: bool = False
    species: str | None = None
    genus: str | None = None
    family: str | None = None

    def at(self, level: str) -> str | None:
        """The name at a level: "taxon" (the name itself), "species", "genus" or "family"."""
        return {"taxon": self.text, "species": self.species, "genus": self.genus, "family": self.family}[level]


def place(
    name: str | None,
    checklist: Lineages,
    *,
    rank: str | None = None,
    genus: str | None = None,
    family: str | None = None,
) -> Named:
    """Place a name on the checklist.

    `rank` chooses among homonyms; where the checklist lacks the name, `rank`, `genus`, `family` speak for it.
    """
    text = " ".join((name or "").split())
    if not text:
        return Named()
    rank = (rank or "").casefold()
    if (index := _index_of(text, rank, checklist)) is not None:
        levels = {level: _at_level(index, level, checklist) for level in ("species", "genus", "family")}
        return Named(checklist.taxon(index).scientific_name, index, True, **levels)
    return _place_unknown(text, rank, genus or None, family or None, checklist)


def relation(run: Named, gold: Named, checklist: Lineages) -> Relation:
    """What the run's taxon is to the gold's; "apart" where either has no name."""
    if not run.text or not gold.text:
        return "apart"
    if run.known and gold.known:
        if run.anchor == gold.anchor:
            return "same"
    elif _equal(run.text, gold.text):
        return "same"
    if _stands_above(run, gold, checklist):
        return "ancestor"
    return "descendant" if _stands_above(gold, run, checklist) else "apart"


def agreement(run: Named, gold: Named, checklist: Lineages) -> Agreement:
    """The closest of same taxon, genus, family, ancestor of the gold, descendant of the gold, none."""
    kin = relation(run, gold, checklist)
    if kin == "same":
        return Agreement.SAME_TAXON
    if _equal(run.genus, gold.genus):
        return Agreement.SAME_GENUS
    if _equal(run.family, gold.family):
        return Agreement.SAME_FAMILY
    if kin == "ancestor":
        return Agreement.ANCESTOR
    return Agreement.DESCENDANT if kin == "descendant" else Agreement.NONE


def same_at(level: str, run: Named, gold: Named, checklist: Lineages) -> bool:
    """Whether both have a name at `level` ("taxon", "species", "genus", "family") and it is the same one."""
    if level == "taxon":
        return relation(run, gold, checklist) == "same"
    return _equal(run.at(level), gold.at(level))


def _equal(one: str | None, other: str | None) -> bool:
    return one is not None and other is not None and one.casefold() == other.casefold()


def _index_of(text: str, rank: str, checklist: Lineages) -> int | None:
    rows = [checklist.accepted(row) for row in checklist.find(text)]
    if not rows:
        return None
    return next((row for row in rows if rank and checklist.taxon(row).rank.casefold() == rank), rows[0])


def _at_level(index: int, level: str, checklist: Lineages) -> str | None:
    for row in (index, *checklist.lineage(index)):
        if checklist.taxon(row).rank.casefold() == level:
            return checklist.taxon(row).scientific_name
    # A checklist whose parents are cut short may still state genus and family in the row itself.
    taxon = checklist.taxon(index)
    stated = {"genus": taxon.genus, "family": taxon.family}.get(level)
    return stated or None


def _place_unknown(text: str, rank: str, genus: str | None, family: str | None, checklist: Lineages) -> Named:
    words = text.split()
    binomial = len(words) > 1 and words[1].isalpha() and words[1].islower()
    if binomial or rank == "genus":
        genus = genus or words[0]
    anchor = _index_of(genus, "genus", checklist) if genus else None
    if rank == "family":
        family = text
    elif anchor is not None and not family:
        family = _at_level(anchor, "family", checklist)
    return Named(text, anchor, False, " ".join(words[:2]) if binomial else None, genus, family)


def _stands_above(above: Named, below: Named, checklist: Lineages) -> bool:
    """Strictly above: the two are known not to be the same taxon."""
    if above.known and below.anchor is not None and above.anchor is not None:
        return checklist.is_same_or_ancestor(above.anchor, below.anchor)
    return any(_equal(above.text, name) for name in (below.species, below.genus, below.family))
