"""A Chart laid out on paper. In: a Chart. Out: Sheet, in units of an SVG, for the page's template."""

from __future__ import annotations

import math
from dataclasses import dataclass

from earwitness.pipeline.report.axes import Point, Scale
from earwitness.pipeline.report.chart import Chart, Spot, bar_text
from earwitness.pipeline.report.draw_timeline import Label
from earwitness.pipeline.report.shapes import shape_paths
from earwitness.pipeline.report.wording import degrees

WIDTH = 760
EDGE = 46
"""Room at the edges for the coordinates."""
MINUTES = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600)
"""Steps (minutes of arc) between the lines of the map's net."""


@dataclass(frozen=True, slots=True)
class PlacedSpot:
    """A spot at its place, drawn `size` times as large as one sighting."""

    x: float
    y: float
    size: float
    spot: Spot


@dataclass(frozen=True, slots=True)
class PlacedSquare:
    """A square of the grid: its corner, its sides, its share of the fullest one (1 to 5), and how many rows."""

    x: float
    y: float
    width: float
    height: float
    shade: int
    events: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """A map laid out; `frame` is left, top, width and height of the map itself."""

    height: float
    frame: tuple[float, float, float, float]
    shapes: tuple[str, ...]
    meridians: tuple[Label, ...]
    parallels: tuple[Label, ...]
    track: tuple[str, ...]
    ends: tuple[Label, ...]
    spots: tuple[PlacedSpot, ...]
    flags: tuple[Label, ...]
    squares: tuple[PlacedSquare, ...]
    bar: float
    bar_text: str
    width: int = WIDTH


def lay_out_chart(chart: Chart) -> Sheet:
    """Lay a map out."""
    wide = WIDTH - 2 * EDGE
    high = round(wide * chart.height / chart.width, 1)
    per_metre = wide / chart.width
    across = Scale(-chart.width / 2, chart.width / 2, EDGE, EDGE + wide)
    down = Scale(-chart.height / 2, chart.height / 2, EDGE / 2 + high, EDGE / 2)
    bottom = EDGE / 2 + high
    fullest = max((square.events for square in chart.squares), default=1)
    east, north = chart.per_degree
    return Sheet(
        height=bottom + 54,
        frame=(EDGE, EDGE / 2, wide, high),
        shapes=shape_paths(5.5),
        meridians=tuple(
            Label(across((value - chart.longitude) * east), bottom + 18, degrees(wrapped(value), "longitude", p))
            for value, p in net(chart.longitude, chart.width / east, 4)
        ),
        parallels=tuple(
            Label(EDGE - 10, down((value - chart.latitude) * north), degrees(value, "latitude", p))
            for value, p in net(chart.latitude, chart.height / north, 4)
        ),
        track=tuple(_line(part, across, down) for part in chart.track if len(part) > 1),
        ends=tuple(Label(across(x), down(y), t) for (x, y), t in zip(chart.ends, ("start", "end"), strict=False)),
        spots=tuple(PlacedSpot(across(s.x), down(s.y), spot_size(s), s) for s in chart.spots),
        flags=tuple(Label(across(x), down(y), letter) for x, y, letter in chart.flags),
        squares=tuple(
            PlacedSquare(
                across(s.x - s.half_width),
                down(s.y + s.half_height),
                round(2 * s.half_width * per_metre, 1),
                round(2 * s.half_height * per_metre, 1),
                math.ceil(5 * s.events / fullest),
                s.events,
            )
            for s in chart.squares
        ),
        bar=round(chart.bar * per_metre, 1),
        bar_text=bar_text(chart.bar),
    )


def wrapped(longitude: float) -> float:
    """A longitude from -180 to 180."""
    return (longitude + 180) % 360 - 180


def spot_size(spot: Spot) -> float:
    """How large a spot is drawn: its area grows with its sightings, up to a limit."""
    return round(min(0.8 + 0.35 * math.sqrt(spot.events), 3.0), 2)


def _line(part: tuple[Point, ...], across: Scale, down: Scale) -> str:
    return "M" + "L".join(f"{across(x):g} {down(y):g}" for x, y in part)


def net(middle: float, span: float, about: int) -> list[tuple[float, int]]:
    """Round degrees about a middle, with the decimals of a minute that they need."""
    step = next((step for step in MINUTES if step >= span * 60 / about), MINUTES[-1])
    places = 0 if step >= 1 else max(0, -math.floor(math.log10(step)))
    first, last = math.ceil((middle - span / 2) * 60 / step), math.floor((middle + span / 2) * 60 / step)
    return [(place * step / 60, places) for place in range(first, last + 1)]
