"""Data files of the package: read once, as rows of strings."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def data_rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of `taxonomy/data/NAME`."""
    with (files("earwitness.taxonomy.data") / name).open(encoding="utf-8", newline="") as lines:
        return tuple(csv.DictReader(lines))
