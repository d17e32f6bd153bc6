"""CSV and TSV with a header.

In: the text of a file. Out: drafts, one a row.
Refuses: rows without a readable start or without text, each reported; a header without start and text
columns.

Column names are looked up in `columns.csv` beside this file, letters and digits only, case ignored. Times are
seconds or clock times; `end` (or `duration`) is optional, and without it the next start ends the row.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from earwitness.pipeline.read.clock import read_time
from earwitness.pipeline.read.findings import Draft, Findings, Part, excerpt

HEADER_FORM = "a header line with columns start and text (end, duration, speaker optional)"
TIME_FORM = "seconds or h:mm:ss.mmm"

_DELIMITERS = ("\t", ",", ";")
_LONGEST_HEADER = 4_000


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the columns of a file are: index and unit (seconds) of each known one."""

    delimiter: str
    width: int
    columns: dict[str, tuple[int, float]]


@cache
def _aliases() -> dict[str, tuple[str, float]]:
    content = files("earwitness.pipeline.read").joinpath("columns.csv").read_text(encoding="utf-8")
    return {row["alias"]: (row["column"], float(row["unit"])) for row in csv.DictReader(io.StringIO(content))}


def find_layout(header: str) -> Layout | None:
    """The layout a header line states, or None when it has no start or no text column."""
    if len(header) > _LONGEST_HEADER:
        return None
    for delimiter in _DELIMITERS:
        columns: dict[str, tuple[int, float]] = {}
        cells = header.split(delimiter)
        for index, cell in enumerate(cells):
            column, unit = _aliases().get(re.sub(r"[^a-z0-9]", "", cell.casefold()), ("", 1.0))
            if column:
                columns.setdefault(column, (index, unit))
        if "start" in columns and "text" in columns:
            return Layout(delimiter, len(cells), columns)
    return None


def read_table(text: str, findings: Findings) -> list[Draft]:
    """Read a table into drafts; what cannot be used goes to `findings`.

    Raises:
        InputError: the header has no start or no text column.
    """
    lines = text.split("\n")
    top = next((number for number, line in enumerate(lines) if line.strip()), 0)
    layout = find_layout(lines[top])
    if layout is None:
        raise findings.refuse(top + 1, f"no start and text columns in the header {excerpt(lines[top])}", HEADER_FORM)
    try:
        rows = _rows(text, layout.delimiter)
    except csv.Error as error:
        findings.mend(top + 1, f"quotes not closed as they should be ({error}); each line read as a row")
        rows = _rows_by_line(text, layout.delimiter)
    drafts = [_read_row(row, line, layout, findings) for line, row in rows if line > top + 1]
    return [draft for draft in drafts if draft]


def _rows(text: str, delimiter: str) -> list[tuple[int, list[str]]]:
    """Rows with the line each begins on; blank ones left out."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    begins = 1
    for row in reader:
        if any(cell.strip() for cell in row):
            rows.append((begins, row))
        begins = reader.line_num + 1
    return rows


def _rows_by_line(text: str, delimiter: str) -> list[tuple[int, list[str]]]:
    """The same where a stray quote would swallow the rows after it: no cell goes past its line."""
    rows: list[tuple[int, list[str]]] = []
    for number, line in enumerate(text.split("\n"), 1):
        try:
            row = next(csv.reader([line], delimiter=delimiter), [])
        except csv.Error:  # a cell longer than the csv module takes
            row = line.split(delimiter)
        if any(cell.strip() for cell in row):
            rows.append((number, row))
    return rows


def _read_row(row: list[str], line: int, layout: Layout, findings: Findings) -> Draft | None:
    start_cell, text = _cell(row, layout, "start"), _cell(row, layout, "text")
    start = _scaled(start_cell, layout, "start")
    if start is None:
        findings.skip(line, f"start cannot be read: {excerpt(start_cell)}", TIME_FORM)
        return None
    end = _read_end(row, line, start, layout, findings)
    surplus = row[layout.width :]
    if any(cell.strip() for cell in surplus):
        if layout.columns["text"][0] == layout.width - 1:
            text = layout.delimiter.join([text, *surplus])
            findings.mend(line, "more cells than the header; surplus taken as text", "quotes around the text")
        else:
            findings.note(line, f"more cells than the header, not used: {excerpt(' '.join(surplus))}")
    part = Part(tuple(text.split("\n")), _cell(row, layout, "speaker").strip() or None)
    return Draft(start, end, (part,), line, open_ended=end is None and "end" not in layout.columns)


def _read_end(row: list[str], line: int, start: float, layout: Layout, findings: Findings) -> float | None:
    for column in ("end", "duration"):
        cell = _cell(row, layout, column)
        if not cell.strip():
            continue
        value = _scaled(cell, layout, column)
        if value is None:
            findings.mend(line, f"{column} cannot be read: {excerpt(cell)}; the end is estimated", TIME_FORM)
        else:
            return value if column == "end" else start + value
    return None


def _cell(row: list[str], layout: Layout, column: str) -> str:
    index = layout.columns.get(column, (-1, 1.0))[0]
    return row[index] if 0 <= index < len(row) else ""


def _scaled(cell: str, layout: Layout, column: str) -> float | None:
    value = read_time(cell)
    return None if value is None else value * layout.columns[column][1]
