"""Simple bodies, drawn with Pillow: what animals of the deep sea look like from far enough away.

Every shape is drawn around (0, 0), some 20 units high, on a canvas that is `SCALE` times as fine as the film.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from PIL import ImageDraw

SCALE = 3
Colour = tuple[int, int, int]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Pen:
    """Draws in units of a body that stands somewhere, at a size and turned."""

    draw: ImageDraw.ImageDraw
    x: float
    y: float
    size: float = 1.0
    turn: float = 0.0

    def at(self, x: float, y: float) -> Point:
        c, s = math.cos(self.turn), math.sin(self.turn)
        return (self.x + (x * c - y * s) * self.size) * SCALE, (self.y + (x * s + y * c) * self.size) * SCALE

    def line(self, points: Sequence[Point], colour: Colour, width: float) -> None:
        wide = max(1, round(width * self.size * SCALE))
        self.draw.line([self.at(*point) for point in points], fill=(*colour, 255), width=wide, joint="curve")

    def blob(self, x: float, y: float, rx: float, ry: float, colour: Colour, alpha: int = 255) -> None:
        edge = [(x + rx * math.cos(n * math.pi / 12), y + ry * math.sin(n * math.pi / 12)) for n in range(24)]
        self.draw.polygon([self.at(*point) for point in edge], fill=(*colour, alpha))

    def patch(self, points: Sequence[Point], colour: Colour, alpha: int = 255) -> None:
        self.draw.polygon([self.at(*point) for point in points], fill=(*colour, alpha))


def darker(colour: Colour, share: float = 0.6) -> Colour:
    r, g, b = (round(part * share) for part in colour)
    return r, g, b


def fish(pen: Pen, t: float, colour: Colour, *, length: float = 30, depth: float = 8, taper: float = 0.3) -> None:
    """A body that beats its tail; `taper` 0: a whip of a tail, 1: a broad one."""
    steps = [n / 12 for n in range(13)]
    middle = [(length * (s - 0.5), 2.2 * s * s * math.sin(5 * t - 4 * s)) for s in steps]
    thick = [depth / 2 * math.sin(math.pi * s**0.62) ** 0.8 + 0.12 * depth * taper * s for s in steps]
    pairs = list(zip(middle, thick, strict=True))
    pen.patch([(x, y - w) for (x, y), w in pairs] + [(x, y + w) for (x, y), w in reversed(pairs)], colour)
    x, y = middle[-1]
    pen.patch([(x - 2, y), (x + 5 * taper + 1, y - depth * 0.6 * taper), (x + 5 * taper + 1, y + depth * 0.6 * taper)],
              darker(colour))  # fmt: skip
    pen.patch([(-length * 0.2, -depth * 0.35), (0, -depth * 0.85), (length * 0.2, -depth * 0.3)], darker(colour, 0.75))
    pen.blob(-length * 0.4, -depth * 0.1, 1.2, 1.2, (10, 10, 12))


def rays(
    pen: Pen, t: float, colour: Colour, *, number: int = 5, length: float = 11, width: float = 2.5, core: float = 3,
    curl: float = 0.3, arc: tuple[float, float] = (0, 2),
) -> None:  # fmt: skip
    """Arms or spines or legs around a middle, between two angles in half turns."""
    for n in range(number):
        angle = math.pi * (arc[0] + (arc[1] - arc[0]) * (n + 0.5) / number)
        bend = curl * math.sin(1.3 * t + 2.1 * n)
        points = [
            (length * s * math.cos(angle + bend * s), length * s * math.sin(angle + bend * s))
            for s in (0, 0.35, 0.7, 1)
        ]
        pen.line(points, colour, width)
    pen.blob(0, 0, core, core, darker(colour, 0.85))


def crab(pen: Pen, t: float, colour: Colour, *, legs: int = 4, claws: bool = True) -> None:
    """A shield with jointed legs; with claws or, as a sea spider, hardly a body."""
    for side in (-1, 1):
        for n in range(legs):
            lift = 0.8 * math.sin(2 * t + n + side)
            spread = (n - (legs - 1) / 2) * 4
            pen.line(
                [(side * 3, spread * 0.3), (side * 10, spread - 4 + lift), (side * 15, spread + 4 + lift)],
                darker(colour, 0.85),
                1.4,
            )
        if claws:
            pen.line([(side * 4, 3), (side * 8, 7), (side * 4, 10)], colour, 2.2)
            pen.blob(side * 4, 10, 2.6, 1.9, colour)
    wide = 6 if claws else 1.6
    pen.blob(0, 0, wide, wide * 0.8, colour)


def cucumber(pen: Pen, t: float, colour: Colour, *, feet: int = 5) -> None:
    """A fat roll on stout feet, with a few long feelers on top."""
    for n in range(feet):
        x = -8 + 16 * n / max(1, feet - 1)
        pen.line([(x, 3), (x + 0.8 * math.sin(t + n), 8)], darker(colour, 0.8), 2)
    for x, high in ((-5, -11), (0, -12), (5, -10)):
        pen.line([(x, -3), (x + 1.5 * math.sin(0.9 * t + x), high)], darker(colour, 0.9), 1.2)
    pen.blob(0, 0, 10.5, 5.5, colour)
    pen.blob(-2, -2, 6, 1.8, (255, 225, 225), 90)


def tree(
    pen: Pen, t: float, colour: Colour, *, forks: int = 3, height: float = 26, spread: float = 0.5, width: float = 2
) -> None:
    """A colony that branches: from a stem with two twigs a fork to a broad fan."""

    def grow(x: float, y: float, angle: float, long: float, left: int) -> None:
        sway = 0.03 * math.sin(0.8 * t + y * 0.2)
        tip = x + long * math.sin(angle + sway), y - long * math.cos(angle + sway)
        pen.line([(x, y), tip], colour, width * (0.45 + 0.18 * left))
        if left:
            for side in (-1, 0.9) if left < forks else (-1.1, 0.15, 1):
                grow(*tip, angle + side * spread, long * 0.78, left - 1)

    grow(0, 10, 0, height * 0.3, forks)


def plume(pen: Pen, t: float, colour: Colour, *, height: float = 34, polyps: int = 11) -> None:
    """A stem that leans in the current, with polyps all the way up."""
    for n in range(polyps + 1):
        s = n / polyps
        x, y = 5 * s * s + 0.7 * math.sin(0.9 * t) * s, 10 - height * s
        pen.line([(x, y), (x + 6 - 2 * s, y - 3 + 0.5 * math.sin(2 * t + n))], colour, 1.5)
        pen.blob(x + 6 - 2 * s, y - 3, 1.5, 1.5, (255, 240, 225))
    stem = [(5 * s * s + 0.7 * math.sin(0.9 * t) * s, 10 - height * s) for s in (0, 0.25, 0.5, 0.75, 1)]
    pen.line(stem, darker(colour, 0.8), 2)


def vase(pen: Pen, t: float, colour: Colour, *, holes: int = 7) -> None:
    """A sponge like a cup of lace."""
    pen.patch([(-3, 10), (-8, -8), (-6, -12), (6, -12), (8, -8), (3, 10)], colour)
    pen.blob(0, -11, 6.5, 2, darker(colour, 0.35))
    for n in range(holes):
        pen.blob(-4.5 + (n * 37 % 10), -5 + (n * 23 % 11), 1.1, 1.3, darker(colour, 0.45))


def mushroom(pen: Pen, t: float, colour: Colour, *, stalk: float = 7, head: float = 7) -> None:
    """A stalk with a head of tentacles, as mushroom corals, anemones and cup corals have, each in its measure."""
    pen.patch([(-head * 0.4, 9), (-head * 0.3, 9 - stalk), (head * 0.3, 9 - stalk), (head * 0.4, 9)], darker(colour))
    top = Pen(pen.draw, *[part / SCALE for part in pen.at(0, 8 - stalk)], pen.size, pen.turn)
    rays(top, t, colour, number=13, length=head * 1.25, width=1.3, core=head * 0.75, curl=0.4)


def bell(pen: Pen, t: float, colour: Colour, *, arms: int = 7, web: float = 9) -> None:
    """A soft body over webbed arms that open and close."""
    wide = web * (1 + 0.18 * math.sin(1.6 * t))
    edge = [(wide * (2 * n / arms - 1), 9 - 2.5 * (n % 2) + 0.8 * math.sin(2 * t + n)) for n in range(arms + 1)]
    pen.patch([(-5, -4), *edge, (5, -4)], darker(colour, 0.8))
    pen.blob(0, -5, 6, 7, colour)
    for side in (-1, 1):
        pen.patch([(side * 5, -8), (side * (10 + math.sin(4 * t)), -11), (side * 6, -4)], colour)
        pen.blob(side * 3, -2, 1.8, 1.8, (120, 190, 230))


def hood(pen: Pen, t: float, colour: Colour) -> None:
    """A see-through stalk and an open hood with two siphons."""
    gape = 4 + 1.2 * math.sin(0.7 * t)
    pen.patch([(-2, 12), (-4, 0), (4, 0), (2, 12)], colour, 150)
    pen.blob(0, -4, 9, 7, colour, 150)
    pen.blob(-3, -4, 5, gape, (30, 44, 52), 220)
    pen.blob(6, -9, 2, 2.4, (250, 250, 240), 220)
    pen.blob(7, 1, 1.8, 2, (250, 250, 240), 220)


def shells(pen: Pen, t: float, colour: Colour, *, number: int = 5) -> None:
    """Clams that stand on end in the mud."""
    for n in range(number):
        x, y = (n * 41 % 23) - 11, (n * 29 % 13) - 4
        pen.patch([(x - 2, y + 5), (x - 2.6, y - 2), (x, y - 5), (x + 2.6, y - 2), (x + 2, y + 5)], colour)
        pen.line([(x, y - 5), (x, y + 4)], darker(colour, 0.55), 0.7)


def whelk(pen: Pen, t: float, colour: Colour) -> None:
    """A snail on the tower of its eggs."""
    for n in range(14):
        pen.blob(-5 + (n * 7 % 11), 12 - n * 0.9, 2, 1.6, (225, 205, 140))
    for n in range(5):
        pen.blob(2 * n - 3, -3 - 1.4 * n, 6 - n * 1.1, 4.6 - n * 0.8, darker(colour, 1 - 0.06 * n))


def worm(pen: Pen, t: float, colour: Colour, *, length: float = 32, width: float = 3.4) -> None:
    """A long body that winds."""
    points = [(length * (s / 14 - 0.5), 4 * math.sin(s * 0.55 - 2.4 * t)) for s in range(15)]
    pen.line(points, colour, width)
    pen.blob(*points[0], width * 0.6, width * 0.6, colour)


def flat(pen: Pen, t: float, colour: Colour) -> None:
    """A flatfish, half buried."""
    wave = [(15 * math.cos(n * math.pi / 16), 6 * math.sin(n * math.pi / 16) * (1 + 0.12 * math.sin(3 * t + n)))
            for n in range(32)]  # fmt: skip
    pen.patch(wave, darker(colour, 0.8))
    pen.blob(0, 0, 11, 4, colour)
    pen.patch([(14, 0), (20, -3), (20, 3)], darker(colour))
    for x in (-8, -6):
        pen.blob(x, -2, 1.1, 1.1, (15, 15, 15))


def ball(pen: Pen, t: float, colour: Colour) -> None:
    """A fishing float with its rope."""
    pen.line([(0, 6), (3, 14), (-2, 22), (4, 30)], (190, 190, 160), 0.9)
    pen.blob(0, 0, 7.5, 7.5, colour)
    pen.blob(-2.5, -2.5, 2, 2, (255, 230, 200), 200)
