"""The vehicle's depth over a recording's time. In: rows and track. Out: stretches of (time, depth).

A fix of a log has a moment in UTC. Where a recording was cut, UTC goes on while the recording does not; so a fix is put
where the rows on either side of it, which have both times, agree on how far apart the two clocks are. A fix between
rows that do not agree lies in or beside a cut and is left out, and no line runs across it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from statistics import median
from typing import Any

from earwitness.pipeline.publish.publisher import Fix
from earwitness.pipeline.report.axes import Point, stretches
from earwitness.pipeline.report.wording import utc

GAP = 60.0
"""No line is drawn where the log is silent for longer (s), nor for longer than five of its usual steps."""
AGREE = 1.0
"""Seconds by which the clocks of two neighbouring rows may differ with no cut between them."""


def longest_gap(times: Sequence[float]) -> float:
    """The longest silence (s) of a log that a line may be drawn over."""
    steps = [later - earlier for earlier, later in pairwise(times) if later > earlier]
    return max(GAP, 5 * median(steps)) if steps else GAP


def depth_profile(
    rows: Sequence[dict[str, Any]], track: Sequence[Fix], joined: bool, first: float, last: float
) -> tuple[tuple[Point, ...], ...]:
    """Stretches of (time, depth) from `first` to `last`; times are UTC (seconds of the epoch) if `joined`."""
    clocks = _clocks(rows)
    pieces: dict[int, list[Point]] = {}
    for fix in track:
        placed = _placed(fix, clocks, joined)
        if placed and fix.depth is not None and first <= placed[1] <= last:
            pieces.setdefault(placed[0], []).append((placed[1], fix.depth))
    parts: list[tuple[Point, ...]] = []
    for number in sorted(pieces):
        line = sorted(pieces[number])
        parts.extend(tuple(part) for part in stretches(line, longest_gap([x for x, _ in line])) if len(part) > 1)
    return tuple(parts)


def _clocks(rows: Sequence[dict[str, Any]]) -> list[tuple[float, float, int]]:
    """For every row with both times: its UTC, how far UTC is ahead, and how many cuts were before; in order."""
    moments = [(utc(row.get("eventDate")), float(row["startTime"])) for row in rows]
    times = sorted((moment.timestamp(), start) for moment, start in moments if moment)
    clocks: list[tuple[float, float, int]] = []
    for at, start in times:
        ahead = at - start
        cut = bool(clocks) and abs(ahead - clocks[-1][1]) > AGREE
        clocks.append((at, ahead, clocks[-1][2] + cut if clocks else 0))
    return clocks


def _placed(fix: Fix, clocks: Sequence[tuple[float, float, int]], joined: bool) -> tuple[int, float] | None:
    """The piece of the recording that a fix lies in, and its time there; None in or beside a cut."""
    moment = utc(fix.moment)
    if joined:
        return (0, moment.timestamp()) if moment else None
    if not moment or not clocks:
        return 0, fix.time
    after = bisect_right(clocks, moment.timestamp(), key=lambda clock: clock[0])
    before, behind = clocks[max(after - 1, 0)], clocks[min(after, len(clocks) - 1)]
    return (before[2], moment.timestamp() - before[1]) if before[2] == behind[2] else None
