"""Spikes: fixes that no vehicle and no water can have made.

The rule: a fix is a spike where it is further from the median of seven fixes (itself and its three neighbours on either
side; at the ends of a log the first or last seven) than `jump + rate * seconds to the furthest of them`. Jump and rate
of each quantity are in quantities.csv and may be stated in the recording's description. Up to three bad fixes in a row
are found so. A spike is left out of everything that is computed, and told.
"""

from __future__ import annotations

import numpy as np
import polars as pl
from numpy.typing import NDArray

WINDOW = 7
_METRES_A_DEGREE = 111_195.0
"""On a sphere of the Earth's mean radius; enough to tell fifty metres from five hundred."""
Floats = NDArray[np.float64]


def find_spikes(seconds: Floats, values: Floats, jump: float, rate: float) -> NDArray[np.bool_]:
    """Which fixes are spikes.

    Args:
        seconds: times, in order.
        values: one value a fix, or several (a row a fix) in a space where distances mean something.
    """
    size = len(seconds)
    if size < 3:
        return np.zeros(size, dtype=np.bool_)
    points = values.reshape(size, -1)
    width = min(WINDOW, size)
    first = np.clip(np.arange(size) - width // 2, 0, size - width)
    medians = np.column_stack([_medians(points[:, column], width) for column in range(points.shape[1])])
    furthest = np.maximum(seconds - seconds[first], seconds[first + width - 1] - seconds)
    away = np.sqrt(((points - medians) ** 2).sum(axis=1))
    return np.asarray(away > jump + rate * furthest, dtype=np.bool_)


def _medians(values: Floats, width: int) -> Floats:
    """The median about each fix; at either end that of the first or last whole window."""
    rolled = pl.Series(np.ascontiguousarray(values)).rolling_median(width)
    about = rolled.shift(-(width - 1 - width // 2)).fill_null(strategy="forward").fill_null(strategy="backward")
    return about.to_numpy()


def plane(latitude: Floats, longitude: Floats) -> Floats:
    """Metres north and east, near enough for spikes; longitudes may run on beyond 180 degrees."""
    east = longitude * np.cos(np.radians(np.clip(latitude, -89.9, 89.9)).mean())
    return np.column_stack([latitude, east]) * _METRES_A_DEGREE
