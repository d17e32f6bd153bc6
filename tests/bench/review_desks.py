"""Desks to measure: runs of dives with gold, a run that is as large as they come, and the program that serves them."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from earwitness.pipeline import draft
from earwitness.taxonomy import NameIndex
from tests.bench.places import FIXTURES
from tests.review.page_desk import repeated

DEMO = FIXTURES / "quillmere_canyon"
EVENTS, SECONDS = 5_000, 3 * 3_600.0
TOKEN = "a token of the bench"
_ADDRESS = re.compile(r"The desk is at (\S+)")
_PROGRAM = (sys.executable, "-c", "from earwitness.pipeline.command import main; main()")


def drafted(captions: Path, index: NameIndex, folder: Path) -> Path:
    """A run of a transcript, with a desk of its own."""
    draft(captions, index).write(folder)
    return folder


def large(source: Path, folder: Path) -> Path:
    """A run of 5,000 events in three hours of talk: the source's, again and again."""
    return repeated(source, folder, EVENTS, SECONDS)


class Program:
    """`earwitness review` on a run, in a process of its own."""

    def __init__(self, run: Path, *options: str, reviewer: str = "Rosalind Quay"):
        command = [*_PROGRAM, "review", str(run), "--no-open", "--port", "0", "--reviewer", reviewer, *options]
        began = time.perf_counter()
        self._process = subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env=os.environ | {"EARWITNESS_DESK_TOKEN": TOKEN, "COLUMNS": "400"},
        )
        assert self._process.stdout is not None
        told = ""
        while not (found := _ADDRESS.search(told)):
            line = self._process.stdout.readline()
            assert line, f"the desk did not start: {told}"
            told += line
        self.started_in = time.perf_counter() - began
        self.url = found[1].rstrip("/")

    def kill(self) -> None:
        """End it at once, as a power cut would."""
        self._process.kill()
        self._end()

    def stop(self) -> None:
        """End it as people do."""
        self._process.send_signal(signal.SIGINT)
        self._end()

    def _end(self) -> None:
        self._process.communicate(timeout=60)


@contextmanager
def program(run: Path, *options: str) -> Iterator[Program]:
    """The same, ended afterwards."""
    desk = Program(run, *options)
    try:
        yield desk
    finally:
        desk.stop()


def percentile(values: list[float], share: float) -> float:
    """The value that this share of the values does not exceed."""
    ranked = sorted(values)
    return ranked[min(len(ranked) - 1, round(share * (len(ranked) - 1)))]
