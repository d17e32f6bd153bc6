"""GeoPackage: the events as a layer of points, the track as a layer of lines, for geographic information systems.

Rows without a position stand in the layer without a geometry; refuses a run in which no row has one.
"""

from __future__ import annotations

from contextlib import closing
from itertools import chain
from pathlib import Path
from typing import Any

from fudgeo import FeatureClass, Field, GeoPackage
from fudgeo.constant import WGS84
from fudgeo.enumeration import FieldType, GPKGFlavors, ShapeType
from fudgeo.geometry import MultiLineString, Point
from fudgeo.geopkg import SpatialReferenceSystem

from earwitness.pipeline.publish.columns import flat_rows, header, kinds
from earwitness.pipeline.publish.geojson import placed, position
from earwitness.pipeline.publish.lines import DIGITS, bounds, cut_at_date_line, track_pieces
from earwitness.pipeline.publish.publisher import Edition, Publisher
from earwitness.pipeline.publish.statements import CAUTION
from earwitness.pipeline.publish.track import drawn_once

_EPSG = 4326
_TYPES = {"integer": FieldType.integer, "number": FieldType.double}
_UNDATED = "1970-01-01"


def write_geopackage(edition: Edition, target: Path) -> None:
    """Write a GeoPackage with the layers `events` and, where there is a track, `track`."""
    placed(edition)
    package = GeoPackage.create(target, flavor=GPKGFlavors.epsg)
    with closing(package.connection):
        system = SpatialReferenceSystem("WGS 84", "EPSG", _EPSG, WGS84)
        _events(package, system, edition)
        if edition.track:
            _track(package, system, edition)
        # The library writes the moment of writing; the same input shall give the same bytes.
        published = edition.publication.published if edition.publication else _UNDATED
        with package.connection as connection:
            connection.execute("UPDATE gpkg_contents SET last_change = ?", (f"{published}T00:00:00.000Z",))


def _events(package: Any, system: Any, edition: Edition) -> None:
    # SQLite knows no two columns that differ in capitals alone, and "class", "order" have to be quoted.
    names = header()
    fields = [Field(name, _TYPES.get(kinds().get(name, ""), FieldType.text)) for name in names]
    layer = package.create_feature_class("events", system, ShapeType.point, fields=fields, description=CAUTION)
    rows = []
    for row, told in zip(edition.rows, flat_rows(edition), strict=True):
        place = position(row)
        shape = Point(x=place[0], y=place[1], srs_id=_EPSG) if place else None
        rows.append((shape, *(told[name] for name in names)))
    _insert(package, layer, names, rows)
    _set_bounds(package, "events", [place for row in edition.rows if (place := position(row))])


def _track(package: Any, system: Any, edition: Edition) -> None:
    names = ("recordingID", "startMoment", "endMoment")
    fields = [Field(name, FieldType.text) for name in names]
    layer = package.create_feature_class("track", system, ShapeType.multi_linestring, fields=fields)
    rows, places = [], []
    for piece in chain.from_iterable(map(track_pieces, drawn_once(edition.track))):
        way = [(round(fix.longitude, DIGITS), round(fix.latitude, DIGITS)) for fix in piece]
        if lines := cut_at_date_line(way):
            shape = MultiLineString(lines, srs_id=_EPSG)
            first, last = piece[0], piece[-1]
            rows.append((shape, first.recording_id, first.moment, last.moment))
            places += [place for line in lines for place in line]
    _insert(package, layer, names, rows)
    _set_bounds(package, "track", places)


def _insert(package: Any, layer: FeatureClass, names: tuple[str, ...], rows: list[tuple[Any, ...]]) -> None:
    listed = ", ".join(f'"{name}"' for name in (layer.geometry_column_name, *names))
    marks = ", ".join("?" * (len(names) + 1))
    with package.connection as connection:
        connection.executemany(f'INSERT INTO "{layer.name}" ({listed}) VALUES ({marks})', rows)


def _set_bounds(package: Any, layer: str, places: list[tuple[float, float]]) -> None:
    if not places:
        return
    west, south, east, north = bounds(places)
    if west > east:
        # A GeoPackage's box does not go over the date line.
        west, east = -180.0, 180.0
    with package.connection as connection:
        statement = "UPDATE gpkg_contents SET min_x = ?, min_y = ?, max_x = ?, max_y = ? WHERE table_name = ?"
        connection.execute(statement, (west, south, east, north, layer))


GEOPACKAGE = Publisher("geopackage", "layers of events and track for GIS", "events.gpkg", write_geopackage)
