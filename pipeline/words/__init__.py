"""Word lists: data files with a source column, and the one function that reads them.

A user's own lists lie in a folder under the same file names; their rows come after ours and win where both speak of
the same phrase. Refuses a file without the columns ours has, or a row without its phrase, naming file and line.
"""

from __future__ import annotations

import csv
import io
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import NoReturn

from earwitness.schemas import InputError, Problem


class WordRow(dict[str, str]):
    """A row of a word list, by column, that knows the file and the line it came from."""

    def __init__(self, cells: dict[str, str], file: str, line: int):
        super().__init__(cells)
        self.file, self.line = file, line

    def refuse(self, reason: str, expected: str) -> NoReturn:
        """Raise the InputError that names this row."""
        raise InputError(Problem(self.file, self.line, reason, expected))

    def one_of(self, column: str, allowed: tuple[str, ...]) -> str:
        """The cell of a column that holds one of a closed set of words.

        Raises:
            InputError: it holds something else.
        """
        if self[column] not in allowed:
            self.refuse(f"{column} {self[column]!r} is not known", ", ".join(word or "nothing" for word in allowed))
        return self[column]

    def some_of(self, column: str, allowed: tuple[str, ...]) -> list[str]:
        """The words of a cell that holds one or more of a closed set, with | between them.

        Raises:
            InputError: it holds something else.
        """
        words = self[column].split("|")
        if unknown := [word for word in words if word not in allowed]:
            self.refuse(f"{column.removesuffix('s')} {unknown[0]!r} is not known", ", ".join(allowed))
        return words

    def number(self, column: str) -> float:
        """The cell of a column that holds a number.

        Raises:
            InputError: it holds something else.
        """
        try:
            return float(self[column])
        except ValueError:
            self.refuse(f"{column} {self[column]!r} is no number", "a number like 0.5")


Rows = tuple[WordRow, ...]


@cache
def word_rows(name: str, own: Path | None = None) -> Rows:
    """Rows of the word list `NAME.csv`, the user's own (folder `own`) after ours.

    Raises:
        InputError: there is no such folder; the user's file is not UTF-8, or lacks a column or a phrase.
    """
    file = f"{name}.csv"
    rows = _read((files("earwitness.pipeline.words") / file).read_text(encoding="utf-8"), file, ())
    if own and not own.is_dir():
        raise InputError(Problem(str(own), 0, "there is no such folder", "a folder with word lists named as ours"))
    extra = own / file if own else None
    if extra and extra.is_file():
        try:
            text = extra.read_text(encoding="utf-8-sig")
        except UnicodeDecodeError as error:
            raise InputError(Problem(str(extra), 0, "the text cannot be decoded", "UTF-8")) from error
        rows += _read(text, str(extra), tuple(rows[0]))
    return tuple(rows)


def _read(text: str, file: str, columns: tuple[str, ...]) -> list[WordRow]:
    """Rows with their lines; lines without any text are passed over."""
    reader = csv.DictReader(io.StringIO(text, newline=""))
    missing = [column for column in columns if column not in (reader.fieldnames or ())]
    if missing:
        raise InputError(Problem(file, 1, f"column {', '.join(missing)} is missing", ", ".join(columns)))
    rows = []
    for cells in reader:
        row = WordRow({key: (value or "").strip() for key, value in cells.items() if key}, file, reader.line_num)
        if not any(row.values()):
            continue
        phrase = next(iter(columns or row))
        if not row[phrase]:
            row.refuse(f"the {phrase} is blank", "words as they are said")
        rows.append(row)
    return rows
