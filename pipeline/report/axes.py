"""Round ticks for numbers and times, and lines thinned to what a picture can show."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

Point = tuple[float, float]
TIME_STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400)
"""Steps (s) between ticks of a time axis; past the last one, whole days."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale: values from `low` to `high` on paper from `start` to `end`."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Where a value lies on the paper, to a tenth."""
        return round(self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start), 1)


def time_ticks(low: float, high: float, about: float) -> list[float]:
    """Multiples of a round step (s) from `low` to `high`, not many more than `about`."""
    wanted = max(high - low, 1e-9) / max(about, 1)
    step = next((step for step in TIME_STEPS if step >= wanted), math.ceil(wanted / 86400) * 86400)
    return _multiples(low, high, step)


def round_ticks(low: float, high: float, about: float) -> list[float]:
    """Multiples of 1, 2 or 5 times a power of ten from `low` to `high`, not many more than `about`."""
    wanted = max(high - low, 1e-9) / max(about, 1)
    power = 10.0 ** math.floor(math.log10(wanted))
    step = next(power * factor for factor in (1, 2, 5, 10) if power * factor >= wanted * (1 - 1e-9))
    return _multiples(low, high, step)


def _multiples(low: float, high: float, step: float) -> list[float]:
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(place * step, 9) for place in range(first, last + 1)]


def thinned(line: Sequence[Point], columns: int) -> list[Point]:
    """A line of at most about four points a column: the first, the lowest, the highest and the last in each.

    A line over time keeps its whole range, spikes included.
    """
    if len(line) <= columns * 4:
        return list(line)
    low = min(point[0] for point in line)
    width = (max(point[0] for point in line) - low) / columns or 1.0
    bins: dict[int, list[Point]] = {}
    for point in line:
        bins.setdefault(min(int((point[0] - low) / width), columns - 1), []).append(point)
    kept: list[Point] = []
    for column in sorted(bins):
        points = bins[column]
        low_end, high_end = min(points, key=lambda p: p[1]), max(points, key=lambda p: p[1])
        kept.extend(dict.fromkeys(sorted((points[0], low_end, high_end, points[-1]))))
    return kept


def straightened(line: Sequence[Point], tolerance: float) -> list[Point]:
    """A way over ground with the points left out that lie within `tolerance` of the last one kept; both ends stay."""
    kept: list[Point] = []
    for place, point in enumerate(line):
        last = place == len(line) - 1
        if not kept or last or math.dist(point, kept[-1]) > tolerance:
            kept.append(point)
    return kept


def stretches(line: Sequence[Point], longest: float) -> list[list[Point]]:
    """A line over time cut where nothing is known for longer than `longest`: no line is drawn over a gap."""
    parts: list[list[Point]] = []
    for point in line:
        if parts and point[0] - parts[-1][-1][0] <= longest:
            parts[-1].append(point)
        else:
            parts.append([point])
    return parts
