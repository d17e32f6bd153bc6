"""GeoJSON (RFC 7946): events as points, the vehicle's track as lines. Depths are properties, not third coordinates.

Rows without a position become features without a geometry, as the RFC allows; refuses a run in which no row has one.
"""

from __future__ import annotations

import json
from itertools import chain
from pathlib import Path
from typing import Any

from earwitness.pipeline.publish.columns import told_row
from earwitness.pipeline.publish.lines import DIGITS, Position, bounds, cut_at_date_line, track_pieces
from earwitness.pipeline.publish.publisher import Edition, Fix, Publisher, Row
from earwitness.pipeline.publish.statements import CAUTION, DRAFT_STATEMENT
from earwitness.pipeline.publish.track import drawn_once
from earwitness.schemas import InputError, Problem


def placed(edition: Edition) -> list[Row]:
    """The rows that have a position.

    Raises:
        InputError: none has.
    """
    rows = [row for row in edition.rows if position(row)]
    if not rows:
        file = str(edition.folder / "events.jsonl")
        remedy = "a run drafted with --recording FILE.toml, whose vehicle log has fixes in the time of the recording"
        raise InputError(Problem(file, 0, "no row has a position, so there is nothing to put on a map", remedy))
    return rows


def position(row: Row) -> Position | None:
    """Longitude and latitude of a row."""
    if row["decimalLatitude"] is None or row["decimalLongitude"] is None:
        return None
    return round(row["decimalLongitude"], DIGITS), round(row["decimalLatitude"], DIGITS)


def write_geojson(edition: Edition, target: Path) -> None:
    """Write a FeatureCollection."""
    places = [place for row in placed(edition) if (place := position(row))]
    features = [_event(row, edition) for row in edition.rows]
    for piece in chain.from_iterable(map(track_pieces, drawn_once(edition.track))):
        if lines := cut_at_date_line(_way(piece)):
            features.append(_track(piece, lines))
            places += [place for line in lines for place in line]
    metadata = edition.publication
    told = {
        "type": "FeatureCollection",
        "bbox": list(bounds(places)),
        "features": features,
        "statement": f"{DRAFT_STATEMENT}, except where 'statement' says that a person has reviewed the row",
        "caution": CAUTION,
        "license": metadata.licence.address if metadata else None,
        "rightsHolder": metadata.rights_holder if metadata else None,
    }
    target.write_text(json.dumps(told, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")


def _way(piece: list[Fix]) -> list[Position]:
    return [(round(fix.longitude, DIGITS), round(fix.latitude, DIGITS)) for fix in piece]


def _event(row: Row, edition: Edition) -> dict[str, Any]:
    place = position(row)
    told = told_row(row, edition)
    hidden = ("decimalLatitude", "decimalLongitude")
    return {
        "type": "Feature",
        "id": row["eventID"],
        "geometry": {"type": "Point", "coordinates": list(place)} if place else None,
        "properties": {key: value for key, value in told.items() if value not in (None, []) and key not in hidden},
    }


def _track(piece: list[Fix], lines: list[list[Position]]) -> dict[str, Any]:
    one = len(lines) == 1
    told: dict[str, Any] = {"recordKind": "track", "recordingID": piece[0].recording_id}
    moments = [fix.moment for fix in (piece[0], piece[-1]) if fix.moment]
    depths = [fix.depth for fix in piece if fix.depth is not None]
    if len(moments) > 1:
        told["eventDate"] = "/".join(moments)
    if depths:
        told |= {"minimumDepthInMeters": min(depths), "maximumDepthInMeters": max(depths)}
    return {
        "type": "Feature",
        "geometry": {
            "type": "LineString" if one else "MultiLineString",
            "coordinates": [list(place) for place in lines[0]] if one else [[list(p) for p in line] for line in lines],
        },
        "properties": told,
    }


GEOJSON = Publisher("geojson", "events and track for maps (RFC 7946)", "events.geojson", write_geojson)
