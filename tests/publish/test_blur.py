"""Positions in a grid: the cell's centre, an uncertainty that covers the cell, and the words Darwin Core has for it."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod

from earwitness.pipeline.publish import Options, make_edition, read_run
from earwitness.pipeline.publish.blur import blurred
from earwitness.pipeline.publish.columns import told_row
from earwitness.schemas import InputError, validate
from tests.publish import made

GLOBE = Geod(ellps="WGS84")


def placed(latitude: float, longitude: float, uncertainty: float | None = 10.0) -> made.Row:
    told = {"decimalLatitude": latitude, "decimalLongitude": longitude, "coordinateUncertaintyInMeters": uncertainty}
    return made.blank("kettle_01", "marker", 1.0, markerType="on_bottom", **told)


def test_the_geodesic_is_that_of_the_published_example() -> None:
    """GeographicLib's documentation: Wellington (41.32S, 174.81E) to Salamanca (40.96N, 5.50W) is 19959679.267 m."""
    assert GLOBE.inv(174.81, -41.32, -5.50, 40.96)[2] == pytest.approx(19959679.267, abs=1e-3)


def test_a_cell_at_the_equator() -> None:
    row = blurred(placed(0.03, 12.34), 0.1)
    assert (row["decimalLatitude"], row["decimalLongitude"]) == (0.05, 12.35)
    # Half the diagonal of a tenth of a degree: 5,528.7 m by 5,566.0 m; and the 10 m that were uncertain before.
    assert row["coordinateUncertaintyInMeters"] == math.ceil(math.hypot(5528.7, 5566.0) + 10)


@given(st.floats(-90, 90), st.floats(-180, 180), st.sampled_from([0.01, 0.1, 0.25, 0.7, 1.0, 7.0, 10.0]))
def test_the_circle_holds_the_true_place(latitude: float, longitude: float, width: float) -> None:
    row = blurred(placed(latitude, longitude), width)
    lat, lon = row["decimalLatitude"], row["decimalLongitude"]
    assert abs(lat) <= 90
    assert abs(lon) <= 180
    distance = GLOBE.inv(lon, lat, longitude, latitude)[2]
    assert distance + 10 <= row["coordinateUncertaintyInMeters"] + 1e-6
    validate("event", [row])


@given(st.floats(-89, 89), st.floats(-179, 179))
def test_all_places_of_a_cell_come_out_alike(latitude: float, longitude: float) -> None:
    once = blurred(placed(latitude, longitude), 0.5)
    again = blurred(placed(once["decimalLatitude"], once["decimalLongitude"]), 0.5)
    assert again == once


def test_the_words_are_told_for_blurred_rows_alone(run: Path) -> None:
    edition = make_edition(read_run(run), Options(grid_degrees=0.5))
    told = {row["eventID"]: told_row(row, edition) for row in edition.rows}
    assert "grid of 0.5 degrees" in told["kettle_01:o00012500"]["dataGeneralizations"]
    assert "track" in told["kettle_01:o00012500"]["informationWithheld"]
    assert told["kettle_01:m00004000"]["dataGeneralizations"] is None
    sharp = make_edition(read_run(run), Options())
    assert {told_row(row, sharp)["dataGeneralizations"] for row in sharp.rows} == {None}


@pytest.mark.parametrize("width", [0.0, -1.0, 11.0, math.nan, math.inf])
def test_a_grid_that_is_none_is_refused(width: float) -> None:
    with pytest.raises(InputError, match=r"--blur: .* is no width of a grid"):
        Options(grid_degrees=width)
