"""Delimited text to columns named by Darwin Core terms.

In: the bytes of a CSV or TSV file, perhaps what its columns mean. Out: a Table of strings with line numbers.
Refuses: bytes that are no text, a table without scientificName; single bad lines are reported and left out.
"""

from __future__ import annotations

import codecs
import csv
import io
import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt
import polars as pl

from earwitness.schemas.problems import InputError, Problem, Severity
from earwitness.taxonomy.tables import data_rows

RANKS = ("kingdom", "phylum", "class", "order", "family", "genus")
"""The rank columns of a Darwin Core Taxon that are used here, highest first."""

TERMS = (
    "taxonID",
    "acceptedNameUsageID",
    "acceptedNameUsage",
    "parentNameUsageID",
    "parentNameUsage",
    "scientificName",
    "scientificNameAuthorship",
    "taxonRank",
    "taxonomicStatus",
    *RANKS,
    "vernacularName",
    "language",
)
"""The terms that are read; every other column is left alone."""

_PREFIXES = ("http://rs.tdwg.org/dwc/terms/", "https://rs.tdwg.org/dwc/terms/", "dwc:", "dwc_")
_SEPARATORS = (",", "\t", ";", "|")
_LONGEST_CELL = 20
"""A quoted cell is looked for over this many lines; a quotation mark open for longer is a stray one."""


@dataclass(frozen=True, slots=True)
class Table:
    """Columns of strings (null where empty) with the file and 1-based line each row came from."""

    frame: pl.DataFrame
    files: tuple[str, ...]
    file_of: npt.NDArray[np.int32]
    lines: npt.NDArray[np.int32]
    problems: list[Problem] = field(default_factory=list)

    def problem(self, row: int, reason: str, expected: str = "", severity: Severity = "skipped") -> Problem:
        """A Problem that points at a row."""
        return Problem(self.files[self.file_of[row]], int(self.lines[row]), reason, expected, severity)

    @staticmethod
    def stacked(tables: Sequence[Table]) -> Table:
        """One table of several files with the same columns."""
        numbered = [np.full(len(table.lines), i, np.int32) for i, table in enumerate(tables)]
        return Table(
            pl.concat([table.frame for table in tables], how="diagonal"),
            tuple(table.files[0] for table in tables),
            np.concatenate(numbered),
            np.concatenate([table.lines for table in tables]),
            [problem for table in tables for problem in table.problems],
        )


@dataclass(frozen=True, slots=True)
class Layout:
    """How a file writes its table: one-character separator and quote ("" for none), lines to skip, columns.

    A width of 0 means: as many as the first row has, or as the positions need.
    """

    separator: str = ","
    quote: str = '"'
    skip: int = 0
    width: int = 0


def decoded(data: bytes, file: str, encoding: str | None = None) -> tuple[str, list[Problem]]:
    """Text of a file, newlines as "\\n", without byte order mark.

    The declared encoding rules; without one a byte order mark, then UTF-8, then Windows-1252 with a note.

    Raises:
        InputError: unknown encoding, or zero bytes (not a text file).
    """
    problems: list[Problem] = []
    if encoding is None and data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        encoding = "utf-16"
    try:
        text = data.decode(encoding or "utf-8")
    except LookupError:
        raise InputError(Problem(file, 0, f"unknown encoding {encoding!r}", "UTF-8")) from None
    except UnicodeError:
        text = data.decode(encoding or "cp1252", errors="replace")
        reason = f"not valid {encoding or 'UTF-8'}; read as {encoding or 'Windows-1252'}"
        reason += f", {text.count(chr(0xFFFD))} characters unreadable"
        problems.append(Problem(file, 0, reason, encoding or "UTF-8", "mended"))
    text = text.removeprefix("\ufeff")
    if "\0" in text:
        raise InputError(Problem(file, 0, "holds zero bytes", "a text file (CSV, TSV) or a Darwin Core Archive"))
    if "\r" in text:
        text = text.replace("\r\n", "\n")
        text = text if "\n" in text else text.replace("\r", "\n")
    return text, problems


@cache
def _aliases() -> dict[str, tuple[int, str]]:
    """Simplified column name -> (standing, term); a smaller standing wins."""
    found = {_simple(term): (0, term) for term in TERMS}
    for standing, row in enumerate(data_rows("columns.csv"), start=1):
        found.setdefault(_simple(row["alias"]), (standing, row["term"]))
    return found


def _simple(column: str) -> str:
    name = column.strip().casefold()
    for prefix in _PREFIXES:
        name = name.removeprefix(prefix)
    return name if "/" in name else "".join(char for char in name if char.isalnum())


def recognised(
    found: Sequence[str], mapping: Mapping[str, str] | None, file: str
) -> tuple[dict[str, int], list[Problem]]:
    """Darwin Core term -> position of the column that holds it.

    The caller's mapping {their column: term} comes first, then the term's own name in any case, with
    `dwc:` or as a full URI, then the aliases of data/columns.csv in their order.

    Raises:
        InputError: the mapping names a column or a term that is not there.
    """
    best: dict[str, tuple[int, int]] = {}
    problems = []
    claimed = _mapped(found, mapping or {}, file)
    for position, column in enumerate(found):
        standing, term = (-1, claimed[position]) if position in claimed else _aliases().get(_simple(column), (0, ""))
        if not term:
            continue
        if term in best and standing == best[term][0]:
            reason = f"a second column {column!r} for {term} is left out"
            problems.append(Problem(file, 0, reason, f"one column for {term}", "skipped"))
        if term not in best or standing < best[term][0]:
            best[term] = (standing, position)
    return {term: position for term, (_, position) in best.items()}, problems


def _mapped(found: Sequence[str], mapping: Mapping[str, str], file: str) -> dict[int, str]:
    """Position of a column -> the term the caller says it holds."""
    folded = [column.strip().casefold() for column in found]
    terms = {term.casefold(): term for term in TERMS}
    claimed = {}
    for column, said in mapping.items():
        term = terms.get(_simple(said))
        if term is None:
            raise InputError(Problem(file, 0, f"no use for the term {said!r}", "one of " + ", ".join(TERMS)))
        if column.strip().casefold() not in folded:
            raise InputError(Problem(file, 1, f"no column {column!r}; found {_listed(found)}", "a column named there"))
        claimed[folded.index(column.strip().casefold())] = term
    return claimed


def require_names(positions: Mapping[str, int], found: Sequence[str], file: str, line: int = 1) -> None:
    """Raise InputError where no column holds scientificName."""
    if "scientificName" not in positions:
        reason = f"no column holds scientific names; found {_listed(found)}"
        expected = "a column scientificName (Darwin Core), or a mapping {your column: scientificName}"
        raise InputError(Problem(file, line, reason, expected))


def _listed(found: Sequence[str]) -> str:
    shown = ", ".join(repr(column[:40]) for column in found[:20])
    return shown + (f" and {len(found) - 20} more" if len(found) > 20 else "")


def read_table(data: bytes, file: str, mapping: Mapping[str, str] | None) -> Table:
    """A delimited file with a header line; the separator is the one that yields most known columns.

    Raises:
        InputError: no text, no rows, or no column with scientific names.
    """
    text, problems = decoded(data, file)
    if not text.strip():
        raise InputError(Problem(file, 0, "the file is empty", "a header line and one row a taxon"))
    skip = len(text) - len(text.lstrip("\n"))
    header = text[skip:].split("\n", 1)[0]
    choices = []
    for separator in _SEPARATORS:
        found = next(csv.reader([header], delimiter=separator), [])
        positions, doubles = recognised(found, None, file)
        choices.append((len(positions), len(found), separator, found))
    _, width, separator, found = max(choices, key=lambda choice: choice[:2])
    positions, doubles = recognised(found, mapping, file)
    require_names(positions, found, file, skip + 1)
    table = read_rows(text, Layout(separator, '"', skip + 1, width), positions, file)
    table.problems[:0] = problems + doubles
    return table


def read_rows(text: str, layout: Layout, positions: Mapping[str, int], file: str) -> Table:
    """The columns at `positions`, under their terms. Lines that do not fit are reported and left out."""
    body = text.rstrip("\n")
    for _ in range(layout.skip):
        body = body.partition("\n")[2]
    rows = body.count("\n") + 1 if body else 0
    first = len(_record(body.split("\n", _LONGEST_CELL)[:_LONGEST_CELL], 0, layout)[1] or ())
    layout = replace(layout, width=layout.width or max(first, 1 + max(positions.values())))
    frame = _at_once(body, rows, first, layout, positions)
    problems: list[Problem] = []
    if frame is None:
        kept = _all_well(body, layout) or list(_one_by_one(body, layout, file, problems))
        lines = np.array([line for line, _ in kept], np.int32)
        cells = {term: [_cell(row, position) for _, row in kept] for term, position in positions.items()}
        frame = pl.DataFrame(cells, schema=dict.fromkeys(positions, pl.String))
    else:
        lines = np.arange(layout.skip + 1, layout.skip + 1 + rows, dtype=np.int32)
    return Table(frame, (file,), np.zeros(len(lines), np.int32), lines, problems)


def _at_once(body: str, rows: int, width: int, layout: Layout, positions: Mapping[str, int]) -> pl.DataFrame | None:
    """The rows by Polars; None when lines and records do not match one to one, so that each needs a look.

    `width` is the number of cells of the first row: Polars wants it exactly.
    """
    if not body or "\n\n" in body or width > layout.width:
        return None
    names = [f"column_{position + 1}" for position in range(width)]
    try:
        frame = pl.read_csv(
            io.BytesIO(body.encode("utf-8", "replace")),
            has_header=False,
            separator=layout.separator,
            quote_char=layout.quote or None,
            schema=dict.fromkeys(names, pl.String),
            columns=sorted({names[position] for position in positions.values() if position < width}) or names,
        )
    except pl.exceptions.PolarsError:
        return None
    if len(frame) != rows:
        return None
    missing = pl.lit(None, pl.String)
    return frame.select(
        (pl.col(names[position]) if position < width else missing).alias(term) for term, position in positions.items()
    )


def _cell(row: Sequence[str], position: int) -> str | None:
    return row[position] if position < len(row) else None


def _all_well(body: str, layout: Layout) -> list[tuple[int, list[str]]]:
    """Line number and cells of every record where all fit the layout; empty where one needs a closer look."""
    if not layout.quote:
        return []
    reader = csv.reader(io.StringIO(body, newline=""), **_dialect(layout))
    kept: list[tuple[int, list[str]]] = []
    line = 0
    try:
        for row in reader:
            taken = reader.line_num - line
            if len(row) > layout.width or (taken > 1 and (len(row) != layout.width or taken > _LONGEST_CELL)):
                return []
            if row:
                kept.append((layout.skip + line + 1, row))
            line = reader.line_num
    except csv.Error:
        return []
    return kept


def _one_by_one(body: str, layout: Layout, file: str, problems: list[Problem]) -> Iterator[tuple[int, list[str]]]:
    """Line number and cells of every record; an unclosed quotation mark costs one line, not the rest."""
    lines = body.split("\n")
    at = 0
    while at < len(lines):
        number = layout.skip + at + 1
        taken, row, stray = _record(lines, at, layout)
        at += taken
        if row is None:
            reason = "the cells of this line cannot be told apart"
            problems.append(Problem(file, number, reason, f"{layout.width} cells"))
        elif len(row) > layout.width and any(cell.strip() for cell in row[layout.width :]):
            problems.append(Problem(file, number, f"{len(row)} cells in this line", f"{layout.width} cells"))
        elif row:
            if stray and layout.separator != "\t":  # tab-separated values know no quoting
                reason = "a quotation mark is not closed; the line is read as it stands"
                problems.append(Problem(file, number, reason, "quotation marks in pairs", "mended"))
            yield number, row


def _record(lines: Sequence[str], at: int, layout: Layout) -> tuple[int, list[str] | None, bool]:
    """Of the record at `at`: its lines, its cells (None: cannot be told apart), whether a mark is stray."""
    if not layout.quote:
        return 1, lines[at].split(layout.separator) if lines[at] else [], False
    for taken in range(1, _LONGEST_CELL + 1):
        row = _strictly("\n".join(lines[at : at + taken]), layout)
        if row is not None and (taken == 1 or len(row) == layout.width):
            return taken, row, False
    plain = lines[at].split(layout.separator)
    return 1, plain if len(plain) == layout.width else None, True


def _strictly(record: str, layout: Layout) -> list[str] | None:
    reader = csv.reader(io.StringIO(record, newline=""), **_dialect(layout))
    try:
        rows = list(itertools.islice(reader, 2))
    except csv.Error:
        return None
    if len(rows) > 1:
        return None
    return rows[0] if rows else []


def _dialect(layout: Layout) -> dict[str, Any]:
    return {"delimiter": layout.separator, "quotechar": layout.quote, "strict": True}
