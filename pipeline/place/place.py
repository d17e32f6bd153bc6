"""Event rows and their recording come in; the same rows with date, position, depth and water come out.

A row's position and water are those of the vehicle at startTime; its depths are the least and the largest from
startTime to endTime. Refuses logs of which none is of the recording's time, and depths in another unit than stated.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from earwitness.pipeline.place.log import isos, quantities
from earwitness.pipeline.place.lookup import GAP, INTERPOLATED, NEAREST, any_between, extremes, look_up
from earwitness.pipeline.place.overlap import check_overlap
from earwitness.pipeline.place.recording import Recording
from earwitness.pipeline.place.spoken import compare_spoken
from earwitness.pipeline.place.timeline import Timeline, lay_out
from earwitness.pipeline.place.tracks import Track
from earwitness.pipeline.place.uncertainty import radii
from earwitness.schemas import Problem

Row = dict[str, Any]
_WATER = {
    "temperature": "waterTemperatureInCelsius",
    "salinity": "practicalSalinity",
    "oxygen": "dissolvedOxygen",
    "heading": "vehicleHeadingInDegrees",
    "altitude": "vehicleAltitudeInMeters",
}
"""The column of each quantity that is simply looked up."""
_WORST = (INTERPOLATED, NEAREST)


@dataclass(frozen=True, slots=True)
class Placed:
    """Rows with their places, in the same order, and what could not be used or does not agree."""

    rows: list[Row]
    problems: tuple[Problem, ...]


def place_rows(rows: Sequence[Mapping[str, Any]], recording: Recording) -> Placed:
    """Give event rows of one recording their dates and places.

    Args:
        rows: event rows (the schema's columns); they are not changed.
        recording: what is known of the recording (see `read_recording`). Without a clock rows stay as they are.

    Raises:
        InputError: no log is of the recording's time, or depths are in another unit than stated.
    """
    problems = list(recording.problems)
    if recording.clock is None:
        return Placed([dict(row) for row in rows], tuple(problems))
    problems += check_overlap(rows, recording)
    line = lay_out(rows, recording.clock)
    flags = [
        [text for text, there in (("clock corrected", corrected), ("cut", cut)) if there]
        for corrected, cut in zip(line.corrected, line.cut, strict=True)
    ]
    placed = [
        dict(row) | {"eventDate": f"{begin}/{end}"}
        for row, begin, end in zip(rows, isos(line.starts["time"]), isos(line.ends["time"]), strict=True)
    ]
    if recording.tracks and placed:
        _join(placed, flags, line, recording)
        log = next((track.log for track in recording.tracks if track.quantity == "depth"), None)
        if log is not None:
            differ, told = compare_spoken(placed, recording.spoken_depth, log, recording.path)
            problems += told
            for number, flag in differ.items():
                flags[number].append(flag)
    for row, own in zip(placed, flags, strict=True):
        row["placeFlags"] = list(dict.fromkeys(own))
    return Placed(placed, tuple(problems))


def _join(rows: list[Row], flags: list[list[str]], line: Timeline, recording: Recording) -> None:
    found: dict[str, list[Row]] = {}
    for track in recording.tracks:
        told = _position(track, line, rows, recording) if track.quantity == "position" else _single(track, line)
        before = found.get(track.quantity)
        # Where an earlier log has a gap, the next one is asked.
        found[track.quantity] = (
            told if before is None else [b if b["method"] != GAP else t for b, t in zip(before, told, strict=True)]
        )
    for number, row in enumerate(rows):
        _write(row, flags[number], {quantity: told[number] for quantity, told in found.items()})


def _single(track: Track, line: Timeline) -> list[Row]:
    """What a track of one value says of each event."""
    begin = look_up(track, line.starts)
    told = begin.to_dicts()
    if track.quantity == "depth":
        _depths(track, line, told)
    return _marked(track, line, told)


def _depths(track: Track, line: Timeline, told: list[Row]) -> None:
    """Add the least and the largest depth of each event's interval."""
    low = np.array([row["value"] for row in told], dtype=np.float64)
    end = look_up(track, line.ends)["value"].cast(float).to_numpy(writable=True)
    low, high = np.fmin(low, end), np.fmax(low, end)
    least, largest = extremes(track.fixes["time"].to_numpy(), track.fixes["value"].to_numpy(), line.lows, line.highs)
    np.fmin.at(low, line.rows, least)
    np.fmax.at(high, line.rows, largest)
    first = _first_fix(track, line, len(told))
    for number, row in enumerate(told):
        known = not np.isnan(low[number])
        row |= (
            {"least": float(low[number]), "largest": float(high[number])} if known else {"least": None, "largest": None}
        )
        if known and row["method"] == GAP:  # no fix near the beginning, but later in the event
            row |= {"method": NEAREST, "gap": first[number], "value": row["least"]}


def _first_fix(track: Track, line: Timeline, size: int) -> list[float]:
    """Seconds from each event's beginning to the first fix after it."""
    times = track.fixes["time"].to_numpy()
    begins = line.starts["time"].to_numpy()
    after = np.minimum(np.searchsorted(times, begins, "left"), len(times) - 1)
    seconds: list[float] = (np.abs(times[after] - begins) / 1e6).tolist()
    return seconds[:size]


def _position(track: Track, line: Timeline, rows: Sequence[Row], recording: Recording) -> list[Row]:
    begin, end = look_up(track, line.starts), look_up(track, line.ends)
    doubt = [float(row.get("timeUncertainty") or 0.0) for row in rows]
    told = begin.to_dicts()
    for row, radius in zip(told, radii(recording.uncertainty, track, line, begin, end, doubt), strict=True):
        row["radius"] = radius
    return _marked(track, line, told)


def _marked(track: Track, line: Timeline, told: list[Row]) -> list[Row]:
    """Whether a spike lies in an event or between the fixes that were used, and what else to say of the value."""
    begins, ends = line.starts["time"].to_list(), line.ends["time"].to_list()
    low = np.array([min(row["first"] or b, b) for row, b in zip(told, begins, strict=True)], dtype=np.int64)
    high = np.array([max(row["last"] or e, e) for row, e in zip(told, ends, strict=True)], dtype=np.int64)
    spiked = any_between(track.spikes, low, high)
    for row, spike in zip(told, spiked.tolist(), strict=True):
        row |= {"spike": spike, "derived": track.derived, "unit": track.log.units.get(track.quantity)}
    return told


def _write(row: Row, flags: list[str], told: Mapping[str, Row]) -> None:
    """Put what was found into the row's columns, and what is to be said of it into its flags."""
    place, depth = told.get("position"), told.get("depth")
    if place and place["method"] != GAP:
        row |= {
            "decimalLatitude": _round(place["latitude"], "latitude"),
            "decimalLongitude": _round((place["longitude"] + 180) % 360 - 180, "longitude"),
            "coordinateUncertaintyInMeters": place["radius"],
        }
    if depth and depth["method"] != GAP:
        # A gauge that was zeroed badly shows a little air as negative depth.
        row |= {
            "minimumDepthInMeters": _round(max(depth["least"], 0.0), "depth"),
            "maximumDepthInMeters": _round(max(depth["largest"], 0.0), "depth"),
        }
    for quantity, column in _WATER.items():
        own = told.get(quantity)
        if own and own["method"] != GAP:
            value = own["value"] % 360 if quantity == "heading" else own["value"]
            row[column] = _round(value, quantity)
    if row["dissolvedOxygen"] is not None:
        row["dissolvedOxygenUnit"] = told["oxygen"]["unit"]
    _method(row, flags, told)
    for quantity, own in told.items():
        if own["derived"] and own["method"] != GAP:
            flags.append(own["derived"])
        if own["spike"]:
            flags.append("spike")
        if own["crossed"]:
            flags.append("cut")
        if quantity in _WATER and own["method"] == NEAREST:
            flags.append(f"{quantity}: {NEAREST}")


def _method(row: Row, flags: list[str], told: Mapping[str, Row]) -> None:
    """placeMethod is the weaker of position's and depth's; where only one was had, the other is flagged."""
    ways = {quantity: told[quantity] for quantity in ("position", "depth") if quantity in told}
    had = [way for way in ways.values() if way["method"] != GAP]
    if not ways:
        return
    row["placeMethod"] = max((way["method"] for way in had), key=_WORST.index) if had else GAP
    row["placeGapSeconds"] = round(max(way["gap"] for way in had), 3) if had else None
    for quantity, way in ways.items():
        if had and way["method"] != row["placeMethod"]:
            flags.append(f"{quantity}: {way['method']}")


def _round(value: float, quantity: str) -> float:
    return round(float(value), quantities()[quantity].decimals)
