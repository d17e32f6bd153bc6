"""Tallies as Matplotlib figures: the taxa most seen, and certainty across nameScore."""

from __future__ import annotations

from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from earwitness.pipeline.report.content import Content
from earwitness.pipeline.report.figure_look import COLOURS, RULE, SHADES, SOFT, sheet
from earwitness.pipeline.report.labels import LABEL, fitted
from earwitness.pipeline.report.shapes import MARKERS

MOST = 40
"""Taxa in the figure, at most; the page has all."""


def taxa_figure(content: Content) -> Figure:
    """The taxa that most rows name, one bar each, in the colour and with the shape of their group."""
    taxa = sorted(content.taxa, key=lambda taxon: (-taxon.events, taxon.name, taxon.rank))[:MOST]
    title = "Taxa" if len(taxa) == len(content.taxa) else f"The {MOST} taxa most seen, of {len(content.taxa):,}"
    figure = sheet(9, 1.7 + 0.22 * max(len(taxa), len(content.groups.groups)), title, content)
    axis = figure.subplots()
    most = max(taxon.events for taxon in taxa)
    for place, taxon in enumerate(taxa):
        colour = COLOURS[taxon.group.slot]
        axis.barh(place, taxon.events, height=0.62, color=colour, alpha=0.9)
        shape = MARKERS[taxon.group.shape]
        axis.plot([-0.02 * most], [place], marker=shape, color=colour, markersize=6, clip_on=False)
        axis.text(taxon.events + 0.01 * most, place, f"{taxon.events:,}", va="center", fontsize=8)
    axis.set_ylim(len(taxa) - 0.4, -0.6)
    axis.set_xlim(-0.045 * most, 1.08 * most)
    axis.set_yticks(range(len(taxa)), [fitted(taxon.name, 40) for taxon in taxa])
    for label, taxon in zip(axis.get_yticklabels(), taxa, strict=True):
        label.set_fontstyle("italic" if taxon.italic else "normal")
    axis.tick_params(axis="y", pad=8)
    axis.xaxis.set_major_locator(MaxNLocator(integer=True))
    axis.set_xlabel("sightings")
    axis.grid(axis="x", color=RULE, linewidth=0.6)
    axis.set_axisbelow(True)
    signs = [
        Line2D([], [], linestyle="none", marker=MARKERS[g.shape], color=COLOURS[g.slot], label=fitted(g.name, LABEL))
        for g in content.groups.groups
    ]
    figure.legend(handles=signs, loc="outside right upper", frameon=False)
    return figure


def confidence_figure(content: Content) -> Figure:
    """How sure the speaker was, across how well the words fit the name."""
    table = content.confidence
    figure = sheet(8, 1.9 + 0.5 * len(table.lines), "The speaker's certainty, across nameScore", content)
    axis = figure.subplots()
    largest = max(table.largest, 1)
    for row, (_, cells, _) in enumerate(table.lines):
        for column, events in enumerate(cells):
            shade = SHADES[-(-5 * events // largest)]
            axis.add_patch(Rectangle((column - 0.48, row - 0.46), 0.96, 0.92, color=shade, linewidth=0))
            axis.text(column, row, f"{events:,}", ha="center", va="center", color=None if events else SOFT)
    axis.set_xlim(-0.5, len(table.classes) - 0.5)
    axis.set_ylim(len(table.lines) - 0.5, -0.5)
    axis.set_xticks(range(len(table.classes)), table.classes)
    axis.set_yticks(range(len(table.lines)), [f"{term}  {total:,}" for term, _, total in table.lines])
    axis.set_xlabel("nameScore: how well the words heard fit the name")
    axis.spines[:].set_visible(False)
    return figure
