"""How long publishing takes: 5,000 events as each format and as all of them, each in a process of its own.

Times are of this machine and hold for it; they pass or fail nothing.
"""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

from earwitness.pipeline import draft
from earwitness.pipeline.command.publish import PUBLISHERS
from earwitness.pipeline.publish import publish
from earwitness.schemas import SCHEMAS, contract, validate
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.memory import peak
from tests.bench.places import FIXTURES, HERE
from tests.bench.review_desks import EVENTS, large

DEMO = FIXTURES / "quillmere_canyon"
TARGETS = {"dwca": "3"}
ALL = "all"


def main(console: Console) -> None:
    """Print the tables."""
    with tempfile.TemporaryDirectory() as folder:
        run = made(Path(folder))
        console.print(_validation(run))
        table = Table(title=f"Publishing {EVENTS:,} events, a process each")
        for name in ("format", "target, s", "seconds", "processor seconds", "peak memory, MB", "written, kB"):
            table.add_column(name, justify="left" if name == "format" else "right")
        for name in (*PUBLISHERS, ALL):
            told = _child(run, name, Path(folder) / "out")
            cells = (f"{told['seconds']:.1f}", f"{told['processor']:.1f}", f"{told['peak']:,.0f}", f"{told['kB']:,.0f}")
            table.add_row(name, TARGETS.get(name, ""), *cells)
        console.print(table)


def made(folder: Path) -> Path:
    """A run of so many events, placed by the demo dive's logs."""
    index = NameIndex(load_checklist(DEMO / "checklist.csv"))
    draft(DEMO / "clean.vtt", index, recordings=[DEMO / "recording.toml"]).write(folder / "demo")
    return large(folder / "demo", folder / "large")


def _validation(run: Path) -> Table:
    rows = [json.loads(line) for line in (run / "events.jsonl").read_text("utf-8").splitlines()]
    table = Table(title=f"Checking {len(rows):,} rows against the event schema")
    for name in ("", "processor seconds"):
        table.add_column(name, justify="right" if name else "left")
    with _timed(table, "quick check first, jsonschema on what it does not call fine"):
        validate("event", rows)
    slow = contract._validator(SCHEMAS[0])
    with _timed(table, "jsonschema alone"):
        assert not [row for row in rows if next(iter(slow.iter_errors(row)), None)]
    return table


@contextlib.contextmanager
def _timed(table: Table, what: str) -> Iterator[None]:
    began = time.process_time()
    yield
    table.add_row(what, f"{time.process_time() - began:.2f}")


def _child(run: Path, name: str, to: Path) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.bench.publish", str(run), name, str(to)]
    done = subprocess.run(command, cwd=HERE, check=True, stdout=subprocess.PIPE, text=True)
    told: dict[str, Any] = json.loads(done.stdout)
    return told


def _do(run: Path, name: str, to: Path) -> dict[str, Any]:
    publishers = list(PUBLISHERS.values()) if name == ALL else [PUBLISHERS[name]]
    began, processor = time.perf_counter(), time.process_time()
    issue = publish(run, publishers, to / name, publication=DEMO / "publication.toml")
    ended = time.perf_counter()
    assert len(issue.edition.rows) == EVENTS
    files = [path for path in (to / name).rglob("*") if path.is_file()]
    return {
        "seconds": ended - began,
        "processor": time.process_time() - processor,
        "peak": peak(),
        "kB": sum(path.stat().st_size for path in files) / 1e3,
    }


if __name__ == "__main__":
    print(json.dumps(_do(Path(sys.argv[1]), sys.argv[2], Path(sys.argv[3]))))
