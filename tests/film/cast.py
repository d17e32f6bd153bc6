"""What is seen at which event of the gold rows: shapes, colours, sizes and places."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.film import shapes
from tests.film.shapes import Colour


@dataclass(frozen=True, slots=True)
class Animal:
    """One body: where it stands in the middle of its event, and how it moves against the ground."""

    shape: Callable[..., None]
    colour: Colour
    x: float
    y: float
    size: float = 1.0
    turn: float = 0.0
    own_x: float = 0.0
    own_y: float = 0.0
    more: Mapping[str, Any] = field(default_factory=dict)


def _one(shape: Callable[..., None], colour: Colour, x: float, y: float, size: float = 1.0, turn: float = 0.0,
         own: tuple[float, float] = (0.0, 0.0), **more: Any) -> Animal:  # fmt: skip
    return Animal(shape, colour, x, y, size, turn, *own, more)


def _many(
    number: int,
    seed: int,
    x: tuple[float, float],
    y: tuple[float, float],
    shape: Callable[..., None],
    colour: Colour,
    size: float,
    /,
    **more: Any,
) -> tuple[Animal, ...]:
    """Many of a kind in a field of the picture; those farther up are farther off, and smaller."""
    chance = random.Random(seed)
    places = sorted((chance.uniform(*y), chance.uniform(*x)) for _ in range(number))
    return tuple(_one(shape, colour, b, a, size * (0.35 + 0.65 * a / 144), **more) for a, b in places)


_PINK, _WHITE = (226, 150, 160), (226, 226, 214)

SEEN: Mapping[str, tuple[Animal, ...]] = {
    "e1": (_one(shapes.bell, (132, 26, 30), 128, 66, 2.0, own=(1.5, -0.8)),),
    "e2": _many(8, 2, (40, 220), (84, 122), shapes.cucumber, _PINK, 1.0),
    "e3": (
        _one(shapes.cucumber, _PINK, 132, 92, 1.9),
        _one(shapes.crab, (205, 80, 50), 138, 108, 0.6),
    ),
    "e4": _many(60, 4, (0, 256), (76, 140), shapes.rays, (226, 120, 150), 0.55, number=14, width=0.8, length=9, core=5),
    "e5": (_one(shapes.flat, (122, 104, 82), 84, 106, 1.5),),
    "e6": (_one(shapes.plume, (214, 120, 74), 138, 98, 1.8),),
    "e7": (
        _one(shapes.plume, (214, 120, 74), 138, 98, 1.8),
        _one(shapes.rays, (222, 186, 120), 140, 84, 1.2, curl=1.3, width=1.5, core=2.6),
    ),
    "e8": (_one(shapes.ball, (236, 126, 36), 136, 84, 1.2, turn=0.2),),
    "e9": (_one(shapes.rays, (232, 176, 176), 104, 98, 1.2, number=26, length=14, width=2, core=8),),
    "e10": (_one(shapes.crab, (236, 170, 70), 108, 92, 1.0, legs=4, claws=False),),
    "e11": (_one(shapes.fish, (206, 70, 46), 118, 102, 1.3, length=28, depth=10, taper=0.8),),
    "e12": tuple(
        _one(shapes.fish, (92, 96, 104), x, y, s, own=(-7, 0.6), length=40, depth=10, taper=1.0)
        for x, y, s in ((150, 40, 1.5), (186, 62, 1.2), (110, 70, 1.0))
    ),
    "e13": tuple(
        _one(shapes.vase, (222, 214, 190), x, y, s) for x, y, s in ((90, 96, 1.3), (126, 90, 1.7), (164, 98, 1.1))
    ),
    "e14": _many(12, 14, (30, 230), (70, 126), shapes.mushroom, (196, 40, 44), 1.0),
    "e15": (_one(shapes.hood, (206, 220, 226), 128, 70, 1.8),),
    "e16": tuple(
        _one(shapes.mushroom, (238, 220, 196), x, 60 + y, 1.0, stalk=10, head=5)
        for x, y in ((88, 2), (116, 8), (142, 0), (170, 7))
    ),
    "e17": (_one(shapes.crab, (208, 96, 60), 128, 92, 2.1),),
    "e18": (_one(shapes.fish, (230, 140, 150), 130, 76, 1.4, own=(-3, 0.3), length=34, depth=14, taper=0.05),),
    "e19": (_one(shapes.tree, (236, 196, 170), 124, 92, 2.1, spread=0.42),),
    "e20": (
        _one(shapes.tree, (236, 196, 170), 124, 92, 2.1, spread=0.42),
        _one(shapes.rays, (206, 40, 34), 142, 78, 0.9, width=4, core=4, curl=0.15),
    ),
    "e21": _many(9, 21, (24, 236), (82, 130), shapes.shells, (214, 204, 178), 1.1),
    "e22": (_one(shapes.whelk, (178, 150, 112), 130, 92, 1.8),),
    "e23": (_one(shapes.fish, (112, 106, 116), 158, 82, 1.5, own=(-3, 0), length=52, depth=12, taper=0.0),),
    "e24": (_one(shapes.bell, (222, 112, 62), 122, 92, 1.5, web=15),),
    "e25": (_one(shapes.tree, (238, 232, 218), 148, 94, 1.9, forks=4, spread=0.26, height=30),),
    "e26": (
        _one(shapes.tree, (238, 232, 218), 140, 94, 2.1, forks=4, spread=0.26, height=30),
        _one(shapes.worm, (124, 62, 48), 144, 76, 0.5, turn=1.1, width=6),
    ),
    "e27": (_one(shapes.worm, (168, 122, 124), 130, 98, 1.7, own=(-4, 0)),),
    "e28": (
        _one(shapes.rays, (226, 150, 62), 132, 70, 1.5, number=10, length=16, width=1.6, core=2, curl=0.7, own=(2, -2)),
    ),
    "e29": _many(11, 29, (60, 200), (30, 66), shapes.mushroom, (226, 116, 50), 0.9, stalk=2, head=4),
}
"""By the number of a gold event."""
