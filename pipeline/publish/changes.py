"""What was exported and an edited table come in; what was changed, added and removed goes out, row by row and checked.

Cells are compared with what was exported, not with the run: what the export itself changed (blurred positions,
pseudonyms, text cut for a workbook) is no edit, and the run's own values stay where nobody edited.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from earwitness.pipeline.publish.columns import ADDED, flat_rows, kinds
from earwitness.pipeline.publish.edited import EditedRow, EditedTable
from earwitness.pipeline.publish.publisher import Edition
from earwitness.pipeline.publish.spreadsheets import cell_text
from earwitness.schemas import Problem
from earwitness.schemas.spreadsheet import guarded_throughout, unguarded

_COMMA = re.compile(r"[+-]?\d+,\d+")
_FIXED = ("eventID", "softwareVersion", "checklistName", "checklistHash")


@dataclass(frozen=True, slots=True)
class Change:
    """One cell that was edited: what was exported there, and what stands there now (as the table's own type)."""

    event_id: str
    column: str
    before: Any
    after: Any
    line: int


@dataclass(frozen=True, slots=True)
class Addition:
    """A row that was not exported, by column; only what was filled in."""

    cells: Mapping[str, Any]
    line: int


@dataclass(frozen=True, slots=True)
class Differences:
    """What was edited, and what of it cannot be used."""

    changes: tuple[Change, ...]
    added: tuple[Addition, ...]
    removed: tuple[str, ...]
    problems: tuple[Problem, ...]

    @property
    def changed(self) -> tuple[str, ...]:
        """IDs of the rows with a changed cell, in order."""
        return tuple(dict.fromkeys(change.event_id for change in self.changes))

    def __bool__(self) -> bool:
        return bool(self.changes or self.added or self.removed)


def differences(edition: Edition, table: EditedTable) -> Differences:
    """Compare an edited table with the edition that was exported."""
    exported = {row["eventID"]: row for row in flat_rows(edition)}
    shown: Callable[[str], str] = guarded_throughout if table.guarded else cell_text
    changes: list[Change] = []
    added: list[Addition] = []
    problems: list[Problem] = []
    seen = set()
    for row in table.rows:
        name = row.cells["eventID"].strip()
        before = exported.get(unguarded(name)) or exported.get(name)
        if before is None:
            added.append(_addition(row, table, problems))
            continue
        seen.add(before["eventID"])
        for column, cell in row.cells.items():
            if column in ADDED or column == "eventID" or _same(before[column], cell, column, shown, table):
                continue
            if column in _FIXED:
                problems.append(Problem(table.path, row.line, f"{column} was changed", "it as it was exported"))
                continue
            value = _value(cell, column, row.line, table, problems)
            changes.append(Change(before["eventID"], column, before[column], value, row.line))
    removed = tuple(name for name in exported if name not in seen)
    return Differences(tuple(changes), tuple(added), removed, tuple(problems))


def _same(before: Any, cell: str, column: str, shown: Callable[[str], str], table: EditedTable) -> bool:
    if before is None or before == "":
        return not cell.strip()
    kind = kinds()[column]
    if kind in ("number", "integer"):
        number = _number(cell, table)
        return number is not None and math.isclose(number, before, rel_tol=1e-12, abs_tol=1e-12)
    if cell == str(before) or cell == shown(before):
        return True
    if kind == "array":
        try:
            return bool(json.loads(cell) == json.loads(before))
        except (ValueError, RecursionError):
            return False
    # Spreadsheets fold line ends, and some trim.
    return shown(before).split() == cell.split()


def _number(cell: str, table: EditedTable) -> float | None:
    text = cell.strip()
    if table.decimal_comma and _COMMA.fullmatch(text):
        text = text.replace(",", ".")
    try:
        number = float(unguarded(text))
    except ValueError:
        return None
    return number if math.isfinite(number) and "_" not in text else None


def _value(cell: str, column: str, line: int, table: EditedTable, problems: list[Problem]) -> Any:
    """The cell as the column's type; a cell that is none is told as a problem."""
    text = unguarded(cell) if table.guarded else cell
    kind = kinds()[column]
    if kind == "array":
        return _list(text, column, line, table, problems)
    if not text.strip():
        return None
    if kind == "string":
        return text.strip()
    number = _number(cell, table)
    if number is None or (kind == "integer" and not number.is_integer()):
        expected = "a whole number" if kind == "integer" else "a number with a decimal point"
        problems.append(Problem(table.path, line, f"{column} is {text!r}", expected))
        return None
    return int(number) if kind == "integer" else number


def _list(text: str, column: str, line: int, table: EditedTable, problems: list[Problem]) -> Any:
    if not text.strip():
        return []
    try:
        value = json.loads(text)
    except (ValueError, RecursionError):
        value = None
    if not isinstance(value, list):
        problems.append(Problem(table.path, line, f"{column} is {text[:60]!r}", 'a list as JSON, like ["a", "b"]'))
        return []
    return value


def _addition(row: EditedRow, table: EditedTable, problems: list[Problem]) -> Addition:
    filled = {
        column: _value(cell, column, row.line, table, problems)
        for column, cell in row.cells.items()
        if column not in ADDED and cell.strip()
    }
    return Addition(filled, row.line)
