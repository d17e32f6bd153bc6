"""Place: recording times come in, UTC goes out, where the recording's start is known.

Positions and depths need a vehicle's log and stay empty without one: nothing is made up. Refuses a start without a
time zone.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from earwitness.schemas import InputError, Problem


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
