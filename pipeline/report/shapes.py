"""The shapes that tell groups apart without colour, as SVG paths and as Matplotlib markers."""

from __future__ import annotations

import math

from earwitness.pipeline.report.groups import SHAPES

_CORNERS = {
    "square": (4, 45, 1.22),
    "triangle": (3, -90, 1.3),
    "diamond": (4, -90, 1.3),
    "wedge": (3, 90, 1.3),
    "pentagon": (5, -90, 1.18),
}
"""Corners, direction of the first (degrees), and size against a circle, so that all look equally large."""
MARKERS = {
    "circle": "o",
    "square": "s",
    "triangle": "^",
    "diamond": "D",
    "wedge": "v",
    "pentagon": "p",
    "cross": "P",
    "star": "*",
}
"""The same shapes as Matplotlib names them."""


def shape_path(shape: str, radius: float) -> str:
    """The path of a shape about 0,0, as large as a circle of that radius."""
    if shape == "circle":
        r = f"{radius:g}"
        return f"M-{r} 0a{r} {r} 0 1 0 {2 * radius:g} 0a{r} {r} 0 1 0 -{2 * radius:g} 0z"
    if shape == "cross":
        a, b = radius * 1.2, radius * 0.42
        corners = [(-b, -a), (b, -a), (b, -b), (a, -b), (a, b), (b, b), (b, a), (-b, a), (-b, b), (-a, b), (-a, -b)]
        return _closed([*corners, (-b, -b)])
    if shape == "star":
        sizes = (radius * 1.45, radius * 0.62)
        return _closed([_at(-90 + 36 * n, sizes[n % 2]) for n in range(10)])
    number, first, size = _CORNERS[shape]
    return _closed([_at(first + 360 * n / number, radius * size) for n in range(number)])


def shape_paths(radius: float) -> tuple[str, ...]:
    """The paths of all shapes, by slot."""
    return tuple(shape_path(shape, radius) for shape in SHAPES)


def _at(angle: float, radius: float) -> tuple[float, float]:
    return radius * math.cos(math.radians(angle)), radius * math.sin(math.radians(angle))


def _closed(corners: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{round(x, 2) + 0:g} {round(y, 2) + 0:g}" for x, y in corners) + "z"
