"""A moment of the dive comes in; its picture goes out: water, ground, drifting particles, animals, a clock."""

from __future__ import annotations

import csv
import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tests.film.cast import SEEN
from tests.film.shapes import SCALE, Pen

WIDE, HIGH = 256, 144
DIVE = Path(__file__).resolve().parents[2] / "fixtures" / "quillmere_canyon"
DRIFT = 3.4
"""How fast the ground passes where animals stand: points a second."""
BEFORE, AFTER, FADE = 1.2, 0.8, 0.7
"""Seconds an animal is there before and after its event, and takes to come out of the dark."""
Picture = NDArray[np.float32]

_STAGES: tuple[tuple[float, str, Any], ...] = (
    (0.0, "water", (34, 104, 128)),
    (22.8, "water", (6, 26, 46)),
    (63.4, "floor", (74, 80, 58)),
    (186.0, "floor", (70, 74, 60)),
    (221.0, "wall", (82, 76, 70)),
    (366.0, "floor", (40, 38, 38)),
    (392.0, "wall", (78, 74, 72)),
    (477.5, "water", (8, 30, 44)),
)
"""From when the picture shows open water, the floor or the wall, and in what colour."""
_RISING = {0.0: -26.0, 22.8: -34.0, 477.5: 30.0}
"""How fast particles pass upwards in the stages of open water; elsewhere they sink slowly."""


@cache
def _texture() -> Picture:
    """Noise that can be laid side by side: big lumps strong, small ones weak."""
    size = 512
    rng = np.random.default_rng(206)
    across = np.fft.fftfreq(size)[:, None] ** 2 + np.fft.fftfreq(size)[None, :] ** 2
    spectrum = np.fft.fft2(rng.standard_normal((size, size))) / (across + 4 / size**2) ** 0.62
    noise = np.fft.ifft2(spectrum).real
    return (noise / noise.std()).astype(np.float32)


def _sampled(u: Picture, v: Picture) -> Picture:
    """The texture at places between its points."""
    texture, size = _texture(), 512
    left, top = np.floor(u).astype(np.int64), np.floor(v).astype(np.int64)
    du, dv = u - left, v - top
    x0, x1, y0, y1 = left % size, (left + 1) % size, top % size, (top + 1) % size
    upper = texture[y0, x0] * (1 - du) + texture[y0, x1] * du
    lower = texture[y1, x0] * (1 - du) + texture[y1, x1] * du
    return np.asarray(upper * (1 - dv) + lower * dv, dtype=np.float32)


@cache
def _grid() -> tuple[Picture, Picture, Picture]:
    """Columns, rows, and how much of the lamps' light falls on each."""
    y, x = np.mgrid[0:HIGH, 0:WIDE].astype(np.float32)
    light = np.exp(-(((x - WIDE / 2) / 118) ** 2) - ((y - HIGH * 0.58) / 82) ** 2)
    return x, y, np.asarray(0.16 + 0.95 * light, dtype=np.float32)


def _stage(t: float) -> tuple[float, str, Any]:
    return next(stage for stage in reversed(_STAGES) if t >= stage[0])


def _water(colour: Any, t: float) -> Picture:
    _x, y, light = _grid()
    fade = (1.25 - 0.6 * y / HIGH) * (0.55 + 0.5 * light)
    surface = max(0.15, 1 - t / 26) if t < 22.8 else 1.0
    return np.asarray(fade[..., None] * np.array(colour, np.float32) * surface, dtype=np.float32)


def _floor(colour: Any, t: float) -> Picture:
    """Mud seen at a slant, sliding by."""
    x, y, light = _grid()
    horizon = 34.0
    far = 62 / np.maximum(y - horizon, 1.5)
    lumps = _sampled((x - WIDE / 2) * far * 0.9 + DRIFT * t, 90 * far)
    ground = (1 + 0.2 * lumps) * np.exp(-0.42 * (far - 0.6))
    shown = np.where(y > horizon, ground, 0)[..., None] * np.array(colour, np.float32) * 1.7
    haze = np.array((14, 40, 48), np.float32) * (1 - np.clip((y - horizon) / 60, 0, 1))[..., None]
    return np.asarray((shown + haze) * light[..., None], dtype=np.float32)


def _wall(colour: Any, t: float) -> Picture:
    """Rock face to face, with a ledge low in the picture, passing sideways."""
    x, y, light = _grid()
    lumps = _sampled(x * 0.8 + DRIFT * 0.8 * t, y * 1.15 + 3)
    cracks = np.abs(_sampled(x * 0.5 + DRIFT * 0.5 * t + 200, y * 1.6 + 90))
    ledge = 1 + 0.35 * np.tanh((y - 112 - 4 * np.sin((x + DRIFT * t) / 37)) / 3)
    ground = (0.9 + 0.16 * lumps) * (0.72 + 0.28 * np.clip(cracks * 2.2, 0, 1)) * ledge
    return np.asarray(ground[..., None] * np.array(colour, np.float32) * 1.5 * light[..., None], dtype=np.float32)


@cache
def _snow() -> NDArray[np.float64]:
    return np.random.default_rng(8).random((34, 4))


def _add_snow(picture: Picture, t: float, began: float) -> None:
    """Particles in the light: nearer ones pass quicker."""
    _x, _y, light = _grid()
    for a, b, near, bright in _snow():
        speed = 0.35 + near
        x = (a * WIDE - t * 2.6 * speed + 1.5 * math.sin(t * 0.7 + 9 * b)) % (WIDE - 2)
        y = (b * HIGH + t * speed * _RISING.get(began, 2.2)) % (HIGH - 2)
        i, j, dx, dy = int(x), int(y), x % 1, y % 1
        glow = (18 + 60 * bright) * light[j, i] * (0.5 + near)
        spot = np.array([[(1 - dx) * (1 - dy), dx * (1 - dy)], [(1 - dx) * dy, dx * dy]], np.float32)
        picture[j : j + 2, i : i + 2] += (spot * glow)[..., None]


@cache
def gold_events() -> tuple[tuple[str, float, float], ...]:
    """Number, begin and end of every event that its author meant."""
    with (DIVE / "gold_events.csv").open(encoding="utf-8", newline="") as lines:
        return tuple((row["event"], float(row["start_s"]), float(row["end_s"])) for row in csv.DictReader(lines))


def _animals(t: float) -> Image.Image | None:
    """The bodies that are there now, on nothing."""
    there = [event for event in gold_events() if event[1] - BEFORE < t < event[2] + AFTER]
    if not there:
        return None
    layer = Image.new("RGBA", (WIDE * SCALE, HIGH * SCALE))
    for event, begin, end in there:
        one = Image.new("RGBA", layer.size)
        draw = ImageDraw.Draw(one)
        since = t - (begin + end) / 2
        # In a long event the vehicle goes slower, so that the animal stays in view.
        pace = min(DRIFT, 110 / (end - begin))
        for animal in SEEN[event]:
            x = animal.x + (animal.own_x - pace * (animal.own_x == 0)) * since
            y = animal.y + animal.own_y * since
            animal.shape(Pen(draw, x, y, animal.size, animal.turn), t, animal.colour, **animal.more)
        share = max(0.0, min(1.0, (t - begin + BEFORE) / FADE, (end + AFTER - t) / FADE))
        if share < 1:
            one.putalpha(one.getchannel("A").point(lambda alpha, share=share: round(alpha * share)))
        layer.alpha_composite(one)
    return layer.reduce(SCALE)


@cache
def _letters(size: int) -> Any:
    return ImageFont.load_default(size)


def picture(t: float, *, animals: bool = True) -> NDArray[np.uint8]:
    """The film's picture at a time of the recording, in seconds: rows, columns, red-green-blue.

    Args:
        t: the time.
        animals: without them, the same place with nobody there.
    """
    began, kind, colour = _stage(t)
    shown = {"water": _water, "floor": _floor, "wall": _wall}[kind](colour, t)
    layer = _animals(t) if animals else None
    if layer is not None:
        bodies = np.asarray(layer, np.float32)
        alpha = bodies[..., 3:] / 255
        shown = shown * (1 - alpha) + bodies[..., :3] * (0.25 + 0.75 * _grid()[2][..., None]) * alpha
    _add_snow(shown, t, began)
    image = Image.fromarray(np.clip(shown, 0, 255).astype(np.uint8))
    draw = ImageDraw.Draw(image)
    tenths = int(t * 10 + 1e-6)
    draw.text((WIDE - 6, HIGH - 5), f"{tenths // 600}:{tenths // 10 % 60:02d}.{tenths % 10}", (214, 214, 200),
              _letters(10), anchor="rs")  # fmt: skip
    draw.text((6, HIGH - 5), "drawn, not filmed", (150, 150, 140), _letters(9), anchor="ls")
    return np.asarray(image)
