"""Event rows as data frames: pandas for people, Polars with fixed types for Parquet."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import polars as pl

from earwitness.schemas import columns, load_schema

if TYPE_CHECKING:
    import pandas as pd

LISTS = ("alternatives", "certaintyCues", "determinations", "placeFlags")
"""Columns whose cells are lists: JSON text in CSV and Parquet."""


def to_frame(rows: Sequence[dict[str, Any]]) -> pd.DataFrame:
    """A pandas DataFrame of event rows: lists stay lists, whole numbers are pandas' nullable Int64."""
    import pandas as pd  # half a second, which those who write or read files do not wait for

    frame = pd.DataFrame(list(rows), columns=list(columns("event")))
    for name, kind in _kinds().items():
        if kind == "integer":
            frame[name] = frame[name].astype("Int64")
        elif kind == "number":
            frame[name] = frame[name].astype("Float64")
    return frame


def to_polars(rows: Sequence[dict[str, Any]]) -> pl.DataFrame:
    """A Polars frame of event rows with the schema's types; lists as JSON text."""
    types = {"integer": pl.Int64, "number": pl.Float64}
    schema = {name: types.get(kind, pl.String) for name, kind in _kinds().items()}
    return pl.DataFrame([flat(row) for row in rows], schema=schema)


def flat(row: dict[str, Any]) -> dict[str, Any]:
    """A row whose lists are JSON text, for formats that have none."""
    return {k: json.dumps(v, ensure_ascii=False) if k in LISTS and v is not None else v for k, v in row.items()}


def _kinds() -> dict[str, str]:
    """The JSON type of every column; enumerations are strings."""
    kinds = {}
    for name, rule in load_schema("event")["properties"].items():
        kind = rule.get("type", "string")
        kinds[name] = next(k for k in ([kind] if isinstance(kind, str) else kind) if k != "null")
    return kinds
