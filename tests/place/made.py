"""Descriptions and logs made on the spot, all invented."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from earwitness.pipeline.place import Recording, read_recording
from earwitness.schemas import columns

START = datetime(2029, 3, 4, 10, 0, 0, tzinfo=UTC)
HEAD = 'id = "bracken_sill_7"\nstart = 2029-03-04T10:00:00Z\n'
COLUMNS = {"time": "time", "latitude": "lat", "longitude": "lon", "depth": "depth"}
Cells = Sequence[object]


def at(seconds: float, start: datetime = START) -> str:
    """ISO 8601 text of a moment so many seconds after the start."""
    return (start + timedelta(seconds=seconds)).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def write_log(folder: Path, rows: Sequence[Cells], header: str = "time,lat,lon,depth", name: str = "log.csv") -> Path:
    path = folder / name
    lines = [",".join("" if cell is None else str(cell) for cell in row) for row in rows]
    path.write_text("\n".join([header, *lines]) + "\n", encoding="utf-8")
    return path


def describe(
    folder: Path,
    *,
    head: str = HEAD,
    columns: dict[str, str] | None = None,
    log: str = "",
    units: str = "",
    more: str = "",
    file: str = "log.csv",
) -> Path:
    """A description with one log."""
    named = "\n".join(f'{ours} = "{theirs}"' for ours, theirs in (columns or COLUMNS).items())
    unit = f"[logs.units]\n{units}\n" if units else ""
    text = f'{head}\n[[logs]]\nfile = "{file}"\n{log}\n[logs.columns]\n{named}\n{unit}\n{more}'
    path = folder / "recording.toml"
    path.write_text(text, encoding="utf-8")
    return path


def recorded(folder: Path, rows: Sequence[Cells], *, header: str = "time,lat,lon,depth", **how: Any) -> Recording:
    write_log(folder, rows, header)
    return read_recording(describe(folder, **how))


def line_along(seconds: Sequence[float], **cells: Any) -> list[Cells]:
    """Rows of a vehicle that goes north at about a tenth of a metre a second and down at half a metre a second."""
    return [(at(s), round(45 + s * 1e-6, 8), -30.5, round(1000 + s / 2, 3)) for s in seconds]


def event(start: float, end: float | None = None, **cells: Any) -> dict[str, Any]:
    """An event row with the columns that places need."""
    row: dict[str, Any] = dict.fromkeys(columns("event"))
    row |= {"eventID": f"e{start:g}", "recordingID": "bracken_sill_7", "startTime": start, "placeFlags": []}
    return row | {"endTime": start if end is None else end, "timeUncertainty": 0.0} | cells
