"""Words beside drawings, none over another. In: texts and where they are wanted. Out: which fit, and where."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from earwitness.pipeline.report.axes import Point

LABEL = 17
"""Characters of a lane's name that fit."""
MOST_LEVELS = 3
"""Rows of phases' names above a plot; what does not fit keeps its line without the name."""


@dataclass(frozen=True, slots=True)
class Label:
    """A word at a place; `anchor` as in SVG."""

    x: float
    y: float
    text: str
    anchor: str = "middle"


def fitted(text: str, room: int) -> str:
    """Text cut to what fits, wide characters counted twice."""
    used = 0
    for place, character in enumerate(text):
        used += 2 if unicodedata.east_asian_width(character) in "WF" else 1
        if used > room:
            return text[: max(place - 1, 1)] + "…"
    return text


@dataclass(frozen=True, slots=True)
class Stacked:
    """A name above a plot: in which row, the highest first, whether it fits, and whether it is left of its line."""

    name: str
    x: float
    level: int
    named: bool
    late: bool


def stacked(places: Sequence[tuple[float, str]], width: float, character: float) -> tuple[Stacked, ...]:
    """Names above lines in as many rows as they need so as to run into no other name and over no other's line.

    A name stands to the right of its line, below those of earlier lines; near the end it stands to the left, and then
    below those of later lines: lines go down from the names.
    """
    long = [(len(name) + 1.5) * character for _, name in places]
    late = [x + size > width for (x, _), size in zip(places, long, strict=True)]
    order = [n for n, end in enumerate(late) if not end] + [n for n in reversed(range(len(places))) if late[n]]
    taken: list[list[Point]] = []
    levels: dict[int, int] = {}
    for n in order:
        begin = places[n][0] - long[n] * late[n]
        span = (begin, begin + long[n])
        level = next((m for m, spans in enumerate(taken) if not _hit(span, spans)), len(taken))
        if level == MOST_LEVELS:
            continue
        if level == len(taken):
            taken.append([])
        taken[level].append(span)
        levels[n] = level
    lowest = MOST_LEVELS - 1
    return tuple(Stacked(name, x, levels.get(n, lowest), n in levels, late[n]) for n, (x, name) in enumerate(places))


def _hit(span: Point, others: Iterable[Point]) -> bool:
    return any(span[0] < end and begin < span[1] for begin, end in others)


def apart(
    places: Iterable[tuple[float, str]], low: float, high: float, character: float
) -> tuple[tuple[float, str], ...]:
    """Words on one line from `low` to `high`; those that would run into the one before are left out."""
    kept: list[tuple[float, str]] = []
    free = low
    for x, text in places:
        half = len(text) * character / 2
        x = min(max(x, low + half), high - half)
        if x - half >= free:
            kept.append((round(x, 1), text))
            free = x + half + character
    return tuple(kept)
