"""A Timeline laid out on paper. In: a Timeline. Out: Paper, in units of an SVG, for the page's template.

Twice: for a wide window and for print, and for a narrow window, where lanes bear their names above them and the width
is counted in thousandths of whatever there is, so that letters keep their size.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import pairwise

from earwitness.pipeline.report.axes import Point, Scale, round_ticks, thinned, time_ticks
from earwitness.pipeline.report.labels import LABEL, Label, apart, fitted, stacked
from earwitness.pipeline.report.shapes import shape_paths
from earwitness.pipeline.report.timeline import SAID, Lane, Mark, Timeline
from earwitness.pipeline.report.wording import clock, number

SIZES = ((150, 5.5), (600, 4.5), (2000, 3.4))
"""Radius of a mark up to so many marks."""
SMALLEST = 2.6
KEY = 5.5
DENSE = 600
ENDS = ("start", "end")


@dataclass(frozen=True, slots=True)
class Format:
    """Measures of a drawing: down in pixels, across in units of its own.

    Args:
        width: of the drawing.
        left: where the plot begins.
        right: where it ends.
        panel: height of the depth panel.
        lane: height of a lane.
        spread: room that a lane needs beyond that, where its marks stand in three rows.
        name: of which so much at the top is for its name.
        character: width of a character, roughly.
        ticks: on an axis of time, about.
        column: width of the narrowest thing that can be seen.
    """

    width: int
    left: int
    right: int
    panel: int
    lane: int
    spread: int
    name: int
    character: float
    ticks: float
    column: float


WIDE = Format(1080, 182, 1062, 300, 26, 16, 0, 7.4, 9, 1)
NARROW = Format(1000, 0, 1000, 210, 37, 20, 17, 33, 4.4, 3.5)
"""Of a window of 320 pixels, in which about 210 are left for the plot."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A mark at its place."""

    x: float
    y: float
    mark: Mark

    @property
    def look(self) -> str:
        """Marks of the same look are drawn alike."""
        group = self.mark.group
        return f"g{group.slot}{' open' * self.mark.open}" if group else f"flag {self.mark.letter}"


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
        format: measures of the drawing.
        height: of the drawing.
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
        day: UTC day or days of the axis at the head, or of a joined axis.
    """

    format: Format
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
    said_name: str = SAID


def lay_out(line: Timeline, to: Format = WIDE) -> Paper:
    """Lay a timeline out."""
    across = Scale(line.low, line.high, to.left, to.right)
    head = 30 if line.start is not None else 8
    phases = tuple(
        Label(one.x, head + 12 + 15 * one.level, one.name if one.named else "", ENDS[one.late])
        for one in stacked([(across(x), name) for x, name in line.phases], to.width, to.character)
    )
    top = max((label.y for label in phases), default=head - 6) + 12
    panel = (top, top + to.panel) if line.depths else None
    y = panel[1] + 16 if panel else top
    heights = []
    for lane in line.lanes:
        high = to.lane + to.spread * bool(lane.group and not panel)
        heights.append(y + (high + to.name) / 2)
        y += high
    said_y = y + (to.lane + to.name) / 2
    floor = y + to.lane * bool(line.said) + 4
    down = Scale(*line.shown_depths, *(panel or (0.0, 1.0)))
    profile = [_profile(part, across, down, to.column) for part in line.profile]
    return Paper(
        format=to,
        height=floor + 44,
        top=top,
        floor=floor,
        panel=panel,
        key=shape_paths(KEY),
        dense=len(line.marks) > DENSE,
        shapes=shape_paths(next((r for most, r in SIZES if len(line.marks) <= most), SMALLEST)),
        time_ticks=_time_labels(line, across, to, floor + 20),
        utc_ticks=_utc_labels(line, across, to, 18),
        day=_day(line),
        depth_ticks=_depth_labels(line, down, to.left - 10),
        profile=tuple("M" + _path(part) for part in profile),
        ground=tuple(_closed(part, panel[1]) for part in profile if panel),
        phases=phases,
        lanes=tuple(
            PlacedLane(at, lane, fitted(lane.name, LABEL), _ticks(line, n, across, at) if lane.group and panel else "")
            for n, (lane, at) in enumerate(zip(line.lanes, heights, strict=True))
        ),
        marks=_placed(line, across, down, heights, 2 * to.character),
        said=tuple(
            Label(x, said_y + 4.5, text)
            for x, text in apart(((across(x), text) for x, text in line.said), to.left, to.right, to.character)
        ),
        said_y=said_y,
    )


def _profile(part: Sequence[Point], across: Scale, down: Scale, column: float) -> list[Point]:
    columns = max(int((across(part[-1][0]) - across(part[0][0])) / column), 2)
    return [(across(x), down(depth)) for x, depth in thinned(part, columns)]


def _path(points: Iterable[Point]) -> str:
    return "L".join(f"{x:g} {y:g}" for x, y in points)


def _closed(part: Sequence[Point], bottom: float) -> str:
    return f"M{part[0][0]:g} {bottom:g}L{_path(part)}L{part[-1][0]:g} {bottom:g}z"


def _time_labels(line: Timeline, across: Scale, to: Format, y: float) -> tuple[Label, ...]:
    ticks = time_ticks(line.low, line.high, to.ticks)
    texts = [_hours(tick, ticks) if line.joined else clock(tick) for tick in ticks]
    return _legible([Label(across(tick), y, text) for tick, text in zip(ticks, texts, strict=True)], to)


def _utc_labels(line: Timeline, across: Scale, to: Format, y: float) -> tuple[Label, ...]:
    if line.start is None:
        return ()
    ticks = time_ticks(line.low + line.start, line.high + line.start, to.ticks)
    return _legible([Label(across(tick - line.start), y, _hours(tick, ticks)) for tick in ticks], to)


def _legible(labels: Sequence[Label], to: Format) -> tuple[Label, ...]:
    """An axis's labels; where they would run into each other, every other tick has none."""
    longest = max((len(label.text) for label in labels), default=0) * to.character
    tight = any(later.x - label.x < longest for label, later in pairwise(labels))
    return tuple(replace(label, text="") if tight and n % 2 else label for n, label in enumerate(labels))


def _hours(moment: float, ticks: Sequence[float]) -> str:
    fine = any(tick % 60 for tick in ticks)
    return datetime.fromtimestamp(moment, UTC).strftime("%H:%M:%S" if fine else "%H:%M")


def _day(line: Timeline) -> str:
    """The UTC day or days of an axis, as an ISO 8601 interval."""
    ahead = 0.0 if line.joined else line.start
    if ahead is None:
        return ""
    first, last = (datetime.fromtimestamp(end + ahead, UTC) for end in (line.low, line.high))
    if first.date() == last.date():
        return f"{first:%Y-%m-%d}"
    same = "%d" if (first.year, first.month) == (last.year, last.month) else "%m-%d"
    return f"{first:%Y-%m-%d}/{last.strftime(same)}"


def _depth_labels(line: Timeline, down: Scale, x: float) -> tuple[Label, ...]:
    if not line.depths:
        return ()
    ticks = round_ticks(down.low, down.high, 6)
    return tuple(Label(x, down(tick), f"{number(tick, 1)} m", "end") for tick in ticks)


def _ticks(line: Timeline, place: int, across: Scale, y: float) -> str:
    places = dict.fromkeys(across(mark.x) for mark in line.marks if mark.lane == place)
    return "".join(f"M{x:g} {y - 7:g}v14" for x in places)


def _placed(line: Timeline, across: Scale, down: Scale, heights: Sequence[float], room: float) -> tuple[Placed, ...]:
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
        ends[mark.lane, row] = x + room
        placed.append(Placed(x, heights[mark.lane] + 12 * row, mark))
    return tuple(placed)
