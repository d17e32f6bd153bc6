"""A Chart laid out on paper. In: a Chart. Out: Sheet, in units of an SVG, for the page's template.

Twice: for a wide window and for print, and for a narrow window, where fewer signs stand on less room.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from earwitness.pipeline.report.axes import Point, Scale
from earwitness.pipeline.report.chart import Chart, Spot, bar_text
from earwitness.pipeline.report.labels import Label
from earwitness.pipeline.report.shapes import shape_paths
from earwitness.pipeline.report.wording import degrees

TOP, FOOT = 14, 56
"""Room above the map and below it."""
BETWEEN = 125
"""Room for the coordinate of a line of the net."""
CHARACTER = 7.2
"""Width of a character, roughly."""
RADIUS = 5.5
FLAG = 8
"""Half a flag's side."""
NEAR = 40
"""Flags put down before, of which a flag keeps clear: flags follow the track, so that the last are the nearest."""
AROUND = ((13, -13), (-13, -13), (13, 13), (-13, 13), (31, -13), (-31, -13), (31, 13), (-31, 13))
"""Where a flag may stand beside its point, best first."""
BESIDE = ((0, 20, "middle"), (0, -11, "middle"), (10, 5, "start"), (-10, 5, "end"))
"""Where a word may stand beside its point, best first."""
MINUTES = (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600)
"""Steps (minutes of arc) between the lines of the map's net."""
Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""


@dataclass(frozen=True, slots=True)
class Format:
    """Measures of a map: its width, and the room at its left, for coordinates, and at its right."""

    width: int
    left: int
    right: int


WIDE = Format(760, 34, 16)
NARROW = Format(320, 24, 8)


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
    """A map laid out; `frame` is left, top, width and height of the map itself, `words` stand beside the `ends`."""

    width: int
    height: float
    frame: Box
    shapes: tuple[str, ...]
    meridians: tuple[Label, ...]
    parallels: tuple[Label, ...]
    track: tuple[str, ...]
    ends: tuple[Point, ...]
    words: tuple[Label, ...]
    spots: tuple[PlacedSpot, ...]
    flags: tuple[Label, ...]
    squares: tuple[PlacedSquare, ...]
    bar: float
    bar_text: str


def lay_out_chart(chart: Chart, to: Format = WIDE) -> Sheet:
    """Lay a map out."""
    signs = chart.coarse if to == NARROW else chart.fine
    wide = to.width - to.left - to.right
    high = round(wide * chart.height / chart.width, 1)
    per_metre = wide / chart.width
    across = Scale(-chart.width / 2, chart.width / 2, to.left, to.left + wide)
    down = Scale(-chart.height / 2, chart.height / 2, TOP + high, TOP)
    inside = (to.left, TOP, to.left + wide, TOP + high)
    fullest = max((square.events for square in chart.squares), default=1)
    spots = tuple(PlacedSpot(across(s.x), down(s.y), spot_size(s), s) for s in signs.spots)
    ends = tuple((across(x), down(y)) for x, y in chart.ends)
    words = _words(ends, map(_around_spot, spots), inside)
    flags = _flags([(across(x), down(y), letter) for x, y, letter in signs.flags], map(_written, words), inside)
    return Sheet(
        width=to.width,
        height=TOP + high + FOOT,
        frame=(to.left, TOP, wide, high),
        shapes=shape_paths(RADIUS),
        meridians=_meridians(chart, across, inside, to),
        parallels=_parallels(chart, down, inside),
        track=tuple(_line(part, across, down) for part in chart.track if len(part) > 1),
        ends=ends,
        words=words,
        spots=spots,
        flags=flags,
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


def _meridians(chart: Chart, across: Scale, inside: Box, to: Format) -> tuple[Label, ...]:
    """Coordinates below the map; those near its corners stand inwards of their line."""
    east = chart.per_degree[0]
    labels = []
    for value, places in net(chart.longitude, chart.width / east, int((inside[2] - inside[0]) // BETWEEN)):
        x, text = across((value - chart.longitude) * east), degrees(wrapped(value), "longitude", places)
        half = len(text) * CHARACTER / 2
        anchor = "start" if x < half else "end" if x > to.width - half else "middle"
        labels.append(Label(x, inside[3] + 18, text, anchor))
    return tuple(labels)


def _parallels(chart: Chart, down: Scale, inside: Box) -> tuple[Label, ...]:
    """Coordinates up the left side; those near a corner stand inwards of their line."""
    north = chart.per_degree[1]
    labels = []
    for value, places in net(chart.latitude, chart.height / north, int((inside[3] - inside[1]) // BETWEEN)):
        y, text = down((value - chart.latitude) * north), degrees(value, "latitude", places)
        half = len(text) * CHARACTER / 2
        anchor = "end" if y < inside[1] + half else "start" if y > inside[3] - half else "middle"
        labels.append(Label(inside[0] - 8, y, text, anchor))
    return tuple(labels)


def _flags(points: Iterable[tuple[float, float, str]], words: Iterable[Box], inside: Box) -> tuple[Label, ...]:
    """Flags beside their points, clear of each other and of words as far as there is room."""
    written = list(words)
    boxes: list[Box] = []
    flags = []
    for x, y, letter in points:
        places = [(x + dx, y + dy) for dx, dy in AROUND]
        at = min(
            places, key=lambda place: _covered(_square(place[0], place[1], FLAG), [*written, *boxes[-NEAR:]], inside)
        )
        boxes.append(_square(at[0], at[1], FLAG))
        flags.append(Label(round(at[0], 1), round(at[1], 1), letter))
    return tuple(flags)


def _words(ends: Sequence[Point], spots: Iterable[Box], inside: Box) -> tuple[Label, ...]:
    """The words "start" and "end", where they cover least."""
    taken = [*spots, *(_square(x, y, RADIUS) for x, y in ends)]
    words = []
    for (x, y), text in zip(ends, ("start", "end"), strict=False):
        places = [Label(round(x + dx, 1), round(y + dy, 1), text, anchor) for dx, dy, anchor in BESIDE]
        best = min(places, key=lambda label: _covered(_written(label), taken, inside))
        taken.append(_written(best))
        words.append(best)
    return tuple(words)


def _covered(box: Box, others: Iterable[Box], inside: Box) -> float:
    """How much of other boxes a box would cover; most of all what lies over the map's edge."""
    left, top, right, bottom = box
    outside = max(inside[0] - left, inside[1] - top, right - inside[2], bottom - inside[3], 0.0)
    return 1e6 * outside + sum(
        max(min(right, r) - max(left, x), 0.0) * max(min(bottom, b) - max(top, y), 0.0) for x, y, r, b in others
    )


def _square(x: float, y: float, half: float) -> Box:
    return x - half, y - half, x + half, y + half


def _around_spot(spot: PlacedSpot) -> Box:
    return _square(spot.x, spot.y, RADIUS * spot.size)


def _written(label: Label) -> Box:
    long = len(label.text) * CHARACTER
    left = label.x - {"start": 0.0, "middle": long / 2, "end": long}[label.anchor]
    return left, label.y - 11, left + long, label.y + 3


def wrapped(longitude: float) -> float:
    """A longitude from -180 to 180."""
    return (longitude + 180) % 360 - 180


def spot_size(spot: Spot) -> float:
    """How large a spot is drawn: its area grows with its sightings, up to a limit."""
    return round(min(0.8 + 0.35 * math.sqrt(spot.events), 3.0), 2)


def _line(part: Iterable[Point], across: Scale, down: Scale) -> str:
    return "M" + "L".join(f"{across(x):g} {down(y):g}" for x, y in part)


def net(middle: float, span: float, about: int) -> list[tuple[float, int]]:
    """Round degrees about a middle, with the decimals of a minute that they need."""
    step = next((step for step in MINUTES if step >= span * 60 / max(about, 1)), MINUTES[-1])
    places = 0 if step >= 1 else max(0, -math.floor(math.log10(step)))
    first, last = math.ceil((middle - span / 2) * 60 / step), math.floor((middle + span / 2) * 60 / step)
    return [(place * step / 60, places) for place in range(first, last + 1)]
