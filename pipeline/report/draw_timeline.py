"""A Timeline laid out on paper. In: a Timeline. Out: Paper, in units of an SVG, for the page's template."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from earwitness.pipeline.report.axes import Point, Scale, round_ticks, thinned, time_ticks
from earwitness.pipeline.report.shapes import shape_paths
from earwitness.pipeline.report.timeline import SAID, Lane, Mark, Timeline
from earwitness.pipeline.report.wording import clock, number

WIDTH = 1080
LEFT, RIGHT = 182, 18
DEPTH_PANEL = 300
LANE, ROOMY_LANE = 26, 42
CHARACTER = 6.6
"""Width of a character of the axis labels, roughly."""
LABEL = 17
"""Characters of a lane's name that fit."""
SIZES = ((150, 5.5), (600, 4.5), (2000, 3.4))
"""Radius of a mark up to so many marks."""
SMALLEST = 2.6
KEY = 5.5
DENSE = 600
MOST_LEVELS = 3
"""Rows of phases' names above the plot; what does not fit keeps its line without the name."""


@dataclass(frozen=True, slots=True)
class Label:
    """A word at a place; `anchor` as in SVG."""

    x: float
    y: float
    text: str
    anchor: str = "middle"


@dataclass(frozen=True, slots=True)
class Placed:
    """A mark at its place."""

    x: float
    y: float
    mark: Mark


@dataclass(frozen=True, slots=True)
class PlacedLane:
    """A lane at its place: its middle, its name as far as it fits, and the ticks of its events."""

    y: float
    lane: Lane
    text: str
    ticks: str


@dataclass(frozen=True, slots=True)
class Paper:
    """A timeline laid out.

    Args:
        height: of the drawing; its width is `WIDTH`.
        top: where the plot begins, below the labels of the phases.
        panel: top and bottom of the depth panel; None without depths.
        floor: bottom of the plot.
        key: path of each slot's shape as it stands beside its lane.
        dense: whether there are so many marks that they are drawn without a rim.
        shapes: path of each slot's shape as a mark.
        time_ticks: of the axis at the foot.
        utc_ticks: of the axis at the head, where UTC is known.
        depth_ticks: at the left.
        profile: paths of the vehicle's depth over time.
        ground: the same, closed to the panel's foot.
        phases: labels of the dive's phases; a line goes down from each.
        lanes: groups and markers.
        marks: everything that can be pointed at.
        said: depths as spoken.
        said_y: middle of that lane.
        day: UTC day of the first tick at the head, or of a joined axis.
    """

    height: float
    top: float
    panel: Point | None
    floor: float
    key: tuple[str, ...]
    dense: bool
    shapes: tuple[str, ...]
    time_ticks: tuple[Label, ...]
    utc_ticks: tuple[Label, ...]
    depth_ticks: tuple[Label, ...]
    profile: tuple[str, ...]
    ground: tuple[str, ...]
    phases: tuple[Label, ...]
    lanes: tuple[PlacedLane, ...]
    marks: tuple[Placed, ...]
    said: tuple[Label, ...]
    said_y: float
    day: str
    width: int = WIDTH
    left: int = LEFT
    right: int = WIDTH - RIGHT
    said_name: str = SAID


def lay_out(line: Timeline) -> Paper:
    """Lay a timeline out."""
    across = Scale(line.low, line.high, LEFT, WIDTH - RIGHT)
    head = 30 if line.start is not None else 8
    phases = _phases([(across(x), name) for x, name in line.phases], head)
    top = max((label.y for label in phases), default=head - 6) + 12
    panel = (top, top + DEPTH_PANEL) if line.depths else None
    y = panel[1] + 16 if panel else top
    heights = []
    for lane in line.lanes:
        high = ROOMY_LANE if lane.group and not panel else LANE
        heights.append(y + high / 2)
        y += high
    floor = y + LANE * bool(line.said) + 4
    down = _depth_scale(line.depths, panel)
    profile = [_profile(part, across, down) for part in line.profile if len(part) > 1]
    return Paper(
        height=floor + 44,
        top=top,
        floor=floor,
        panel=panel,
        key=shape_paths(KEY),
        dense=len(line.marks) > DENSE,
        shapes=shape_paths(next((r for most, r in SIZES if len(line.marks) <= most), SMALLEST)),
        time_ticks=_time_labels(line, across, floor + 20),
        utc_ticks=_utc_labels(line, across, 18),
        day=_day(line),
        depth_ticks=_depth_labels(line, down),
        profile=tuple("M" + _path(part) for part in profile),
        ground=tuple(_closed(part, panel[1]) for part in profile if panel),
        phases=phases,
        lanes=tuple(
            PlacedLane(at, lane, _cut(lane), _ticks(line, n, across, at) if lane.group and panel else "")
            for n, (lane, at) in enumerate(zip(line.lanes, heights, strict=True))
        ),
        marks=_placed(line, across, down, heights),
        said=_apart([(across(x), text) for x, text in line.said], y + LANE / 2 + 4),
        said_y=y + LANE / 2,
    )


def fitted(text: str, room: int) -> str:
    """Text cut to what fits, wide characters counted twice."""
    used = 0
    for place, character in enumerate(text):
        used += 2 if unicodedata.east_asian_width(character) in "WF" else 1
        if used > room:
            return text[: max(place - 1, 1)] + "…"
    return text


def _cut(lane: Lane) -> str:
    return fitted(lane.name, LABEL)


def _depth_scale(depths: Point | None, panel: Point | None) -> Scale:
    low, high = depths or (0.0, 1.0)
    room = max((high - low) * 0.07, 3.0)
    return Scale(low - room, high + room, *(panel or (0.0, 1.0)))


def _profile(part: Sequence[Point], across: Scale, down: Scale) -> list[Point]:
    columns = max(int(across(part[-1][0]) - across(part[0][0])), 2)
    return [(across(x), down(depth)) for x, depth in thinned(part, columns)]


def _path(points: Iterable[Point]) -> str:
    return "L".join(f"{x:g} {y:g}" for x, y in points)


def _closed(part: Sequence[Point], bottom: float) -> str:
    return f"M{part[0][0]:g} {bottom:g}L{_path(part)}L{part[-1][0]:g} {bottom:g}z"


def _time_labels(line: Timeline, across: Scale, y: float) -> tuple[Label, ...]:
    ticks = time_ticks(line.low, line.high, 9)
    if line.joined:
        return tuple(Label(across(tick), y, _hours(tick, ticks)) for tick in ticks)
    return tuple(Label(across(tick), y, clock(tick)) for tick in ticks)


def _utc_labels(line: Timeline, across: Scale, y: float) -> tuple[Label, ...]:
    if line.start is None:
        return ()
    ticks = time_ticks(line.low + line.start, line.high + line.start, 9)
    return tuple(Label(across(tick - line.start), y, _hours(tick, ticks)) for tick in ticks)


def _hours(moment: float, ticks: Sequence[float]) -> str:
    fine = any(tick % 60 for tick in ticks)
    return datetime.fromtimestamp(moment, UTC).strftime("%H:%M:%S" if fine else "%H:%M")


def _day(line: Timeline) -> str:
    first = line.low if line.joined else line.start
    return "" if first is None else datetime.fromtimestamp(first, UTC).strftime("%Y-%m-%d")


def _depth_labels(line: Timeline, down: Scale) -> tuple[Label, ...]:
    if not line.depths:
        return ()
    ticks = round_ticks(down.low, down.high, 6)
    return tuple(Label(LEFT - 10, down(tick), f"{number(tick, 1)} m", "end") for tick in ticks)


def _phases(places: Sequence[tuple[float, str]], head: float) -> tuple[Label, ...]:
    """Names of phases in as many rows as they need so as not to run into each other."""
    ends: list[float] = []
    labels = []
    for x, name in places:
        long = len(name) * CHARACTER + 10
        near_end = x + long > WIDTH
        begin = x - long if near_end else x
        level = next((n for n, end in enumerate(ends) if end <= begin), len(ends))
        if level == MOST_LEVELS:
            name, level = "", 0
        else:
            ends[level : level + 1] = [begin + long]
        labels.append(Label(x, head + 12 + 15 * level, name, "end" if near_end else "start"))
    return tuple(labels)


def _apart(places: Sequence[tuple[float, str]], y: float) -> tuple[Label, ...]:
    """Labels on one line; those that would run into the one before are left out."""
    labels: list[Label] = []
    free = float(LEFT)
    for x, text in places:
        half = len(text) * CHARACTER / 2 + 2
        x = min(max(x, LEFT + half), WIDTH - RIGHT - half)
        if x - half >= free:
            labels.append(Label(round(x, 1), y, text))
            free = x + half + 4
    return tuple(labels)


def _ticks(line: Timeline, place: int, across: Scale, y: float) -> str:
    places = dict.fromkeys(across(mark.x) for mark in line.marks if mark.lane == place)
    return "".join(f"M{x:g} {y - 7:g}v14" for x in places)


def _placed(line: Timeline, across: Scale, down: Scale, heights: Sequence[float]) -> tuple[Placed, ...]:
    """Marks at their depth, or in their lane, there in one of three rows so as not to hide each other."""
    ends: dict[tuple[int, int], float] = {}
    placed = []
    for mark in line.marks:
        x = across(mark.x)
        if mark.depth is not None:
            placed.append(Placed(x, down(mark.depth), mark))
            continue
        rows = (0, -1, 1) if mark.group and not line.depths else (0,)
        row = min(rows, key=lambda n: max(ends.get((mark.lane, n), -1e9) - x, 0))
        ends[mark.lane, row] = x + 13
        placed.append(Placed(x, heights[mark.lane] + 12 * row, mark))
    return tuple(placed)
