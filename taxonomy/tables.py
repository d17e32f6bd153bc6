"""Data files of the package: read once, as rows of strings."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def data_rows(name: str) -> tuple[dict[str, str], ...]:
    """The rows of `taxonomy/data/NAME`."""
    text = (files("earwitness.taxonomy.data") / name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))
