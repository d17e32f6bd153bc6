"""Place: recording times come in, UTC goes out, and with a vehicle's log position, depth and the water's properties.

    recording = read_recording("dive.toml")
    placed = place_rows(rows, recording)

Nothing is made up: without a start there are no dates, without a log no positions and depths. Refuses a start without a
time zone, and descriptions and logs that cannot be what they say.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from earwitness.pipeline.place.clock import Clock
from earwitness.pipeline.place.description import Site
from earwitness.pipeline.place.place import Placed, place_rows
from earwitness.pipeline.place.recording import (
    Person,
    Recording,
    Uncertainty,
    VideoFile,
    match_recordings,
    read_recording,
    read_recordings,
)
from earwitness.pipeline.place.timecode import FrameRate, parse_rate
from earwitness.pipeline.place.trail import TrackPoint, track_points
from earwitness.schemas import InputError, Problem

__all__ = [
    "Clock",
    "FrameRate",
    "Person",
    "Placed",
    "Recording",
    "Site",
    "TrackPoint",
    "Uncertainty",
    "VideoFile",
    "event_date",
    "match_recordings",
    "parse_rate",
    "parse_start",
    "place_rows",
    "read_recording",
    "read_recordings",
    "track_points",
]


def parse_start(text: str) -> datetime:
    """The UTC moment of a recording's first frame from RFC 3339 text ("2031-06-14T08:12:00Z").

    Raises:
        InputError: not a date and time, or no time zone given.
    """
    problem = Problem("--start", 0, f"{text!r} is not a moment in UTC", "like 2031-06-14T08:12:00Z")
    try:
        moment = datetime.fromisoformat(text)
    except ValueError as error:
        raise InputError(problem) from error
    if moment.tzinfo is None:
        raise InputError(problem)
    return moment.astimezone(UTC)


def event_date(start: datetime | None, begin: float, end: float) -> str | None:
    """ISO 8601 interval in UTC of two recording times (seconds), None where the start is not known."""
    if start is None:
        return None
    return f"{_iso(start + timedelta(seconds=begin))}/{_iso(start + timedelta(seconds=end))}"


def _iso(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
