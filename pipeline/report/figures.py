"""The report's figures as PNG and SVG files, by Matplotlib. In: Content. Out: bytes by file name.

The same bytes for the same content: no dates, fixed ids. Text is drawn as it is, never read as a formula.
"""

from __future__ import annotations

import io
import warnings
from typing import Any

import matplotlib as mpl
from matplotlib.figure import Figure

from earwitness.pipeline.report.content import Content
from earwitness.pipeline.report.figure_chart import chart_figure
from earwitness.pipeline.report.figure_look import rules
from earwitness.pipeline.report.figure_tallies import confidence_figure, taxa_figure
from earwitness.pipeline.report.figure_timeline import timeline_figure


def figure_files(content: Content) -> dict[str, bytes]:
    """Every figure of a report that there is something to draw for, as PNG and as SVG."""
    with mpl.rc_context(rules(content)), warnings.catch_warnings():
        # A letter that no font here has is drawn as a box in the PNG; the SVG keeps the letter.
        warnings.filterwarnings("ignore", message=r"Glyph .* missing from")
        made: dict[str, Figure] = {}
        for place, line in enumerate(content.timelines):
            name = "timeline" if len(content.timelines) == 1 else f"timeline-{place + 1:02d}"
            made[name] = timeline_figure(line, content)
        if content.chart:
            made["map"] = chart_figure(content.chart, content)
        if content.taxa:
            made["taxa"] = taxa_figure(content)
            made["confidence"] = confidence_figure(content)
        files: dict[str, bytes] = {}
        for name, figure in made.items():
            files[f"{name}.png"] = _bytes(figure, "png", {"Software": None})
            # The places found for the PNG hold for the SVG too.
            figure.set_layout_engine("none")
            files[f"{name}.svg"] = _bytes(figure, "svg", {"Date": None, "Creator": None})
    return files


def _bytes(figure: Figure, kind: str, metadata: dict[str, Any]) -> bytes:
    out = io.BytesIO()
    figure.savefig(out, format=kind, metadata=metadata)
    return out.getvalue()
