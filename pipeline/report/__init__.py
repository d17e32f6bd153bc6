"""Report: an edition of a run comes in, one page to look at and its figures as PNG and SVG files go out.

`report.html` needs no network and no file beside it. The same edition gives the same bytes. Refuses nothing: a run
without positions, without UTC or without a single event gives a report that says so.
"""

from __future__ import annotations

from pathlib import Path

from earwitness.pipeline.publish.publisher import Edition, Publisher
from earwitness.pipeline.report.content import Content, gather
from earwitness.pipeline.report.page import render_page

PAGE = "report.html"
FIGURES = "figures"


def write_report(edition: Edition, to: Path) -> None:
    """Write the page and the figures into a new folder."""
    # Matplotlib takes a while to load, and nothing else of the house needs it.
    from earwitness.pipeline.report.figures import figure_files

    content = gather(edition)
    page = render_page(content)
    figures = figure_files(content)
    (to / FIGURES).mkdir(parents=True)
    (to / PAGE).write_text(page, encoding="utf-8", newline="\n")
    for name, data in figures.items():
        (to / FIGURES / name).write_bytes(data)


REPORT = Publisher(
    "report", "a page to look at, with the dive's timeline, map and tallies, and its figures", "report", write_report
)

__all__ = ["FIGURES", "PAGE", "REPORT", "Content", "gather", "render_page", "write_report"]
