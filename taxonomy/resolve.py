"""Which row each row stands for, and which row is its parent.

In: columns of IDs and names of one checklist. Out: arrays of row numbers (int32, -1 for none), problems.
Refuses nothing: loops, orphans and homonyms are reported, and every array can be followed without end checks.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import polars as pl

from earwitness.schemas.problems import Severity
from earwitness.taxonomy.columns import RANKS
from earwitness.taxonomy.tables import data_rows

Rows = npt.NDArray[np.int32]
"""Row numbers; -1 where there is none."""

NONE = np.int32(-1)


@dataclass(frozen=True, slots=True)
class RowProblem:
    """A problem of one row (0-based) that the loader turns into file and line."""

    row: int
    reason: str
    expected: str = ""
    severity: Severity = "noted"


def rows_of(wanted: pl.Series, keys: pl.Series) -> Rows:
    """For each wanted value the first row whose key it is, -1 where there is none or the value is null."""
    table = pl.DataFrame({"key": keys, "row": np.arange(len(keys), dtype=np.int32)})
    table = table.drop_nulls().unique("key", keep="first", maintain_order=True)
    joined = pl.DataFrame({"key": wanted}).join(table, on="key", how="left", maintain_order="left")
    return joined["row"].fill_null(-1).to_numpy().astype(np.int32)


def is_not_accepted(status: pl.Series) -> npt.NDArray[np.bool_]:
    """Whether a taxonomic status says that the name is not the accepted one (data/statuses.csv)."""
    parts = [row["part"] for row in data_rows("statuses.csv")]
    folded = status.fill_null("").str.to_lowercase().str.replace_all("[_-]", " ")
    return folded.str.contains_any(parts).to_numpy()


def follow(pointers: Rows) -> tuple[Rows, npt.NDArray[np.bool_]]:
    """The end of each chain of pointers, and which rows run into a loop instead.

    A row that points to itself is an end. Doubling the stride each time takes log2(rows) steps.
    """
    ends = pointers.copy()
    for _ in range(max(1, len(pointers)).bit_length() + 1):
        further = ends[ends]
        if np.array_equal(further, ends):
            break
        ends = further
    return ends, pointers[ends] != ends


def accepted_rows(
    ids: pl.Series,
    accepted_ids: pl.Series,
    accepted_names: pl.Series,
    names: pl.Series,
    statuses: pl.Series,
) -> tuple[Rows, list[RowProblem]]:
    """The accepted row of each row; its own where it is accepted, or where no accepted row can be found."""
    own = np.arange(len(ids), dtype=np.int32)
    problems: list[RowProblem] = []
    synonym = is_not_accepted(statuses)
    pointers = rows_of(accepted_ids, ids)
    given = accepted_ids.is_not_null().to_numpy()
    orphans = given & (pointers == NONE)
    by_name = accepted_names.is_not_null().to_numpy() & (pointers == NONE)
    _point_by_name(pointers, by_name, accepted_names, names, synonym, problems)
    for row in np.flatnonzero(orphans & ~by_name):
        reason = f"the accepted taxon {accepted_ids[int(row)]!r} is not in the list"
        problems.append(RowProblem(int(row), f"{reason}; kept as a taxon of its own", "a taxonID of the list"))
    unnamed = synonym & ~given & ~by_name
    for row in np.flatnonzero(unnamed):
        reason = f"{names[int(row)]!r} is a {statuses[int(row)]} of an unnamed taxon; kept as a taxon of its own"
        problems.append(RowProblem(int(row), reason, "acceptedNameUsageID or acceptedNameUsage"))
    self_named = synonym & given & (pointers == own)
    for row in np.flatnonzero(self_named):
        reason = f"{names[int(row)]!r} is a {statuses[int(row)]} of itself; kept as a taxon of its own"
        problems.append(RowProblem(int(row), reason, "acceptedNameUsageID of another taxon"))
    pointers = np.where(pointers == NONE, own, pointers)
    ends, looped = follow(pointers)
    for row in np.flatnonzero(looped):
        reason = f"the accepted taxa of {names[int(row)]!r} lead round in a loop; kept as a taxon of its own"
        problems.append(RowProblem(int(row), reason, "a chain that ends at an accepted taxon"))
    said = statuses.fill_null("").str.to_lowercase().is_in(["accepted", "valid"]).to_numpy()
    for row in np.flatnonzero(said & (ends != own) & ~looped):
        reason = f"{names[int(row)]!r} is called {statuses[int(row)]} but points to {names[int(ends[row])]!r}"
        problems.append(RowProblem(int(row), f"{reason}; the pointer is followed", "one or the other"))
    return np.where(looped, own, ends).astype(np.int32), problems


def _point_by_name(
    pointers: Rows,
    rows: npt.NDArray[np.bool_],
    accepted_names: pl.Series,
    names: pl.Series,
    synonym: npt.NDArray[np.bool_],
    problems: list[RowProblem],
) -> None:
    """Fill in pointers from acceptedNameUsage, where exactly one accepted row has that name."""
    if not rows.any():
        return
    holders: dict[str, list[int]] = {}
    for row, name in enumerate(names):
        if not synonym[row]:
            holders.setdefault(name.casefold(), []).append(row)
    for row in map(int, np.flatnonzero(rows)):
        found = holders.get(str(accepted_names[row]).casefold(), [])
        if len(found) == 1 or row in found:
            pointers[row] = row if row in found else found[0]
            continue
        why = "is not in the list" if not found else f"stands for {len(found)} taxa of the list"
        reason = f"the accepted name {accepted_names[row]!r} {why}; kept as a taxon of its own"
        problems.append(RowProblem(row, reason, "a name of one accepted taxon, or acceptedNameUsageID"))


def without_loops(parents: Rows) -> tuple[Rows, tuple[int, ...]]:
    """Parents in which every chain ends, and the rows that lost theirs for it: the first of each loop.

    A taxon that is its own parent is a top, not a loop.
    """
    top = len(parents)
    mended = np.where(parents == np.arange(top), NONE, parents).astype(np.int32)
    pointers = np.append(np.where(mended == NONE, top, mended), top).astype(np.int32)
    ends, looped = follow(pointers)
    # After a stride longer than the list, whoever is not at the top stands on a loop.
    on_loops = set(ends[looped].tolist())
    cut = []
    while on_loops:
        row = first = min(on_loops)
        while row in on_loops:
            on_loops.discard(row)
            row = int(pointers[row])
        mended[first] = NONE
        cut.append(first)
    return mended, tuple(cut)


def parents_by_rank(frame: pl.DataFrame, rows: Rows, is_accepted: npt.NDArray[np.bool_]) -> Rows:
    """Parents of the given rows by rank columns and names: the nearest taxon above that is in the list.

    `frame` has scientificName, taxonRank and the rank columns. A trinomial's species is its nearest rank;
    homonyms are told apart by kingdom, or left alone.
    """
    parents = np.full(len(rows), NONE, np.int32)
    if not len(rows):
        return parents
    wanted = frame[rows]
    species = pl.col("scientificName").str.extract(r"^(\S+ \S+) \S+$", 1)
    wanted = wanted.with_columns(species.alias("species"))
    level = {rank: at for at, rank in enumerate(("species", *reversed(RANKS)))}
    own_level = wanted["taxonRank"].replace_strict(level, default=-1, return_dtype=pl.Int32).to_numpy()
    named = frame.select("scientificName", "taxonRank", "kingdom").with_row_index("row")
    named = named.filter(pl.Series(is_accepted))
    for rank, at in level.items():
        open_rows = (parents == NONE) & (own_level < at)
        holders = named.filter(pl.col("taxonRank") == rank)
        asked = wanted.select(pl.col(rank).alias("scientificName"), "kingdom")
        for keys in (["scientificName", "kingdom"], ["scientificName"]):
            single = holders.unique(keys, keep="none")
            found = asked.join(single.select(*keys, "row"), on=keys, how="left", maintain_order="left")
            found_rows = found["row"].cast(pl.Int32).fill_null(-1).to_numpy()
            usable = open_rows & (parents == NONE) & (found_rows != NONE) & (found_rows != rows)
            parents[usable] = found_rows[usable]
    return parents


def inherited(has: npt.NDArray[np.bool_], parents: Rows) -> Rows:
    """For each row the nearest row, itself first and then up its parents, that has a value; -1 for none."""
    sources = np.where(has, np.arange(len(has), dtype=np.int32), NONE).astype(np.int32)
    above = parents.copy()
    while True:
        need = np.flatnonzero((sources == NONE) & (above != NONE))
        if not len(need):
            return sources
        up = above[need]
        sources[need], above[need] = sources[up], above[up]


def homonyms(names: pl.Series, accepted: Rows) -> list[RowProblem]:
    """Names that stand for several accepted taxa, one problem a name, at its second row."""
    table = pl.DataFrame({"name": names, "accepted": accepted}).with_row_index("row")
    table = table.with_columns(pl.col("name").str.to_lowercase().alias("folded"))
    several = table.filter(pl.col("accepted").n_unique().over("folded") > 1)
    groups: dict[str, list[tuple[int, str]]] = {}
    for row, name, _, folded in several.iter_rows():
        groups.setdefault(folded, []).append((row, name))
    reason = "{!r} is a homonym: it stands for {} different taxa of the list"
    return [RowProblem(rows[1][0], reason.format(rows[1][1], len(rows))) for rows in groups.values()]
