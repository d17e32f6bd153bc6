"""Distances on the WGS84 ellipsoid (package pyproj, whose geodesics are GeographicLib's)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from pyproj import Geod

_WGS84 = Geod(ellps="WGS84")


def distances(lat1: ArrayLike, lon1: ArrayLike, lat2: ArrayLike, lon2: ArrayLike) -> NDArray[np.float64]:
    """Metres between points; not-a-number where a coordinate is."""
    arrays = np.broadcast_arrays(*(np.asarray(given, dtype=np.float64) for given in (lat1, lon1, lat2, lon2)))
    unknown = np.isnan(np.stack(arrays)).any(axis=0)
    one_lat, one_lon, two_lat, two_lon = (np.where(unknown, 0.0, array) for array in arrays)
    metres = np.asarray(_WGS84.inv(one_lon, one_lat, two_lon, two_lat)[2], dtype=np.float64)
    return np.where(unknown, np.nan, metres)
