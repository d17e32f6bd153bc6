"""A checklist in memory: tidy columns and resolved rows come in; taxa, lineages, exact look-ups go out.

Rows are numbered from 0 in the order of the file. Refuses row numbers outside the list (IndexError).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
import polars as pl

from earwitness.schemas.problems import Problem
from earwitness.taxonomy.mapped import Strings, TrieMap
from earwitness.taxonomy.resolve import Rows, rows_of

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


@dataclass(frozen=True, eq=False)
class Cells:
    """The columns of a checklist as numbers of strings, each string kept once; what an index on disk holds of them.

    Args:
        strings: every string that is in a cell.
        numbers: rows by COLUMNS, -1 for an empty cell; vernacular names are one string, parted by "|".
    """

    strings: Strings
    numbers: npt.NDArray[np.int32]

    @classmethod
    def of(cls, taxa: pl.DataFrame) -> Cells:
        """The cells of `Checklist.taxa`."""
        columns = [*taxa[list(COLUMNS[:-1])], taxa[COLUMNS[-1]].list.join("|")]
        cells = pl.concat([column.alias("cell") for column in columns], rechunk=True)
        strings = cells.drop_nulls().unique(maintain_order=True)
        numbers = rows_of(cells, strings).reshape(len(COLUMNS), len(taxa))
        return cls(Strings.of(strings.to_list()), np.ascontiguousarray(numbers.T))

    def row(self, i: int) -> list[str]:
        """The strings of row i, empty where there is none."""
        return [self.strings[number] if number >= 0 else "" for number in self.numbers[i].tolist()]

    def frame(self) -> pl.DataFrame:
        """`Checklist.taxa` again."""
        strings = pl.Series(list(self.strings), dtype=pl.String)
        columns = {name: strings.gather(_nullable(n)) for name, n in zip(COLUMNS, self.numbers.T, strict=True)}
        taxa = pl.DataFrame(columns)
        parted = pl.col(COLUMNS[-1]).str.split("|")
        return taxa.with_columns(parted.list.eval(pl.element().filter(pl.element() != "")))


def _nullable(numbers: npt.NDArray[np.int32]) -> pl.Series:
    return pl.Series(numbers).replace(-1, None)


@dataclass(frozen=True, eq=False, repr=False)
class Checklist:
    """All taxa of one list.

    Args:
        name: stem of the file's name.
        path: as the caller gave it.
        sha256: hex, of the file's bytes (of a folder: of the files used).
        source: the columns `taxa`, as a frame or as Cells.
        accepted_rows, parent_rows: row numbers by row (int32, -1 for no parent), chains followed, loops cut.
        problems: what was skipped, mended or worth a note.
        ids, names: rows by taxonID and by case-folded name, accepted taxa first; made when they are not given.
    """

    name: str
    path: str
    sha256: str
    source: pl.DataFrame | Cells
    accepted_rows: Rows
    parent_rows: Rows
    problems: tuple[Problem, ...] = ()
    ids: TrieMap | None = None
    names: TrieMap | None = None

    @cached_property
    def taxa(self) -> pl.DataFrame:
        """All rows, see COLUMNS; acceptedNameUsageID is resolved, parentNameUsageID may point outside."""
        return self.source.frame() if isinstance(self.source, Cells) else self.source

    def __len__(self) -> int:
        return len(self.accepted_rows)

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
        return self.accepted_rows.item(self._checked(i))

    def lineage(self, i: int) -> tuple[int, ...]:
        """Rows of the ancestors of row i's accepted taxon, nearest first."""
        rows = []
        parent = self.parent_rows.item
        row = parent(self._checked(i))
        while row >= 0:
            rows.append(row)
            row = parent(row)
        return tuple(rows)

    def is_same_or_ancestor(self, a: int, b: int) -> bool:
        """Whether row a's accepted taxon is row b's, or stands above it."""
        sought, row = self.accepted(a), self.accepted(b)
        parent = self.parent_rows.item
        while row >= 0:
            if row == sought:
                return True
            row = parent(row)
        return False

    def by_id(self, taxon_id: str) -> int | None:
        """Row of a taxonID, or None."""
        rows = self.rows_by_id.get(taxon_id)
        return rows[0] if rows else None

    def find(self, name: str) -> tuple[int, ...]:
        """Rows with exactly this canonical name, in any case; homonyms give several, accepted taxa first."""
        return self.rows_by_name.get(" ".join(name.split()).casefold(), ())

    def _checked(self, i: int) -> int:
        if not 0 <= i < len(self):
            raise IndexError(f"row {i} of a checklist of {len(self)}")
        return i

    def _make(self, i: int) -> Taxon:
        taxon_id, _, _, name, authorship, rank, status, *ranks, vernaculars = self.cells.row(self._checked(i))
        kingdom, phylum, class_, order, family, genus = ranks
        parent = self.parent_rows.item(i)
        return Taxon(
            index=i,
            taxon_id=taxon_id,
            accepted=self.accepted_rows.item(i),
            parent=parent if parent >= 0 else None,
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
            vernaculars=tuple(vernaculars.split("|")) if vernaculars else (),
        )

    # Made on first use and kept: most runs touch a few hundred of the rows.

    @cached_property
    def _made(self) -> dict[int, Taxon]:
        return {}

    @cached_property
    def cells(self) -> Cells:
        """The columns as numbers of strings."""
        return self.source if isinstance(self.source, Cells) else Cells.of(self.source)

    @cached_property
    def rows_by_id(self) -> TrieMap:
        """taxonID -> its row."""
        if self.ids is not None:
            return self.ids
        return TrieMap.of(self.taxa["taxonID"].to_list(), np.arange(len(self), dtype=np.int32))

    @cached_property
    def rows_by_name(self) -> TrieMap:
        """Case-folded name -> its rows, accepted taxa first."""
        if self.names is not None:
            return self.names
        names = self.taxa["scientificName"].to_list()
        own = np.arange(len(self), dtype=np.int32)
        order = np.lexsort((own, self.accepted_rows != own)).astype(np.int32)
        return TrieMap.of([names[row].casefold() for row in order.tolist()], order)
