"""The index of all names of a checklist: a Checklist comes in, look-ups by spoken words go out.

Exact look-up is one walk down a trie; what hears misheard names (`NameIndex.ear`) reads arrays that are made with the
index. Refuses nothing; blank names are left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, overload

import numpy as np
import numpy.typing as npt
import polars as pl

from earwitness.schemas.problems import Problem
from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.entries import KINDS, LONGEST_NAME, NUMBERS, NameEntry, names_as_said
from earwitness.taxonomy.heard_names import NameEar
from earwitness.taxonomy.hearing import name_arrays
from earwitness.taxonomy.mapped import Strings, TrieMap, TrieSet
from earwitness.taxonomy.resolve import Rows


@dataclass(frozen=True, eq=False)
class NameIndexTables:
    """The names of a checklist in columns; entries are numbered from 0.

    Args:
        texts, keys: as the checklist writes an entry, and as it is spoken.
        rows, accepted: row of the checklist by entry, and row of its accepted taxon.
        kinds, numbers: places in KINDS and NUMBERS by entry.
        ranks: place in rank_names of the rank of the entry's own row.
        rank_names: the ranks of the checklist, commonest first, in lower case; "" for none.
        exact: spoken key -> entries.
        epithets: last word of a species' name -> rows.
        words, first_words: of all keys.
    """

    texts: Strings
    keys: Strings
    rows: Rows
    accepted: Rows
    kinds: npt.NDArray[np.uint8]
    numbers: npt.NDArray[np.uint8]
    ranks: npt.NDArray[np.int32]
    rank_names: tuple[str, ...]
    exact: TrieMap
    epithets: TrieMap
    words: TrieSet
    first_words: TrieSet

    @classmethod
    def of(cls, checklist: Checklist) -> NameIndexTables:
        """The names of a checklist as they may be said."""
        entries = list(names_as_said(checklist))
        size = len(entries)
        keys = [entry.key for entry in entries]
        rows = np.fromiter((entry.row for entry in entries), np.int32, size)
        kinds = np.fromiter((KINDS.index(entry.kind) for entry in entries), np.uint8, size)
        key = pl.Series(keys, dtype=pl.String)
        words = key.str.split(" ")
        of_species = (kinds == KINDS.index("scientific")) & (words.list.len().to_numpy() > 1)
        rank_names, ranks = _ranks(checklist.taxa["taxonRank"])
        return cls(
            texts=Strings.of(entry.text for entry in entries),
            keys=Strings.of(keys),
            rows=rows,
            accepted=checklist.accepted_rows[rows],
            kinds=kinds,
            numbers=np.fromiter((NUMBERS.index(entry.number) for entry in entries), np.uint8, size),
            ranks=ranks[rows],
            rank_names=rank_names,
            exact=TrieMap.of(keys, np.arange(size, dtype=np.int32)),
            epithets=TrieMap.of(words.list.last().filter(pl.Series(of_species)).to_list(), rows[of_species]),
            words=TrieSet.of(words.explode().unique().to_list()),
            first_words=TrieSet.of(words.list.first().unique().to_list()),
        )


def _ranks(ranks: pl.Series) -> tuple[tuple[str, ...], npt.NDArray[np.int32]]:
    """The distinct ranks, commonest first, and the place of each row's rank among them."""
    ranks = ranks.fill_null("")
    counts = ranks.value_counts().sort(["count", ranks.name], descending=[True, False])
    names = counts[ranks.name].to_list()
    places = {name: place for place, name in enumerate(names)}
    return tuple(names), np.fromiter((places[rank] for rank in ranks), np.int32, len(ranks))


def extra_arrays(tables: NameIndexTables) -> dict[str, npt.NDArray[Any]]:
    """What hearing needs of the names, made when an index is built and kept with it on disk."""
    return name_arrays(list(tables.keys))


class NameIndex:
    """All the ways a checklist's taxa may be said.

    index = NameIndex(load_checklist("checklist.csv"))
    index.exact("glass sponges")
    index.similar("chasey on a finneys", limit=5)

    `earwitness.taxonomy.open_index` opens the index of a checklist's file without building it each time.

    Args:
        checklist: the taxa.
        tables, arrays: of this checklist, where they are made already.
        notes: what there is to tell of how the index came about.
    """

    def __init__(
        self,
        checklist: Checklist,
        tables: NameIndexTables | None = None,
        arrays: Mapping[str, npt.NDArray[Any]] | None = None,
        notes: Sequence[Problem] = (),
    ):
        self.checklist = checklist
        self.tables = NameIndexTables.of(checklist) if tables is None else tables
        self._arrays, self._notes = arrays, tuple(notes)
        self.entries: Sequence[NameEntry] = NameEntries(self.tables)
        self.first_words, self.words = self.tables.first_words, self.tables.words
        self.epithets: Mapping[str, tuple[int, ...]] = self.tables.epithets
        self.accepted_rows, self.kinds, self.ranks = self.tables.accepted, self.tables.kinds, self.tables.ranks

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What the checklist's loader found, and what there is to tell of the index itself."""
        return (*self.checklist.problems, *self._notes)

    @cached_property
    def arrays(self) -> Mapping[str, npt.NDArray[Any]]:
        """What `extra_arrays` made of the names."""
        return extra_arrays(self.tables) if self._arrays is None else self._arrays

    def entry(self, number: int) -> NameEntry:
        """The entry of this number, from 0."""
        return self.entries[number]

    def exact(self, key: str) -> tuple[NameEntry, ...]:
        """Entries whose spoken key (see `fold.spoken_key`) is this one."""
        return tuple(map(self.entry, self.tables.exact.get(key, ())))

    def known(self, keys: Sequence[str]) -> npt.NDArray[np.bool_]:
        """Whether each spoken key is that of an entry."""
        return np.fromiter(map(self.tables.exact.__contains__, keys), np.bool_, len(keys))

    def name_lengths(self, words: Sequence[str]) -> list[int]:
        """How many of these words, taken from the first on, spell a name: every such number, highest first."""
        text = " ".join(words[:LONGEST_NAME])
        ends, end = {}, -1
        for count, word in enumerate(words[:LONGEST_NAME], start=1):
            end += 1 + len(word)
            ends[end] = count
        found = (len(key) for key in self.tables.exact.trie.prefixes(text))
        return sorted((ends[end] for end in found if end in ends), reverse=True)

    def exact_prefixes(self, words: Sequence[str]) -> int:
        """The highest number of these words, taken from the first on, that spell a name; 0 for none."""
        return max(self.name_lengths(words), default=0)

    @cached_property
    def ear(self) -> NameEar:
        """What hears these names."""
        return NameEar(self)

    def similar(self, key: str, limit: int = 5) -> list[tuple[NameEntry, float]]:
        """Entries that these words may stand for as heard, best first, with their shares (0-1); one a taxon."""
        (names,) = self.ear.hear([key])
        return [(self.entry(name.entry), name.share) for name in names[:limit]]


class NameEntries(Sequence[NameEntry]):
    """The entries of the tables, each made when it is asked for."""

    def __init__(self, tables: NameIndexTables):
        self._tables = tables

    def __len__(self) -> int:
        return len(self._tables.rows)

    @overload
    def __getitem__(self, at: int) -> NameEntry: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[NameEntry, ...]: ...
    def __getitem__(self, at: int | slice) -> NameEntry | tuple[NameEntry, ...]:
        if isinstance(at, slice):
            return tuple(self[i] for i in range(*at.indices(len(self))))
        names = self._tables
        row, kind, number = names.rows.item(at), names.kinds.item(at), names.numbers.item(at)
        return NameEntry(names.texts[at], names.keys[at], row, KINDS[kind], NUMBERS[number])

    def __iter__(self) -> Iterator[NameEntry]:
        names = self._tables
        codes = zip(names.rows.tolist(), names.kinds.tolist(), names.numbers.tolist(), strict=True)
        for text, key, (row, kind, number) in zip(names.texts, names.keys, codes, strict=True):
            yield NameEntry(text, key, row, KINDS[kind], NUMBERS[number])
