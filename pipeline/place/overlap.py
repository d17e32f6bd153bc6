"""Whether logs are of the recording's time at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from earwitness.pipeline.place.log import LogFile, iso
from earwitness.pipeline.place.recording import Recording
from earwitness.schemas import InputError, Problem

_HOUR = 3_600_000_000
_OFFSETS = sorted((n / 4 for n in range(-48, 57)), key=abs)
"""Hours from UTC that are in use anywhere, -12 to +14 by quarters, the smallest first."""


def check_overlap(rows: Sequence[Mapping[str, Any]], recording: Recording) -> list[Problem]:
    """Problems for logs that are of another time than the recording, and for events after its end.

    Raises:
        InputError: all logs are of another time; says by how much, and guesses why.
    """
    clock = recording.clock
    last = max((float(row["endTime"]) for row in rows), default=0.0)
    problems = []
    if recording.length is not None and last > recording.length + 1:
        late = sum(float(row["endTime"]) > recording.length + 1 for row in rows)
        reason = f"{late} events are later than the end of its files, {recording.length:g} s"
        problems.append(Problem(recording.path, 0, reason, "the duration of all files", "noted"))
    if clock is None or not recording.logs:
        return problems
    begin, end = (round(clock.seconds(t) * 1e6) for t in (0.0, max(last, recording.length or 0.0)))
    elsewhere = [_elsewhere(log, begin, end) for log in recording.logs]
    told = [problem for problem in elsewhere if problem is not None]
    if len(told) == len(elsewhere):
        raise InputError(told[0])
    return problems + told


def _elsewhere(log: LogFile, begin: int, end: int) -> Problem | None:
    if log.first is None or log.last is None:
        return Problem(log.file, 0, "no row of it can be used", "rows with times and values")
    margin = round(log.nearest * 1e6)
    if log.first <= end + margin and log.last >= begin - margin:
        return None
    reason = f"goes from {iso(log.first)} to {iso(log.last)}, and the recording from {iso(begin)} to {iso(end)}"
    return Problem(log.file, 0, reason, f"a log of the same time; {_guess(log.first, log.last, begin, end)}")


def _guess(first: int, last: int, begin: int, end: int) -> str:
    for hours in _OFFSETS:
        shift = round(hours * _HOUR)
        if first + shift <= begin and last + shift >= end:
            way = "later" if hours > 0 else "earlier"
            return f"it would fit {abs(hours):g} h {way}: is it in local time (utc_offset)?"
    return "is it another dive's log, or is the recording's start wrong?"
