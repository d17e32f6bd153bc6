"""An edited table (CSV or XLSX) comes in, its rows as texts by column go out, each with its line.

Refuses what is no such table: unknown columns, no eventID, an ID twice (InputError with file, line and remedy).
"""

from __future__ import annotations

import csv
import io
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from openpyxl import load_workbook

from earwitness.pipeline.publish.columns import header
from earwitness.pipeline.publish.spreadsheets import SHEET
from earwitness.pipeline.read.decode import BinaryContentError, decode
from earwitness.schemas import InputError, Problem
from earwitness.taxonomy.append_row import header_of

_REMEDY = "a table as `earwitness publish --as csv` or `--as xlsx` writes it, edited"
_LONGEST_CELL = 10_000_000


@dataclass(frozen=True, slots=True)
class EditedRow:
    """A row of an edited table: its line, and its cells by column, blank ones as ""."""

    line: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class EditedTable:
    """Rows of an edited table; `decimal_comma` where numbers may have one; `guarded` where formulas were defused."""

    path: str
    columns: tuple[str, ...]
    rows: tuple[EditedRow, ...]
    decimal_comma: bool
    guarded: bool


def read_edited(path: str | Path) -> EditedTable:
    """Read an edited table, told by its content.

    Raises:
        InputError: it cannot be read, or is no such table.
    """
    file = Path(path)
    try:
        data = file.read_bytes()
    except OSError as error:
        raise InputError(Problem(str(path), 0, f"cannot be read ({error.strerror})", _REMEDY)) from error
    if data.startswith(b"PK"):
        lines, separator = list(_workbook(data, str(path))), ""
    else:
        lines, separator = _text(data, str(path))
    if not lines:
        raise InputError(Problem(str(path), 0, "is empty", _REMEDY))
    number, names = lines[0]
    _check_header(str(path), number, names)
    rows = tuple(
        _row(str(path), number, names, line) for number, line in lines[1:] if any(cell.strip() for cell in line)
    )
    _refuse_twins(str(path), rows)
    return EditedTable(str(path), tuple(names), rows, separator == ";", separator != "")


def _workbook(data: bytes, path: str) -> Iterator[tuple[int, list[str]]]:
    try:
        with warnings.catch_warnings():
            # What the reader does not know of a workbook (fonts, extensions) is nothing to us.
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(data), read_only=False, data_only=False)
            sheet: Any = book[SHEET] if SHEET in book.sheetnames else book.worksheets[0]
            rows = list(sheet.iter_rows())
    except (zipfile.BadZipFile, KeyError, ValueError, TypeError, OSError, IndexError, SyntaxError) as error:
        reason = f"is no workbook that can be read ({type(error).__name__})"
        raise InputError(Problem(path, 0, reason, _REMEDY)) from error
    for number, row in enumerate(rows, start=1):
        for cell in row:
            if cell.data_type == "f":
                reason = f"{cell.coordinate} holds a formula"
                raise InputError(Problem(path, number, reason, "its value: copy the cell and paste the value alone"))
        cells = [_shown(cell.value) for cell in row]
        if number == 1:
            while cells and not cells[-1]:
                cells.pop()
        yield number, cells


def _shown(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def _text(data: bytes, path: str) -> tuple[list[tuple[int, list[str]]], str]:
    try:
        text = decode(data).text
    except BinaryContentError as error:
        raise InputError(Problem(path, 0, "is no text and no workbook", _REMEDY)) from error
    blank, separator, _ = header_of(text, header())
    lines = io.StringIO("".join(text.splitlines(keepends=True)[blank:]), newline="")
    limit = csv.field_size_limit(_LONGEST_CELL)
    reader = csv.reader(lines, delimiter=separator, strict=True)
    found: list[tuple[int, list[str]]] = []
    try:
        begin = blank + 1
        for row in reader:
            found.append((begin, row))
            begin = blank + reader.line_num + 1
    except csv.Error as error:
        reason = f"cannot be read as CSV: {error}"
        raise InputError(Problem(path, blank + reader.line_num, reason, _REMEDY)) from error
    finally:
        csv.field_size_limit(limit)
    return found, separator


def _check_header(path: str, line: int, names: Sequence[str]) -> None:
    if "eventID" not in names:
        raise InputError(Problem(path, line, "the header has no column eventID", _REMEDY))
    unknown = [name for name in names if name not in header()]
    if unknown:
        reason = f"there is no column {unknown[0]!r}" if unknown[0] else "a column has no name"
        raise InputError(Problem(path, line, reason, "the columns of the export, under their names"))
    twice = [name for name in names if names.count(name) > 1]
    if twice:
        raise InputError(Problem(path, line, f"column {twice[0]!r} stands there twice", "each once"))


def _row(path: str, line: int, names: Sequence[str], cells: Sequence[str]) -> EditedRow:
    if any(cell.strip() for cell in cells[len(names) :]):
        raise InputError(Problem(path, line, "the row has more cells than the header", f"{len(names)} cells"))
    padded = [*cells[: len(names)], *[""] * (len(names) - len(cells))]
    clean = (cell.replace("\r\n", "\n").replace("\r", "\n") for cell in padded)
    return EditedRow(line, dict(zip(names, clean, strict=True)))


def _refuse_twins(path: str, rows: Sequence[EditedRow]) -> None:
    first: dict[str, int] = {}
    for row in rows:
        name = row.cells["eventID"].strip()
        if name and first.setdefault(name, row.line) != row.line:
            reason = f"eventID {name!r} stands in line {first[name]} too"
            raise InputError(Problem(path, row.line, reason, "each once; a new row with a blank eventID"))
