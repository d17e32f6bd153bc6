"""Positions blurred to a grid, told as Darwin Core says: a cell's centre with an uncertainty that covers the cell.

`coordinateUncertaintyInMeters` is the radius of the smallest circle around the given position that holds the whole
location: here the farthest point of the cell (by Karney's geodesics on WGS 84), and what the position was uncertain by.
"""

from __future__ import annotations

import math

from earwitness.pipeline.place.geodesic import distances
from earwitness.pipeline.publish.publisher import Row

_DIGITS = 9


def blurred(row: Row, degrees: float) -> Row:
    """The row with the centre of its cell in place of its position; a row without a position as it is."""
    latitude, longitude = row["decimalLatitude"], row["decimalLongitude"]
    if latitude is None or longitude is None:
        return row | {"decimalLatitude": None, "decimalLongitude": None, "coordinateUncertaintyInMeters": None}
    south, north = _cell(latitude, degrees, 90.0)
    west, east = _cell(longitude, degrees, 180.0)
    middle = (round((south + north) / 2, _DIGITS), round((west + east) / 2, _DIGITS))
    own = row["coordinateUncertaintyInMeters"] or 0.0
    return row | {
        "decimalLatitude": middle[0],
        "decimalLongitude": middle[1],
        "coordinateUncertaintyInMeters": float(math.ceil(_radius(middle, south, north, east) + own)),
    }


def generalization(row: Row, degrees: float | None) -> str | None:
    """For dataGeneralizations."""
    if degrees is None or row["decimalLatitude"] is None:
        return None
    return f"Position generalized to the centre of its cell in a grid of {degrees:g} degrees."


def withheld(row: Row, degrees: float | None) -> str | None:
    """For informationWithheld."""
    if degrees is None or row["decimalLatitude"] is None:
        return None
    return "The exact position and the vehicle's track are withheld; ask the contact of the dataset."


def _cell(value: float, width: float, limit: float) -> tuple[float, float]:
    """The cell [low, high) of a grid through zero, ended by the limits of the globe."""
    last = math.ceil(limit / width) - 1
    number = max(-last - 1, min(last, math.floor(value / width)))
    return max(number * width, -limit), min((number + 1) * width, limit)


def _radius(middle: tuple[float, float], south: float, north: float, east: float) -> float:
    """Metres to the farthest point of the cell: a corner, or where it holds the pole nearly all of it."""
    corners = [(latitude, east) for latitude in (south, north)] + [(south, middle[1]), (north, middle[1])]
    return float(max(distances(*middle, *zip(*corners, strict=True))))
