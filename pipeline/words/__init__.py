"""Word lists: data files with a source column, and the one function that reads them.

A user's own lists lie in a folder under the same file names; their rows come after ours and win where both speak of
the same phrase. Refuses a file without the columns ours has, naming it.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from pathlib import Path

from earwitness.schemas import InputError, Problem

Rows = tuple[dict[str, str], ...]


@cache
def word_rows(name: str, own: Path | None = None) -> Rows:
    """Rows of the word list `NAME.csv`, the user's own (folder `own`) after ours.

    Raises:
        InputError: the user's file lacks a column.
    """
    text = (files("earwitness.pipeline.words") / f"{name}.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    extra = own / f"{name}.csv" if own else None
    if extra and extra.is_file():
        reader = csv.DictReader(extra.read_text(encoding="utf-8-sig").splitlines())
        missing = [column for column in rows[0] if column not in (reader.fieldnames or ())]
        if missing:
            problem = Problem(str(extra), 1, f"column {', '.join(missing)} is missing", ", ".join(rows[0]))
            raise InputError(problem)
        rows += [{key: (value or "").strip() for key, value in row.items() if key} for row in reader]
    return tuple(rows)
