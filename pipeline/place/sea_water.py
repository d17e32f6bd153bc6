"""Pressure to depth and conductivity to practical salinity, by TEOS-10 (package gsw)."""

from __future__ import annotations

from typing import TypeVar

import gsw
import numpy as np
from numpy.typing import NDArray

FloatOrFloats = TypeVar("FloatOrFloats", float, NDArray[np.float64])


def depth_of(pressure: FloatOrFloats, latitude: FloatOrFloats | float) -> FloatOrFloats:
    """Depth (m, positive down) of sea pressure (dbar) at a latitude (degrees)."""
    depth: FloatOrFloats = -gsw.z_from_p(pressure, latitude)
    return depth


def pressure_of(depth: FloatOrFloats, latitude: FloatOrFloats | float) -> FloatOrFloats:
    """Sea pressure (dbar) at a depth (m, positive down) and a latitude (degrees)."""
    pressure: FloatOrFloats = gsw.p_from_z(-depth, latitude)
    return pressure


def practical_salinity(
    conductivity: FloatOrFloats, temperature: FloatOrFloats, pressure: FloatOrFloats
) -> FloatOrFloats:
    """Practical salinity (PSS-78) of conductivity (mS/cm), temperature (ITS-90, degrees C) and sea pressure (dbar)."""
    salinity: FloatOrFloats = gsw.SP_from_C(conductivity, temperature, pressure)
    return salinity
