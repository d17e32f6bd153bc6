"""How long a checklist's index takes to build and to open, and running text to hear, each in a process of its own.

One thread, an empty cache. With `build/all_animals.csv.gz` (`python -m tests.bench.all_animals`) the list of ten times
the length is measured, too; its index is built once and kept under build/speed_indexes. Targets stand beside.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from rich.console import Console
from rich.table import Table

from earwitness.pipeline.mention import find_mentions
from earwitness.pipeline.read import read_transcript
from earwitness.pipeline.segment import build_language, segment
from earwitness.taxonomy import open_index
from tests.bench.hour import write_words
from tests.bench.memory import peak
from tests.bench.places import HERE, SHARED

WORDS = 9_000
"""Of an hour of talk at 150 a minute (common practice, no source)."""
RUNS = 3
"""Processes of each kind; their median is shown."""
ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "POLARS_MAX_THREADS"), "1")
LARGE = SHARED / "checklists" / "marine_ncbi.csv.gz"
TEN_TIMES = HERE / "build" / "all_animals.csv.gz"
KEPT = HERE / "build" / "speed_indexes"
_BUILT = "built.json"
Given = TypeVar("Given")


@dataclass(frozen=True)
class Figures:
    """Of one list: seconds, megabytes, and how many names there are.

    Args:
        names: entries of the index.
        build, open, hear: seconds of building the index (None: it was built before, unmeasured), of opening it in a
            process of its own, and of `find_mentions`.
        build_processor, hear_processor: the same in processor seconds, which others on the machine disturb less.
        build_peak, open_peak, hear_peak: peak resident memory of those processes, MB.
        import_peak: the peak when everything is imported and nothing opened, MB.
        disk: size of the index, MB.
        words: that were heard.
    """

    names: int
    build: float | None
    open: float
    hear: float
    build_processor: float | None
    hear_processor: float
    build_peak: float | None
    open_peak: float
    hear_peak: float
    import_peak: float
    disk: float
    words: int

    @property
    def microseconds(self) -> float:
        """Of hearing, a word."""
        return self.hear / self.words * 1e6


def main(console: Console) -> None:
    """Print the table of one or both lists."""
    if not LARGE.exists():
        console.print("The large checklist does not lie beside the checkout: no speed measured.")
        return
    with tempfile.TemporaryDirectory() as folder:
        talk = Path(folder) / "talk.vtt"
        _, words = write_words(talk, WORDS)
        large = measured(LARGE, talk, words, Path(folder) / "indexes")
        if TEN_TIMES.exists():
            console.print("Where the code has changed, the index of the longer list is built anew: about ten minutes.")
        ten_times = measured(TEN_TIMES, talk, words, KEPT) if TEN_TIMES.exists() else None
    console.print(table(large, ten_times))
    if ten_times is None:
        needs = "build/all_animals.csv.gz, made by python -m tests.bench.all_animals from optional packages"
        console.print(f"The list of ten times the length is not there ({needs}): how time grows was not measured.")


def measured(checklist: Path, talk: Path, words: int, cache: Path) -> Figures:
    """Build (where the cache has no index), open and hear in processes of their own."""
    built = _built(checklist, cache)
    opened = [_child(checklist, cache) for _ in range(RUNS)]
    heard = [_child(checklist, cache, talk) for _ in range(RUNS)]
    return Figures(
        opened[0]["names"],
        built.get("seconds"),
        statistics.median(run["seconds"] for run in opened),
        statistics.median(run["seconds"] for run in heard),
        built.get("processor"),
        statistics.median(run["processor"] for run in heard),
        built.get("peak"),
        statistics.median(run["peak"] for run in opened),
        statistics.median(run["peak"] for run in heard),
        statistics.median(run["imported"] for run in opened),
        opened[0]["disk"],
        words,
    )


def _built(checklist: Path, cache: Path) -> dict[str, Any]:
    """What building took, now or when it was built; an index that code or list have outlived is built anew."""
    kept = cache / _BUILT
    before = json.loads(kept.read_text(encoding="utf-8")) if kept.exists() else {}
    run = _child(checklist, cache)
    if not run["rebuilt"]:
        return dict(before)
    kept.write_text(json.dumps(run), encoding="utf-8")
    return run


def table(large: Figures, ten_times: Figures | None) -> Table:
    """Measured values beside the targets."""
    shown = Table(title=f"Index and hearing, one thread, {large.words:,} words of talk (median of {RUNS} processes)")
    lists = [large] if ten_times is None else [large, ten_times]
    for column in ("", "target", *(f"{figures.names:,} names" for figures in lists)):
        shown.add_column(column, justify="right" if column else "left")
    lines: list[tuple[str, str, Callable[[Figures], str]]] = [
        ("build the index, s", "<= 60", lambda f: _number(f.build)),
        ("  processor seconds", "", lambda f: _number(f.build_processor)),
        ("  peak memory, MB", "", lambda f: _number(f.build_peak, 0)),
        ("open it, s", "<= 0.3", lambda f: _number(f.open, 3)),
        ("  peak memory, MB (of it before opening)", "<= 400", lambda f: f"{f.open_peak:.0f} ({f.import_peak:.0f})"),
        ("find_mentions, s", "<= 3", lambda f: _number(f.hear)),
        ("  processor seconds", "", lambda f: _number(f.hear_processor)),
        ("  peak memory, MB", "<= 400", lambda f: _number(f.hear_peak, 0)),
        ("  microseconds a word", "", lambda f: _number(f.microseconds, 0)),
        ("  to that on the large list", "<= 2", lambda f: _number(f.microseconds / large.microseconds, 2)),
        ("size on disk, MB", "", lambda f: _number(f.disk, 0)),
    ]
    for label, target, value in lines:
        shown.add_row(label, target, *(value(figures) for figures in lists))
    return shown


def _number(value: float | None, digits: int = 1) -> str:
    return "–" if value is None else f"{value:,.{digits}f}"


def _child(*paths: Path) -> dict[str, Any]:
    """What one process of this file prints."""
    environment = {**os.environ, **ONE_THREAD, "EARWITNESS_CACHE": str(paths[1])}
    command = [sys.executable, "-m", "tests.bench.speed", *map(str, paths)]
    done = subprocess.run(command, cwd=HERE, env=environment, check=True, stdout=subprocess.PIPE, text=True)
    printed: dict[str, Any] = json.loads(done.stdout)
    return printed


def _do(checklist: Path, cache: Path, talk: Path | None = None) -> dict[str, Any]:
    """One task in this process."""
    before, imported = _stamps(cache), peak()
    index, took, processor = _timed(lambda: open_index(checklist))
    after = _stamps(cache)
    (home,) = [cache / name for name, file in after.items() if Path(file[1]) == checklist.resolve()]
    if talk is not None:
        doc = segment(read_transcript(talk), build_language())
        _, took, processor = _timed(lambda: find_mentions(doc, index))
    return {
        "names": len(index.entries),
        "seconds": took,
        "processor": processor,
        "peak": peak(),
        "imported": imported,
        "disk": sum(file.stat().st_size for file in home.iterdir()) / 1e6,
        "rebuilt": after != before,
    }


def _timed(call: Callable[[], Given]) -> tuple[Given, float, float]:
    """What a call gives, its seconds, and its processor seconds."""
    began, processor = time.perf_counter(), time.process_time()
    given = call()
    return given, time.perf_counter() - began, time.process_time() - processor


def _stamps(cache: Path) -> dict[str, tuple[str, str]]:
    """When each index of a cache was built, and of which file."""
    described = {file.parent.name: json.loads(file.read_text(encoding="utf-8")) for file in cache.glob("*/meta.json")}
    return {name: (meta["builtAt"], meta["file"]) for name, meta in described.items()}


if __name__ == "__main__":
    print(json.dumps(_do(*map(Path, sys.argv[1:]))))
