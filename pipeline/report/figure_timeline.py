"""A Timeline as a Matplotlib figure: depth above, lanes below, on one axis of time."""

from __future__ import annotations

from datetime import UTC, datetime

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter

from earwitness.pipeline.report.axes import round_ticks, thinned, time_ticks
from earwitness.pipeline.report.content import Content
from earwitness.pipeline.report.figure_look import COLOURS, GROUND, INK, LINE, PAPER, RULE, SOFT, WATER, sheet
from earwitness.pipeline.report.labels import LABEL, apart, fitted, stacked
from earwitness.pipeline.report.shapes import MARKERS
from earwitness.pipeline.report.timeline import SAID, Mark, Timeline
from earwitness.pipeline.report.wording import clock, number

WIDTH = 11.0
COLUMNS = 1600
CHARACTERS = 140
"""As many small ones are as wide as the plot."""
SIZES = ((150, 6.5), (600, 5.0), (2000, 3.6))
SMALLEST = 2.6
LETTERED = 60
"""Markers of one kind that are drawn with their letter, at most."""


def timeline_figure(line: Timeline, content: Content) -> Figure:
    """Draw a timeline."""
    rows = max(len(line.lanes) + bool(line.said), 1)
    lanes_high = 0.3 * rows if line.depths else 0.42 * rows
    title = "Timeline" if line.joined or len(content.timelines) == 1 else f"Timeline of {fitted(line.name, 60)}"
    figure = sheet(WIDTH, 1.9 + lanes_high + 3.2 * bool(line.depths), title, content)
    if line.depths:
        above, below = figure.subplots(2, 1, sharex=True, height_ratios=[3.2, max(lanes_high, 0.3)])
        _depths(above, line)
        axes = [above, below]
    else:
        below = figure.subplots()
        axes = [below]
    _lanes(below, line)
    for axis in axes:
        for x, _ in line.phases:
            axis.axvline(x, color=SOFT, linewidth=0.8, linestyle=(0, (2, 3)), zorder=1)
    _phase_names(axes[0], line)
    ticks = time_ticks(line.low, line.high, 9)
    below.set_xlim(line.low, line.high)
    below.xaxis.set_major_locator(FixedLocator(ticks))
    below.xaxis.set_major_formatter(FuncFormatter(lambda x, _: _time(line, x)))
    below.set_xlabel("UTC" if line.joined else "time in the recording (h:mm:ss)")
    return figure


def _time(line: Timeline, x: float) -> str:
    return datetime.fromtimestamp(x, UTC).strftime("%m-%d %H:%M") if line.joined else clock(max(x, 0.0))


def _depths(axis: Axes, line: Timeline) -> None:
    low, high = line.shown_depths
    axis.set_ylim(high, low)
    axis.set_facecolor(WATER)
    for part in line.profile:
        points = thinned(part, COLUMNS)
        times, depths = [x for x, _ in points], [depth for _, depth in points]
        axis.fill_between(times, depths, high, color=GROUND, alpha=0.75, linewidth=0, zorder=1)
        axis.plot(times, depths, color=LINE, linewidth=1, zorder=2)
    axis.yaxis.set_major_locator(FixedLocator(round_ticks(low, high, 6)))
    axis.yaxis.set_major_formatter(FuncFormatter(lambda y, _: f"{number(y, 1)} m"))
    axis.grid(color=RULE, linewidth=0.6)
    _draw(axis, line, [(mark.x, mark.depth, mark) for mark in line.marks if mark.depth is not None])


def _lanes(axis: Axes, line: Timeline) -> None:
    names = [f"{fitted(lane.name, LABEL)}  {lane.events}" for lane in line.lanes] + [SAID] * bool(line.said)
    axis.set_ylim(len(names) - 0.5, -0.5)
    axis.yaxis.set_major_locator(FixedLocator(list(range(len(names)))))
    axis.yaxis.set_major_formatter(FuncFormatter(lambda y, _: names[int(y)] if 0 <= y < len(names) else ""))
    axis.grid(axis="y", color=RULE, linewidth=0.6)
    _draw(axis, line, [(mark.x, float(mark.lane), mark) for mark in line.marks])
    span = line.high - line.low
    for x, text in apart(line.said, line.low, line.high, span / CHARACTERS):
        axis.text(x, len(names) - 1, text, ha="center", va="center", fontsize=8, color=SOFT, clip_on=True)


def _draw(axis: Axes, line: Timeline, places: list[tuple[float, float, Mark]]) -> None:
    size = next((size for most, size in SIZES if len(line.marks) <= most), SMALLEST)
    for mark_of in sorted({_look(mark) for _, _, mark in places}):
        at = [(x, y) for x, y, mark in places if _look(mark) == mark_of]
        slot, shape, letter, hollow = mark_of
        colour = INK if letter else COLOURS[slot]
        axis.plot(
            [x for x, _ in at],
            [y for _, y in at],
            linestyle="none",
            marker="s" if letter else MARKERS[shape],
            markersize=(7.5 if len(at) <= LETTERED else 4) if letter else size,
            markerfacecolor=PAPER if hollow else colour,
            markeredgecolor=colour if hollow else PAPER,
            markeredgewidth=1.2 if hollow else 0.5,
            zorder=3,
            clip_on=False,
        )
        for x, y in at if letter and len(at) <= LETTERED else ():
            axis.text(x, y, letter, color=PAPER, fontsize=6, ha="center", va="center", fontweight="bold", zorder=4)


def _look(mark: Mark) -> tuple[int, str, str, bool]:
    return (mark.group.slot, mark.group.shape, "", mark.open) if mark.group else (0, "", mark.letter, False)


def _phase_names(axis: Axes, line: Timeline) -> None:
    """Names of the phases above the plot."""
    span = line.high - line.low
    for one in stacked([((x - line.low) / span, name) for x, name in line.phases], 1, 1 / CHARACTERS):
        if not one.named:
            continue
        axis.annotate(
            one.name,
            (one.x, 1),
            xycoords="axes fraction",
            xytext=(-3 if one.late else 3, 4 + 11 * one.level),
            textcoords="offset points",
            ha="right" if one.late else "left",
            fontsize=8,
        )
