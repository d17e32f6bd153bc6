"""GeoJSON and GeoPackage: RFC 7946's own examples, a checker we did not write, and GDAL as the outside reader."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from geojson_pydantic import Feature, FeatureCollection
from geojson_pydantic.geometries import Geometry
from hypothesis import given
from hypothesis import strategies as st
from pyogrio import list_layers, read_info
from pyogrio.raw import read

from earwitness.pipeline.publish import Edition, Fix, Options, make_edition, publish, read_publication, read_run
from earwitness.pipeline.publish.geojson import GEOJSON
from earwitness.pipeline.publish.geopackage import GEOPACKAGE
from earwitness.pipeline.publish.lines import LONGEST_GAP, bounds, cut_at_date_line, track_pieces
from earwitness.schemas import InputError
from tests.publish import made

COLLECTION = FeatureCollection[Feature[Geometry, dict[str, Any]]]
TRACK = tuple(Fix("kettle_01", 10.0 * n, -16.5, lon, 1200.0 + n, None) for n, lon in enumerate((179.5, 179.9, -179.7)))


@pytest.fixture
def edition(run: Path, metadata: Path) -> Edition:
    return replace(make_edition(read_run(run), Options(), read_publication(metadata)), track=TRACK)


def collection(edition: Edition, tmp_path: Path) -> dict[str, Any]:
    GEOJSON.write(edition, tmp_path / "out.geojson")
    told: dict[str, Any] = json.loads((tmp_path / "out.geojson").read_text("utf-8"))
    return told


def test_a_line_over_the_date_line_is_cut_as_in_the_rfc() -> None:
    """RFC 7946, section 3.1.9: from 45N, 170E across the 180th meridian to 45N, 170W."""
    assert cut_at_date_line([(170.0, 45.0), (-170.0, 45.0)]) == [
        [(170.0, 45.0), (180.0, 45.0)],
        [(-180.0, 45.0), (-170.0, 45.0)],
    ]


def test_the_box_over_the_date_line_is_that_of_the_rfc() -> None:
    """RFC 7946, section 5.2: the Fiji archipelago, straddling the 180th meridian between 16S and 20S."""
    assert bounds([(177.0, -20.0), (-178.0, -16.0), (179.0, -18.0)]) == (177.0, -20.0, -178.0, -16.0)


def test_other_boxes() -> None:
    assert bounds([(10.0, 1.0)]) == (10.0, 1.0, 10.0, 1.0)
    assert bounds([(-10.0, 1.0), (10.0, -1.0), (0.0, 0.0)]) == (-10.0, -1.0, 10.0, 1.0)


def test_a_line_slants_over_the_date_line_where_it_should() -> None:
    assert cut_at_date_line([(179.0, 0.0), (-177.0, 4.0)]) == [
        [(179.0, 0.0), (180.0, 1.0)],
        [(-180.0, 1.0), (-177.0, 4.0)],
    ]
    assert cut_at_date_line([(-179.0, 0.0), (179.0, 2.0)]) == [
        [(-179.0, 0.0), (-180.0, 1.0)],
        [(180.0, 1.0), (179.0, 2.0)],
    ]
    assert cut_at_date_line([(1.0, 2.0), (3.0, 4.0)]) == [[(1.0, 2.0), (3.0, 4.0)]]
    assert cut_at_date_line([(1.0, 2.0), (1.0, 2.0)]) == []
    assert cut_at_date_line([]) == []


@given(st.lists(st.tuples(st.floats(-180, 180), st.floats(-90, 90)), max_size=12))
def test_no_piece_ever_goes_the_long_way_round(line: list[tuple[float, float]]) -> None:
    pieces = cut_at_date_line(line)
    for piece in pieces:
        assert len(piece) > 1
        for (lon, lat), (after, _) in pairwise(piece):
            assert abs(after - lon) <= 180
            assert -180 <= lon <= 180
            assert -90 <= lat <= 90
    if line:
        west, south, east, north = bounds(line)
        for lon, lat in line:
            assert south <= lat <= north
            assert west <= lon <= east if west <= east else lon >= west or lon <= east


def test_no_line_is_drawn_where_nobody_knows_the_way() -> None:
    later = replace(TRACK[-1], time=20.0 + LONGEST_GAP + 1)
    other = replace(TRACK[0], recording_id="kettle_02")
    assert [len(piece) for piece in track_pieces([*TRACK, later, later, other])] == [3, 2, 1]


def test_the_collection_is_valid_by_an_outside_checker_and_holds_every_row(edition: Edition, tmp_path: Path) -> None:
    told = collection(edition, tmp_path)
    # The checker warns where a box crosses the date line, which the RFC allows (5.2).
    with pytest.warns(UserWarning, match="crossing the Antimeridian"):
        COLLECTION(**told)
    with pytest.raises(ValueError, match="coordinates"), pytest.warns(UserWarning, match="crossing"):
        COLLECTION(**told | {"features": [{"type": "Feature", "properties": {}, "geometry": {"type": "Point"}}]})
    assert "crs" not in told
    events = {feature["id"]: feature for feature in told["features"] if "id" in feature}
    table = {row["eventID"]: row for row in made.rows() if row["reviewStatus"] != "rejected"}
    assert list(events) == list(table)
    for name, feature in events.items():
        row = table[name]
        if row["decimalLatitude"] is None:
            assert feature["geometry"] is None
        else:
            assert feature["geometry"] == {
                "type": "Point",
                "coordinates": [row["decimalLongitude"], row["decimalLatitude"]],
            }
        assert feature["properties"]["startTime"] == row["startTime"]
        draft_row = row["reviewStatus"] == "draft"
        assert ("machine draft from spoken commentary, not" in feature["properties"]["statement"]) == draft_row
        assert feature["properties"]["rightsHolder"] == "Museum of Invented Seas"
    (track,) = [feature for feature in told["features"] if feature["properties"]["recordKind"] == "track"]
    assert track["geometry"]["type"] == "MultiLineString"
    assert track["geometry"]["coordinates"] == [
        [[179.5, -16.5], [179.9, -16.5], [180, -16.5]],
        [[-180, -16.5], [-179.7, -16.5]],
    ]
    assert track["properties"]["maximumDepthInMeters"] == 1202
    west, _, east, _ = told["bbox"]
    assert (west, east) == (179.5, -179.7)


def test_gdal_reads_the_same_points_from_both(edition: Edition, tmp_path: Path) -> None:
    GEOJSON.write(edition, tmp_path / "out.geojson")
    GEOPACKAGE.write(edition, tmp_path / "out.gpkg")
    assert sorted(map(list, list_layers(tmp_path / "out.gpkg"))) == [["events", "Point"], ["track", "MultiLineString"]]
    assert read_info(tmp_path / "out.gpkg", layer="events")["crs"] == "EPSG:4326"
    package = read(tmp_path / "out.gpkg", layer="events")
    names = list(package[0]["fields"])
    values = dict(zip(names, package[3], strict=True))
    table = [row for row in made.rows() if row["reviewStatus"] != "rejected"]
    assert list(values["eventID"]) == [row["eventID"] for row in table]
    assert list(values["startTime"]) == [row["startTime"] for row in table]
    assert list(values["transcriptText"]) == [row["transcriptText"] for row in table]
    assert [n for n, shape in enumerate(package[2]) if shape] == [
        n for n, row in enumerate(table) if row["decimalLatitude"] is not None
    ]
    from_json = read(tmp_path / "out.geojson")
    points = [shape for shape in from_json[2] if shape and len(shape) == 21]
    assert points == [shape for shape in package[2] if shape]
    assert read_info(tmp_path / "out.gpkg", layer="track")["features"] == 1


def test_the_package_is_sound_by_sqlite(edition: Edition, tmp_path: Path) -> None:
    GEOPACKAGE.write(edition, tmp_path / "out.gpkg")
    with closing(sqlite3.connect(tmp_path / "out.gpkg")) as package:
        assert package.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert package.execute("PRAGMA foreign_key_check").fetchall() == []
        # "GPKG" in ASCII (OGC 12-128, requirement 2).
        assert package.execute("PRAGMA application_id").fetchone() == (0x47504B47,)
        told = package.execute("SELECT table_name, description, last_change FROM gpkg_contents ORDER BY 1").fetchall()
        box = package.execute(
            "SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = 'events'"
        ).fetchone()
    assert told[0][0] == "events"
    assert "not fit for navigation" in told[0][1]
    assert told[0][2] == "2032-02-03T00:00:00.000Z"
    # A box that cannot go over the date line goes around the globe.
    assert box == (-180, -16.6, 180, -16.512345)


@pytest.mark.parametrize("publisher", [GEOJSON, GEOPACKAGE])
def test_a_run_without_positions_is_refused(publisher: Any, tmp_path: Path) -> None:
    empty = {"decimalLatitude": None, "decimalLongitude": None}
    run = made.write(tmp_path / "run", [row | empty for row in made.rows()])
    with pytest.raises(InputError, match=r"events.jsonl: no row has a position.*--recording FILE.toml"):
        publish(run, [publisher], tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_blurred_positions_bring_no_track(run: Path, tmp_path: Path) -> None:
    out = publish(run, [GEOJSON], tmp_path / "out", Options(grid_degrees=0.5))
    text = out.files[0].read_text("utf-8")
    assert not [f for f in json.loads(text)["features"] if f["properties"]["recordKind"] == "track"]
    assert "16.51" not in text
    assert "179.98" not in text
