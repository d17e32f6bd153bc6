"""What is stated of a vehicle log, the rows that were read of it, and the quantities and units there are."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, NoReturn

import polars as pl

from earwitness.pipeline.place.description import Description
from earwitness.schemas import InputError, Problem

INTERPOLATE_WITHIN = 30.0
NEAREST_WITHIN = 60.0
"""Seconds, where the description states none: at half a metre a second, 15 and 30 metres (choices, no source)."""
_ENDINGS = {".csv": "csv", ".txt": "csv", ".tsv": "tsv", ".tab": "tsv", ".parquet": "parquet", ".pq": "parquet"}
_ENDINGS |= {".nmea": "nmea", ".nma": "nmea"}


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a log can hold: its unit here, the values that can be, and what makes a spike (see `spikes.py`)."""

    name: str
    unit: str
    low: float
    high: float
    jump: float | None
    rate: float | None
    decimals: int


@dataclass(frozen=True, slots=True)
class LogFile:
    """A log as the description states it.

    Args:
        file: path as messages name it.
        columns: {quantity, "time" or "date": the file's column}.
        units: {quantity: unit} where one is stated.
        within: seconds between two fixes within which values are interpolated.
        nearest: seconds to the nearest fix within which it is used as it is.
        coordinates: how latitudes and longitudes are written, where that is stated (see `coordinates.py`).
        rows, first, last: what was read: usable rows, and the first and last moment (µs since 1970).
    """

    file: str
    path: Path
    format: str
    columns: Mapping[str, str]
    units: Mapping[str, str]
    delimiter: str | None = None
    skip_lines: int = 0
    time_format: str | None = None
    utc_offset: str | None = None
    within: float = INTERPOLATE_WITHIN
    nearest: float = NEAREST_WITHIN
    depth_down: bool = True
    absolute_pressure: bool = False
    coordinates: str | None = None
    sha256: str = ""
    rows: int = 0
    first: int | None = None
    last: int | None = None

    def refuse(self, line: int, reason: str, expected: str) -> NoReturn:
        """Raise the InputError that names the file and a row of it."""
        raise InputError(Problem(self.file, line, reason, expected))

    def to_json(self) -> dict[str, Any]:
        """What run.json says of it."""
        return {
            "path": self.file,
            "sha256": self.sha256,
            "format": self.format,
            "rows": self.rows,
            "from": iso(self.first) if self.first is not None else None,
            "to": iso(self.last) if self.last is not None else None,
        }


@dataclass(slots=True)
class Log:
    """The rows of a log: `time` (µs since 1970), `line`, and a column of numbers a quantity, in units of here."""

    file: LogFile
    rows: pl.DataFrame
    problems: list[Problem] = field(default_factory=list)

    def note(self, bad: pl.DataFrame, reason: str, expected: str = "", severity: Any = "skipped") -> None:
        """One problem for all rows with the same fault: the first one's line, and how many there are."""
        if bad.height:
            many = "" if bad.height == 1 else f" (the first of {bad.height:,} such rows)"
            self.problems.append(Problem(self.file.file, int(bad["line"][0]), reason + many, expected, severity))


def iso(microseconds: int) -> str:
    """A moment as ISO 8601 text in UTC, to the millisecond."""
    return isos(pl.Series([microseconds], dtype=pl.Int64))[0]


def isos(microseconds: pl.Series) -> list[str]:
    """Moments as ISO 8601 text in UTC, to the millisecond, rounded."""
    moments = pl.from_epoch((microseconds + 500) // 1000, "ms")
    texts: list[str] = moments.dt.strftime("%Y-%m-%dT%H:%M:%S%.3fZ").to_list()
    return texts


@cache
def quantities() -> dict[str, Quantity]:
    """All quantities by name, from quantities.csv."""

    def number(cell: str) -> float | None:
        return float(cell) if cell else None

    return {
        row["quantity"]: Quantity(
            row["quantity"],
            row["unit"],
            float(row["low"] or "-inf"),
            float(row["high"] or "inf"),
            number(row["jump"]),
            number(row["rate"]),
            int(row["decimals"] or 0),
        )
        for row in _rows("quantities.csv")
    }


@cache
def unit_factors() -> dict[tuple[str, str], tuple[float, float]]:
    """{(quantity, unit): (factor, offset)} that make a value one in the unit used here, from units.csv."""
    return {(row["quantity"], row["unit"]): (float(row["factor"]), float(row["offset"])) for row in _rows("units.csv")}


def _rows(name: str) -> list[dict[str, str]]:
    text = (files("earwitness.pipeline.place") / name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def describe_log(description: Description, number: int, folder: Path) -> LogFile:
    """The n-th log of a description; its path is relative to the description's folder.

    Raises:
        InputError: no such file, an ending that tells no format, no columns, or a time column alone.
    """
    value = description.values["logs"][number]
    path = folder / value["file"]
    where = ("logs", number)
    if not path.is_file():
        description.refuse((*where, "file"), f"no such file: {value['file']}", "a path relative to the description")
    kind = value.get("format") or _ENDINGS.get(path.suffix.lower())
    if kind is None:
        description.refuse((*where, "file"), f"{value['file']!r} does not tell its format", "format = csv, tsv ...")
    columns = value.get("columns", {})
    if kind != "nmea" and not columns.keys() - {"time", "date"}:
        description.refuse(where, "no columns are named", "[logs.columns] with time and what else the log has")
    if kind == "nmea" and columns:
        description.refuse((*where, "columns"), "NMEA 0183 sentences have no columns", "no [logs.columns]")
    if kind == "nmea" and "coordinates" in value:
        description.refuse((*where, "coordinates"), "NMEA 0183 has a form of its own", "no coordinates in [[logs]]")
    return LogFile(
        file=str(path),
        path=path,
        format=kind,
        columns=columns,
        units=value.get("units", {}),
        delimiter=value.get("delimiter"),
        skip_lines=value.get("skip_lines", 0),
        time_format=value.get("time_format"),
        utc_offset=value.get("utc_offset"),
        within=value.get("interpolate_within", INTERPOLATE_WITHIN),
        nearest=value.get("nearest_within", NEAREST_WITHIN),
        depth_down=value.get("depth_is", "positive down") == "positive down",
        absolute_pressure=value.get("pressure_is") == "absolute",
        coordinates=value.get("coordinates"),
    )
