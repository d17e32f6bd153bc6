"""Distances against GeographicLib's published cases."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.place.geodesic import distances

CASES = [
    # Of the test set that comes with GeographicLib's implementations in C, Fortran, Java, JavaScript and Python.
    (35.60777, -139.44815, -11.17491, -69.95921, 8935244.5604818305),
    (-21.97856, 142.59065, 41.84138, 98.56635, 8394328.894657671),
    (-50.56724, -16.30485, -33.56571, -94.97412, 6455670.5118668696),
    (-87.85331, 85.66836, 66.48646, 16.09921, 17286615.3147144645),
    # GeographicLib's documentation: Wellington to Salamanca.
    (-41.32, 174.81, 40.96, -5.50, 19959679.26735382),
]


@pytest.mark.parametrize(("lat1", "lon1", "lat2", "lon2", "metres"), CASES)
def test_published_cases(lat1: float, lon1: float, lat2: float, lon2: float, metres: float) -> None:
    assert float(distances(lat1, lon1, lat2, lon2)) == pytest.approx(metres, abs=1e-6)


def test_across_the_date_line_and_unknown_places() -> None:
    far, near, unknown = distances([0, 0, math.nan], [0.0, 179.9999, 0], [0, 0, 0], [1.0, -179.9999, 0])
    assert far == pytest.approx(math.pi / 180 * 6378137)  # a degree of the equator, by the axis of WGS84
    assert near == pytest.approx(far * 0.0002, rel=1e-6)
    assert math.isnan(unknown)


@given(st.floats(-89, 89), st.floats(-180, 180), st.floats(-89, 89), st.floats(-180, 180))
def test_there_is_as_far_as_back(lat1: float, lon1: float, lat2: float, lon2: float) -> None:
    there, back = distances(lat1, lon1, lat2, lon2), distances(lat2, lon2, lat1, lon1)
    assert float(there) == pytest.approx(float(back), abs=1e-6)
