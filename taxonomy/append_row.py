"""One row at the end of a CSV file that people edit too: cells come in; the row is on the disk when it returns.

The file's own separator, order of columns and line ends are kept, and no byte that stands in it is touched.
Refuses a file that is not UTF-8 or lacks columns (InputError), and leaves the file as it was where writing fails.
"""

from __future__ import annotations

import contextlib
import csv
import io
import os
import re
from collections.abc import Collection, Mapping
from pathlib import Path

from earwitness.schemas.problems import InputError, Problem
from earwitness.schemas.spreadsheet import FORMULA_STARTS, guarded

try:
    import fcntl
except ImportError:  # pragma: no cover - not there on Windows, where one appending write has to do
    fcntl = None  # type: ignore[assignment]

_SEPARATORS = (",", ";", "\t")
_BLANK_LINES = re.compile(r"(?:[ \t]*\n)*")
_LONGEST_HEADER = 10_000


def header_of(text: str, columns: Collection[str]) -> tuple[int, str, list[str]]:
    """Blank lines before the header, its separator and its cells: the separator that yields most of `columns`."""
    blank = _BLANK_LINES.match(text)
    begin = blank.end() if blank else 0
    line = text[begin : begin + _LONGEST_HEADER].split("\n", 1)[0].replace("\r", " ")
    splits = [(s, [cell.strip() for cell in next(csv.reader([line], delimiter=s), [])]) for s in _SEPARATORS]
    separator, header = max(splits, key=lambda split: len(set(split[1]) & set(columns)))
    return text.count("\n", 0, begin), separator, header


def without_guard(cell: str | None) -> str:
    """A cell as it was before `guarded`, with single blanks."""
    text = " ".join((cell or "").replace("\ufeff", "").split())
    return text[1:] if text.startswith("'") and text[1:].startswith(FORMULA_STARTS) else text


def append_row(path: str | Path, cells: Mapping[str, str]) -> None:
    """Add one row (column -> cell) by one write, under a lock; makes the file, with a header, where there is none.

    Raises:
        InputError: the file cannot be written, is not UTF-8, or its header lacks one of the columns.
    """
    try:
        file = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND, 0o666)
        try:
            # Some network drives know no locks; a single appending write is nearly as safe.
            with contextlib.suppress(OSError):
                if fcntl:
                    fcntl.flock(file, fcntl.LOCK_EX)
            data = Path(path).read_bytes()
            line = _line(data, str(path), cells)
            if os.write(file, line) < len(line):
                os.ftruncate(file, len(data))
                raise OSError(None, "the disk is full")
            os.fsync(file)
        finally:
            os.close(file)
    except OSError as error:
        reason = f"cannot be written: {error.strerror or error}"
        raise InputError(Problem(str(path), 0, reason, "a CSV file in a folder to write to")) from None


def _line(data: bytes, file: str, cells: Mapping[str, str]) -> bytes:
    """The bytes to add: a header where there is none, and the row in the file's own manner."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(Problem(file, 0, "is not UTF-8, so nothing is added", "the file saved as CSV UTF-8")) from None
    end = "\r\n" if "\r\n" in text else "\r" if "\r" in text and "\n" not in text else "\n"
    rows: list[list[str]] = []
    if text.strip():
        _, separator, header = header_of(text.replace("\r\n", "\n").replace("\r", "\n"), cells)
        if not cells.keys() <= set(header):
            raise InputError(Problem(file, 1, "the header lacks columns, so nothing is added", ", ".join(cells)))
    else:
        separator, header = ",", list(cells)
        rows.append(header)
    rows.append([guarded(cells.get(column, "")) for column in header])
    lines = io.StringIO(newline="")
    csv.writer(lines, delimiter=separator, lineterminator=end).writerows(rows)
    broken_off = bool(text) and not text.endswith(("\n", "\r"))
    return ((end if broken_off else "") + lines.getvalue()).encode()
