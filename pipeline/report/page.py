"""The report as one HTML page that needs nothing from outside. In: Content. Out: the page's text.

Every text is escaped by the templates; nothing but our own style and script may act on the page, by their hashes in its
content security policy.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Sequence
from importlib.resources import files
from itertools import groupby

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from earwitness.pipeline.report import draw_chart, draw_timeline
from earwitness.pipeline.report.content import Content
from earwitness.pipeline.report.draw_chart import lay_out_chart
from earwitness.pipeline.report.draw_timeline import lay_out
from earwitness.pipeline.report.groups import SHAPES
from earwitness.pipeline.report.shapes import shape_paths
from earwitness.pipeline.report.timeline import LETTERS, PLURALS, Timeline

SLICES = 240
"""Sounding lines at the top of the page, at most one in a slice of time."""
SHADES = 5
NEAR, FAR = 30.0, 96.0
"""Length of the shortest and of the longest sounding line."""


def render_page(content: Content) -> str:
    """The page."""
    style, script = _part("style.css"), _part("card.js")
    letters = {mark.letter for line in content.timelines for mark in line.marks}
    largest = content.confidence.largest
    return (
        _environment()
        .get_template("page.html")
        .render(
            content=content,
            style=Markup(style),
            script=Markup(script),
            style_hash=_hash(style),
            script_hash=_hash(script),
            key=shape_paths(5.5),
            drawn=[(line, lay_out(line), lay_out(line, draw_timeline.NARROW)) for line in content.timelines],
            wide_sheet=lay_out_chart(content.chart) if content.chart else None,
            narrow_sheet=lay_out_chart(content.chart, draw_chart.NARROW) if content.chart else None,
            has_utc=any(line.moment for line in content.lines),
            has_depth=any(line.depth for line in content.lines),
            flags=[(LETTERS[kind], PLURALS[kind]) for kind in LETTERS if LETTERS[kind] in letters],
            by_group=[(group, list(taxa)) for group, taxa in groupby(content.taxa, key=lambda taxon: taxon.group)],
            most_group=max((group.events for group in content.groups.groups), default=1),
            most_rank=max((events for _, events in content.ranks), default=1),
            shade=lambda events: -(-SHADES * events // largest) if largest else 0,
            soundings=soundings(content.timelines),
        )
    )


def soundings(lines: Sequence[Timeline]) -> tuple[str, ...]:
    """Lines let down from the page's head, one path a group: one for each sighting, as long as it was deep."""
    paths = [""] * len(SHAPES)
    taken = set()
    for place, line in enumerate(lines):
        for mark in line.marks:
            share = (place + (mark.x - line.low) / (line.high - line.low)) / len(lines)
            slot = int(share * SLICES)
            if mark.group and slot not in taken:
                taken.add(slot)
                deep = _share(mark.depth, line.depths) if mark.depth is not None else (mark.lane % 5 + 1) / 6
                paths[mark.group.slot] += f"M{1000 * share:.1f} 0V{NEAR + deep * (FAR - NEAR):.1f}"
    return tuple(paths)


def _share(depth: float, depths: tuple[float, float] | None) -> float:
    low, high = depths or (0.0, 0.0)
    return (depth - low) / (high - low) if high > low else 1.0


def _environment() -> Environment:
    parts = {name: _part(name) for name in ("page.html", "drawings.html")}
    return Environment(
        loader=DictLoader(parts), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )


def _part(name: str) -> str:
    return (files("earwitness.pipeline.report") / "parts" / name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
