"""How the figure files look: colours, letters, and the note that every one of them bears."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, fontManager, get_font

from earwitness.pipeline.publish.statements import DRAFT_STATEMENT
from earwitness.pipeline.report.content import Content
from earwitness.pipeline.report.labels import fitted

_STYLE = (files(__package__) / "parts" / "style.css").read_text("utf-8")
_LIGHT = dict(re.findall(r"--(\w+): (#\w+)", _STYLE.partition("}")[0]))
"""Colours of the page's light look, which stands first in its style."""
INK, SOFT, RULE, WATER, GROUND, LINE, PAPER, ACCENT = (
    _LIGHT[name] for name in ("ink", "soft", "rule", "water", "ground", "line", "sheet", "accent")
)
SHADES = (PAPER, *(_LIGHT[f"s{n}"] for n in range(1, 6)))
COLOURS = tuple(_LIGHT[f"g{n}"] for n in range(8))
"""Of the groups, by slot."""
DOTS = 160
"""Dots an inch of the PNG files."""
OWN_FONT = "DejaVu Sans"
"""Comes with Matplotlib, so that pictures are the same everywhere."""


def rules(content: Content) -> Any:
    """Matplotlib's settings for these figures."""
    return {
        "svg.hashsalt": "earwitness",
        "svg.fonttype": "none",
        "text.parse_math": False,
        "axes.unicode_minus": True,
        "font.family": [OWN_FONT, *_further_fonts(_letters(content))],
        "font.size": 9,
        "figure.dpi": DOTS,
        "text.color": INK,
        "axes.labelcolor": SOFT,
        "axes.edgecolor": RULE,
        "axes.facecolor": PAPER,
        "figure.facecolor": PAPER,
        "xtick.color": SOFT,
        "ytick.color": SOFT,
        "xtick.major.size": 0,
        "ytick.major.size": 0,
        "axes.spines.top": False,
        "axes.spines.right": False,
    }


def sheet(width: float, height: float, title: str, content: Content) -> Figure:
    """An empty figure with the dive's name, what it shows and the note that it is a draft."""
    figure = Figure(figsize=(width, height), layout="constrained")
    figure.suptitle(f"{title}\n", x=0.012, ha="left", fontsize=12, fontweight="bold", linespacing=1.4)
    # Both texts stand in the room that the title's second line and the axes' label leave.
    figure.text(0.012, 1 - 0.46 / height, fitted(content.head.title, 90), color=SOFT, va="center")
    note = "Reviewed by people" if _reviewed(content) else DRAFT_STATEMENT[0].upper() + DRAFT_STATEMENT[1:]
    figure.supxlabel(f"{note}. Not for navigation.", x=0.012, ha="left", fontsize=8, color=SOFT)
    return figure


def _reviewed(content: Content) -> bool:
    return 0 < content.head.rows == content.head.reviewed


def _letters(content: Content) -> frozenset[str]:
    texts: list[str] = [content.head.title]
    texts += [group.name for group in content.groups.groups]
    texts += [line.name for line in content.timelines]
    texts += [taxon.name for taxon in content.taxa]
    return frozenset(letter for text in texts for letter in text)


@cache
def _further_fonts(letters: frozenset[str]) -> tuple[str, ...]:
    """Fonts of this machine for letters that Matplotlib's own font has not, as few as will do."""
    missing = _without(letters, get_font(_own_file()).get_charmap())
    found = []
    for entry in sorted(fontManager.ttflist, key=lambda entry: (entry.name, entry.fname)):
        if not missing:
            break
        left = _without(missing, _charmap(entry.fname))
        if len(left) < len(missing):
            found.append(entry.name)
            missing = left
    return tuple(dict.fromkeys(found))


def _without(letters: Iterable[str], charmap: Mapping[int, int]) -> frozenset[str]:
    return frozenset(letter for letter in letters if ord(letter) not in charmap)


def _own_file() -> str:
    return str(fontManager.findfont(FontProperties(family=OWN_FONT)))


def _charmap(file: str) -> dict[int, int]:
    try:
        return dict(get_font(file).get_charmap())
    except (OSError, RuntimeError):
        return {}
