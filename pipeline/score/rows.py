"""The rows of a finished run, as far as one can lean on them.

In: a JSON Lines file of a run. Out: its rows as dicts, times and other numbers checked.
Refuses a file that is missing or broken, naming file, line and what was expected.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from earwitness.schemas import InputError, Problem

REMEDY = "the folder of a finished run, as its --out named it; run again if the file was lost"
_SECONDS = ("startTime", "endTime", "utteranceStart", "utteranceEnd")


def read_rows(path: Path, closed: Mapping[str, Sequence[str]]) -> list[dict[str, Any]]:
    """The rows of a JSON Lines file.

    Args:
        path: events.jsonl or mentions.jsonl of a run.
        closed: columns that hold one of these labels, or null.

    Raises:
        InputError: the file cannot be read, or a line is no row; names the line.
    """
    try:
        lines = path.read_text(encoding="utf-8").split("\n")
    except OSError as error:
        reason = "is missing" if isinstance(error, FileNotFoundError) else f"cannot be read ({error.strerror})"
        raise InputError(Problem(str(path), 0, reason, REMEDY)) from error
    except UnicodeDecodeError as error:
        raise InputError(Problem(str(path), 0, "not UTF-8 text", REMEDY)) from error
    rows = []
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            row = json.loads(line, parse_constant=_refuse_constant)
        except (ValueError, RecursionError) as error:
            reason = f"not JSON ({error})"
            raise InputError(Problem(str(path), number, reason, "one JSON object a line")) from error
        if fault := _fault(row, closed):
            raise InputError(Problem(str(path), number, *fault))
        rows.append(row)
    return rows


def _refuse_constant(word: str) -> None:
    raise ValueError(f"{word} is no JSON number")


def _fault(row: object, closed: Mapping[str, Sequence[str]]) -> tuple[str, str] | None:
    if not isinstance(row, dict):
        return "not a JSON object", "one JSON object a line"
    for column in _SECONDS:
        lacking = row.get(column) is None and column == "startTime"
        if lacking or not _is_number_or_null(row.get(column)):
            return f"{column} is {row.get(column)!r}", "a number of seconds into the recording"
    if not _is_number_or_null(row.get("certainty")):
        return f"certainty is {row['certainty']!r}", "a number from 0 to 1, or null"
    for column, allowed in closed.items():
        if row.get(column) is not None and row[column] not in allowed:
            return f"{column} is {row[column]!r}", f"one of {', '.join(allowed)}, or null"
    return None


def _is_number_or_null(value: object) -> bool:
    if value is None:
        return True
    # 1e999 is JSON, and infinite.
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < math.inf
