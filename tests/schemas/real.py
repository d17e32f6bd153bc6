"""The built-in dive as a run, drafted once for all tests of a process."""

from __future__ import annotations

from functools import cache

from earwitness.pipeline import Run, draft
from tests.conftest import DIVE


@cache
def run() -> Run:
    """With places from the demo's logs."""
    return draft(DIVE / "clean.vtt", DIVE / "checklist.csv", recordings=[DIVE / "recording.toml"])
