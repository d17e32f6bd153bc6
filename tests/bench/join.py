"""How long placing takes: a 40-hour log at 1 Hz and 5,000 events, in a process of its own. Target: under 2 s."""

from __future__ import annotations

import json
import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
from rich.console import Console
from rich.table import Table

from earwitness.pipeline.place import place_rows, read_recording
from earwitness.schemas import columns, validate
from tests.bench.memory import peak
from tests.bench.places import HERE

HOURS, EVENTS, RUNS = 40, 5_000, 3
START = 1_867_312_800
"""2029-03-04T10:00:00Z; the dive is invented."""


def main(console: Console) -> None:
    """Print the table for a log as CSV and as Parquet."""
    table = Table(title=f"Placing {EVENTS:,} events by a log of {HOURS} hours at 1 Hz (median of {RUNS} processes)")
    for column in ("", "target", "CSV", "Parquet"):
        table.add_column(column, justify="right" if column else "left")
    with tempfile.TemporaryDirectory() as folder:
        make(Path(folder))
        told = {kind: [_child(Path(folder) / f"{kind}.toml") for _ in range(RUNS)] for kind in ("csv", "parquet")}
    lines = [
        ("read description and log, s", "", "read"),
        ("place all events, s", "", "place"),
        ("together, s", "< 2", "together"),
        ("processor seconds", "", "processor"),
        ("peak memory, MB", "", "peak"),
        ("  of it before anything was read", "", "before"),
        ("rows placed", f"{EVENTS:,}", "placed"),
    ]
    for label, target, key in lines:
        cells = [float(np.median([run[key] for run in told[kind]])) for kind in ("csv", "parquet")]
        table.add_row(label, target, *(f"{cell:,.2f}" if cell < 100 else f"{cell:,.0f}" for cell in cells))
    console.print(table)


def make(folder: Path) -> None:
    """An invented dive: nine columns, noise, a spike an hour, and a minute without fixes in each hour."""
    chance = np.random.default_rng(40)
    seconds = np.arange(HOURS * 3600, dtype=np.float64)
    noise = chance.normal(size=(4, len(seconds)))
    depth = 1500 + 400 * np.sin(seconds / 9000) + 0.1 * noise[0]
    latitude = 44 + 0.02 * np.sin(seconds / 20000) + 1e-5 * noise[1]
    latitude[1800::3600] += 0.05
    frame = pl.DataFrame(
        {
            "time": pl.from_epoch(pl.Series(seconds.astype(np.int64) + START), "s").dt.replace_time_zone("UTC"),
            "lat": latitude,
            "lon": 179.99 + 0.02 * np.cos(seconds / 20000) + 1e-5 * noise[2],
            "pressure": depth * 1.01,
            "heading": (seconds / 10) % 360,
            "altitude": 3 + noise[3].clip(-2, 2) * 0.1,
            "temperature": 3 + (2000 - depth) / 1000,
            "conductivity": 32.5 + (2000 - depth) / 1000,
            "oxygen": 40 + depth / 100,
        }
    ).filter(pl.Series(seconds % 3600 >= 60))
    frame = frame.with_columns(((pl.col("lon") + 180) % 360 - 180).alias("lon"))
    frame.write_parquet(folder / "log.parquet")
    frame.write_csv(folder / "log.csv", datetime_format="%Y-%m-%dT%H:%M:%S%.3fZ")
    names = "\n".join(f'{name} = "{name}"' for name in frame.columns if name not in ("lat", "lon"))
    for kind in ("csv", "parquet"):
        (folder / f"{kind}.toml").write_text(
            f'id = "long_dive"\nstart = 2029-03-04T10:00:00Z\n[[cuts]]\nat = 50000\nremoved = 600\n'
            f'[uncertainty]\nposition_meters = 10\n[[logs]]\nfile = "log.{kind}"\n[logs.columns]\n{names}\n'
            'latitude = "lat"\nlongitude = "lon"\n[logs.units]\npressure = "dbar"\nconductivity = "mS/cm"\n'
            'oxygen = "umol/kg"\n',
            encoding="utf-8",
        )


def events() -> list[dict[str, Any]]:
    """Events of three to sixty seconds, anywhere in the dive."""
    chance = np.random.default_rng(41)
    begins = np.sort(chance.uniform(0, HOURS * 3600 - 700, EVENTS)).round(3).tolist()
    lengths = chance.uniform(3, 60, EVENTS).round(3).tolist()
    blank: dict[str, Any] = dict.fromkeys(columns("event"))
    return [
        blank | {"eventID": f"e{n}", "startTime": begin, "endTime": round(begin + length, 3), "timeUncertainty": 1.0}
        for n, (begin, length) in enumerate(zip(begins, lengths, strict=True))
    ]


def _child(description: Path) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.bench.join", str(description)]
    done = subprocess.run(command, cwd=HERE, check=True, stdout=subprocess.PIPE, text=True)
    told: dict[str, Any] = json.loads(done.stdout)
    return told


def _do(description: Path) -> dict[str, Any]:
    rows, before = events(), peak()
    began, processor = time.perf_counter(), time.process_time()
    recording = read_recording(description)
    read = time.perf_counter()
    placed = place_rows(rows, recording).rows
    ended, processor = time.perf_counter(), time.process_time() - processor
    peaked = peak()
    known = [row for row in placed if row["decimalLatitude"] is not None]
    validate("event", [_whole(row) for row in known[:50]])
    assert all(math.isfinite(row["minimumDepthInMeters"]) for row in known)
    return {
        "read": read - began,
        "place": ended - read,
        "together": ended - began,
        "processor": processor,
        "peak": peaked,
        "before": before,
        "placed": len(known),
    }


def _whole(row: dict[str, Any]) -> dict[str, Any]:
    """A row with what the schema wants besides places."""
    words = {"recordKind": "substrate", "habitat": "mud", "recordingID": "long_dive", "transcriptText": "mud"}
    lists: dict[str, Any] = {"alternatives": [], "certaintyCues": [], "determinations": []}
    ours = {"reviewStatus": "draft", "softwareVersion": "0", "checklistName": "none", "checklistHash": "0" * 64}
    return row | words | lists | ours


if __name__ == "__main__":
    print(json.dumps(_do(Path(sys.argv[1]))))
