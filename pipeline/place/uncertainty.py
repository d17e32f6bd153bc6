"""coordinateUncertaintyInMeters from what is stated, after the point-radius method (Chapman, A. D. and Wieczorek, J. R.
(2020), Georeferencing Best Practices): the radius about the given point in which the whole place lies, parts added up.

- what is stated of a fix: the log's own column, else `uncertainty.position_meters`;
- what is stated of how far the animal may be from the vehicle (`range_meters`);
- the vehicle's way during the event: to the far corner of the box that holds its fixes;
- the vehicle's speed times how long the moment may be off: the row's timeUncertainty, `clock_seconds` and, where only
  the nearest fix was had, the time to it (the speed is then the fastest that the rule for spikes allows).

Without a stated radius of a fix there is none: nothing is made up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Protocol

import numpy as np
import polars as pl

from earwitness.pipeline.place.geodesic import distances
from earwitness.pipeline.place.lookup import NEAREST, Floats, extremes
from earwitness.pipeline.place.timeline import Timeline
from earwitness.pipeline.place.tracks import Track


class Stated(Protocol):
    """What the description states."""

    @property
    def position(self) -> float | None:
        """Radius (m) of a fix."""

    @property
    def range(self) -> float:
        """How far (m) what is seen may be from the vehicle."""

    @property
    def clock(self) -> float:
        """How far (s) the recording's clock may be off."""


def radii(
    stated: Stated, track: Track, line: Timeline, found: pl.DataFrame, end: pl.DataFrame, doubt: Sequence[float]
) -> list[float | None]:
    """The radius of each event in metres, rounded up to a tenth; None where nothing is stated or there is no position.

    Args:
        found, end: what the track says at the beginning and at the end of each event.
        doubt: timeUncertainty of each event, s.
    """
    fix = (
        found["uncertainty"]
        .cast(pl.Float64)
        .fill_null(np.nan if stated.position is None else stated.position)
        .to_numpy()
    )
    gap = np.where((found["method"] == NEAREST).to_numpy(), found["gap"].fill_null(0.0).to_numpy(), 0.0)
    moving = found["speed"].to_numpy() * (np.asarray(doubt, dtype=np.float64) + stated.clock + gap)
    total = fix + stated.range + moving + _way(track, line, found, end)
    return [None if math.isnan(metres) else math.ceil(round(metres * 10, 6)) / 10 for metres in total.tolist()]


def _way(track: Track, line: Timeline, found: pl.DataFrame, end: pl.DataFrame) -> Floats:
    """How far (m) the vehicle was from the event's first position during it, at most."""
    times = track.fixes["time"].to_numpy()
    here = {name: found[name].cast(pl.Float64).fill_null(np.nan).to_numpy() for name in ("latitude", "longitude")}
    last = {name: end[name].cast(pl.Float64).fill_null(np.nan).to_numpy() for name in ("latitude", "longitude")}
    box: dict[str, tuple[Floats, Floats]] = {}
    for name in ("latitude", "longitude"):
        least, largest = extremes(times, track.fixes[name].to_numpy(), line.lows, line.highs)
        low, high = np.fmin(here[name], last[name]), np.fmax(here[name], last[name])
        np.fmin.at(low, line.rows, least)
        np.fmax.at(high, line.rows, largest)
        box[name] = low, high
    corners = [
        distances(here["latitude"], here["longitude"], latitude, longitude)
        for latitude in box["latitude"]
        for longitude in box["longitude"]
    ]
    furthest: Any = np.maximum.reduce(corners)
    return np.asarray(furthest, dtype=np.float64)
