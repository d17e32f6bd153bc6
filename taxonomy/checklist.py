"""A checklist in memory: tidy columns and resolved rows come in; taxa, lineages, exact look-ups go out.

Rows are numbered from 0 in the order of the file. Refuses row numbers outside the list (IndexError).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import polars as pl

from earwitness.schemas.problems import Problem
from earwitness.taxonomy.resolve import Rows

COLUMNS = (
    "taxonID",
    "acceptedNameUsageID",
    "parentNameUsageID",
    "scientificName",
    "scientificNameAuthorship",
    "taxonRank",
    "taxonomicStatus",
    "kingdom",
    "phylum",
    "class",
    "order",
    "family",
    "genus",
    "vernacularNames",
)
"""The columns of `Checklist.taxa`: Darwin Core terms, except vernacularNames (a list)."""


@dataclass(frozen=True, slots=True)
class Taxon:
    """One row of a checklist; an empty string where the list says nothing.

    Args:
        index: row number.
        taxon_id: unique in the list.
        accepted: row of the accepted taxon, the row's own where it is accepted.
        parent: row of the accepted taxon's parent, None at the top or where it is not in the list.
        scientific_name: canonical, without authorship.
        authorship, rank, status: as in the list, rank in lower case.
        kingdom, phylum, class_, order, family, genus: higher classification.
        vernaculars: in the list's order.
    """

    index: int
    taxon_id: str
    accepted: int
    parent: int | None
    scientific_name: str
    authorship: str
    rank: str
    status: str
    kingdom: str
    phylum: str
    class_: str
    order: str
    family: str
    genus: str
    vernaculars: tuple[str, ...]


@dataclass(frozen=True, eq=False, repr=False)
class Checklist:
    """All taxa of one list.

    Args:
        name: stem of the file's name.
        path: as the caller gave it.
        sha256: hex, of the file's bytes (of a folder: of the files used).
        taxa: columnar, see COLUMNS; acceptedNameUsageID is resolved, parentNameUsageID may point outside.
        accepted_rows, parent_rows: row numbers by row (int32, -1 for no parent), chains followed, loops cut.
        problems: what was skipped, mended or worth a note.
    """

    name: str
    path: str
    sha256: str
    taxa: pl.DataFrame
    accepted_rows: Rows
    parent_rows: Rows
    problems: tuple[Problem, ...] = ()

    def __len__(self) -> int:
        return len(self.taxa)

    def __repr__(self) -> str:
        return f"Checklist({self.name!r}, {len(self)} taxa)"

    def __iter__(self) -> Iterator[Taxon]:
        return (self.taxon(i) for i in range(len(self)))

    def taxon(self, i: int) -> Taxon:
        """The taxon of row i."""
        known = self._made.get(i)
        if known is None:
            known = self._made[i] = self._make(i)
        return known

    def accepted(self, i: int) -> int:
        """Row of the accepted taxon of row i."""
        return self._accepted[self._checked(i)]

    def lineage(self, i: int) -> tuple[int, ...]:
        """Rows of the ancestors of row i's accepted taxon, nearest first."""
        rows = []
        row = self._parents[self._checked(i)]
        while row >= 0:
            rows.append(row)
            row = self._parents[row]
        return tuple(rows)

    def is_same_or_ancestor(self, a: int, b: int) -> bool:
        """Whether row a's accepted taxon is row b's, or stands above it."""
        sought, row = self._accepted[self._checked(a)], self._accepted[self._checked(b)]
        parents = self._parents
        while row >= 0:
            if row == sought:
                return True
            row = parents[row]
        return False

    def by_id(self, taxon_id: str) -> int | None:
        """Row of a taxonID, or None."""
        return self._row_of_id.get(taxon_id)

    def find(self, name: str) -> tuple[int, ...]:
        """Rows with exactly this canonical name, in any case; homonyms give several, accepted taxa first."""
        return self._rows_of_name.get(" ".join(name.split()).casefold(), ())

    def _checked(self, i: int) -> int:
        if not 0 <= i < len(self._accepted):
            raise IndexError(f"row {i} of a checklist of {len(self._accepted)}")
        return i

    def _make(self, i: int) -> Taxon:
        taxon_id, _, _, *texts, vernaculars = self.taxa.row(self._checked(i))
        name, authorship, rank, status, *ranks = (text or "" for text in texts)
        kingdom, phylum, class_, order, family, genus = ranks
        return Taxon(
            index=i,
            taxon_id=taxon_id,
            accepted=self._accepted[i],
            parent=self._parents[i] if self._parents[i] >= 0 else None,
            scientific_name=name,
            authorship=authorship,
            rank=rank,
            status=status,
            kingdom=kingdom,
            phylum=phylum,
            class_=class_,
            order=order,
            family=family,
            genus=genus,
            vernaculars=tuple(vernaculars),
        )

    # Built on first use and kept: most runs touch a few hundred of the rows.

    @cached_property
    def _made(self) -> dict[int, Taxon]:
        return {}

    @cached_property
    def _accepted(self) -> list[int]:
        accepted: list[int] = self.accepted_rows.tolist()
        return accepted

    @cached_property
    def _parents(self) -> list[int]:
        parents: list[int] = self.parent_rows.tolist()
        return parents

    @cached_property
    def _row_of_id(self) -> dict[str, int]:
        return {taxon_id: row for row, taxon_id in enumerate(self.taxa["taxonID"].to_list())}

    @cached_property
    def _rows_of_name(self) -> dict[str, tuple[int, ...]]:
        rows: dict[str, list[int]] = {}
        for row, name in enumerate(self.taxa["scientificName"].to_list()):
            rows.setdefault(name.casefold(), []).append(row)
        is_synonym = [row != accepted for row, accepted in enumerate(self._accepted)]
        return {name: tuple(sorted(found, key=is_synonym.__getitem__)) for name, found in rows.items()}
