"""Time and peak memory of `earwitness draft` on an hour of narration with the large checklist, as a user runs it."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import Console

from earwitness.pipeline.read import Cue, read_transcript
from tests.bench.narrations import dives
from tests.bench.places import SHARED

HOUR = 3600.0
BETWEEN = 2.0
"""Seconds from the end of a dive to the next."""


def main(console: Console) -> None:
    """Print wall time, peak memory and counts of one run in a process of its own."""
    checklist = SHARED / "checklists" / "marine_ncbi.csv.gz"
    if not checklist.exists():
        console.print("The large checklist does not lie beside the checkout: no hour measured.")
        return
    with tempfile.TemporaryDirectory() as folder:
        talk, out = Path(folder) / "hour.vtt", Path(folder) / "out"
        seconds, words = write_hour(talk)
        began = time.perf_counter()
        command = [sys.executable, "-c", "from earwitness.pipeline.command import main; main()"]
        arguments = ["draft", str(talk), "--checklist", str(checklist), "--out", str(out), "--json"]
        subprocess.run([*command, *arguments], check=True, capture_output=True)
        took = time.perf_counter() - began
        summary = json.loads((out / "run.json").read_text(encoding="utf-8"))
    # Kilobytes on Linux.
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1e3
    stages = {k: v for k, v in summary["timing"].items() if k != "startedAt"}
    console.print(
        f"draft of {seconds / 60:.0f} min ({words} words), {summary['checklist']['taxa']:,} taxa: {took:.1f} s wall, "
        f"{peak:.0f} MB peak; {summary['counts']['occurrences']} occurrences; {stages}"
    )


def write_hour(path: Path) -> tuple[float, int]:
    """A WebVTT of an hour: the scripted dives, clean and as heard, one after the other; its seconds and words."""
    cues: list[Cue] = []
    for cue in _talk(0.0):
        if cues and cues[-1].end >= HOUR:
            break
        cues.append(cue)
    return cues[-1].end, _write(path, cues)


def write_words(path: Path, words: int) -> tuple[float, int]:
    """A WebVTT of this many words or a few more: the same dives over and over; its seconds and words."""
    cues: list[Cue] = []
    said = 0
    while said < words:
        for cue in _talk(cues[-1].end + BETWEEN if cues else 0.0):
            cues.append(cue)
            said += len(cue.text.split())
            if said >= words:
                break
    return cues[-1].end, _write(path, cues)


def _talk(shift: float) -> Iterator[Cue]:
    """The cues of all dives, clean and as heard, the first of them `shift` seconds late."""
    for file in [folder / f"{captions}.vtt" for captions in ("clean", "heard") for folder, _ in dives()]:
        end = shift
        for cue in read_transcript(file).cues:
            end = cue.end + shift
            yield Cue(cue.start + shift, end, cue.text)
        shift = end + BETWEEN


def _write(path: Path, cues: Sequence[Cue]) -> int:
    """Write cues as WebVTT; the number of their words."""
    blocks = [f"{_clock(cue.start)} --> {_clock(cue.end)}\n{_escaped(cue.text)}\n" for cue in cues]
    path.write_text("WEBVTT\n\n" + "\n".join(blocks), encoding="utf-8")
    return sum(len(cue.text.split()) for cue in cues)


def _clock(seconds: float) -> str:
    minutes, rest = divmod(seconds, 60)
    return f"{int(minutes) // 60:02d}:{int(minutes) % 60:02d}:{rest:06.3f}"


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
