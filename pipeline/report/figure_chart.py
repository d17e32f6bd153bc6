"""A Chart as a Matplotlib figure: track, sightings, scale bar and north, without tiles."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from earwitness.pipeline.report.chart import Chart, bar_text
from earwitness.pipeline.report.content import Content
from earwitness.pipeline.report.draw_chart import net, spot_size, wrapped
from earwitness.pipeline.report.figure_look import COLOURS, INK, LINE, PAPER, RULE, SHADES, WATER, sheet
from earwitness.pipeline.report.labels import LABEL, fitted
from earwitness.pipeline.report.shapes import MARKERS
from earwitness.pipeline.report.wording import degrees

WIDTH = 9.0


def chart_figure(chart: Chart, content: Content) -> Figure:
    """Draw a map."""
    grid = f", moved to a grid of {content.grid:g}°" if content.grid else ""
    figure = sheet(WIDTH, 1.7 + (WIDTH - 2.6) * chart.height / chart.width, f"Map of the dive{grid}", content)
    axis = figure.subplots()
    axis.set_aspect("equal")
    axis.set_facecolor(WATER)
    axis.set_xlim(-chart.width / 2, chart.width / 2)
    axis.set_ylim(-chart.height / 2, chart.height / 2)
    _graticule(axis, chart)
    fullest = max((square.events for square in chart.squares), default=1)
    for square in chart.squares:
        corner = (square.x - square.half_width, square.y - square.half_height)
        shade = SHADES[-(-5 * square.events // fullest)]
        axis.add_patch(
            Rectangle(corner, 2 * square.half_width, 2 * square.half_height, facecolor=shade, edgecolor=LINE)
        )
        axis.text(square.x, square.y, str(square.events), ha="center", va="center")
    for part in chart.track:
        axis.plot([x for x, _ in part], [y for _, y in part], color=LINE, linewidth=1.1, zorder=2)
    for x, y, letter in chart.fine.flags:
        box = {"boxstyle": "round,pad=0.2", "facecolor": INK, "edgecolor": "none"}
        axis.annotate(letter, (x, y), xytext=(8, 8), textcoords="offset points", color=PAPER, fontsize=7, bbox=box)
    for group in content.groups.groups:
        spots = [spot for spot in chart.fine.spots if spot.group.slot == group.slot]
        axis.scatter(
            [spot.x for spot in spots],
            [spot.y for spot in spots],
            s=[(6 * spot_size(spot)) ** 2 for spot in spots],
            marker=MARKERS[group.shape],
            color=COLOURS[group.slot],
            edgecolors=PAPER,
            linewidths=0.8,
            alpha=0.85,
            zorder=3,
        )
    for (x, y), name in zip(chart.ends, ("start", "end"), strict=False):
        axis.plot([x], [y], marker="o", markerfacecolor=PAPER, markeredgecolor=INK, markersize=6, zorder=4)
        axis.annotate(name, (x, y), xytext=(0, -12), textcoords="offset points", ha="center", fontsize=8)
    _instruments(axis, chart)
    if chart.fine.spots:
        _key(figure, content)
    return figure


def _graticule(axis: Axes, chart: Chart) -> None:
    east, north = chart.per_degree
    columns = net(chart.longitude, chart.width / east, 4)
    rows = net(chart.latitude, chart.height / north, 4)
    axis.set_xticks(
        [(value - chart.longitude) * east for value, _ in columns],
        [degrees(wrapped(value), "longitude", places) for value, places in columns],
    )
    axis.set_yticks(
        [(value - chart.latitude) * north for value, _ in rows],
        [degrees(value, "latitude", places) for value, places in rows],
        rotation=90,
        va="center",
    )
    axis.grid(color=RULE, linewidth=0.7)


def _instruments(axis: Axes, chart: Chart) -> None:
    """The scale bar at the lower left, north at the upper right."""
    left, foot = -0.475 * chart.width, -chart.height / 2 + 0.03 * chart.width
    axis.plot([left, left + chart.bar], [foot, foot], color=INK, linewidth=2, solid_capstyle="butt", zorder=5)
    axis.annotate(
        bar_text(chart.bar),
        (left + chart.bar / 2, foot),
        xytext=(0, 4),
        textcoords="offset points",
        ha="center",
        fontsize=8,
    )
    arrow = {"arrowstyle": "-|>", "color": INK, "linewidth": 1.4}
    axis.annotate(
        "N",
        (0.965, 0.98),
        xycoords="axes fraction",
        xytext=(0, -34),
        textcoords="offset points",
        ha="center",
        arrowprops=arrow,
    )


def _key(figure: Figure, content: Content) -> None:
    signs = [
        Line2D(
            [],
            [],
            linestyle="none",
            marker=MARKERS[group.shape],
            color=COLOURS[group.slot],
            label=f"{fitted(group.name, LABEL)}  {group.events}",
        )
        for group in content.groups.groups
    ]
    figure.legend(handles=signs, loc="outside right upper", frameon=False)
