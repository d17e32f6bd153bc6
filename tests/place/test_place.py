"""Recording times to UTC."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.place import event_date, parse_start
from earwitness.schemas import InputError


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        # RFC 3339, section 5.8, examples.
        ("1985-04-12T23:20:50.52Z", datetime(1985, 4, 12, 23, 20, 50, 520_000, UTC)),
        ("1996-12-19T16:39:57-08:00", datetime(1996, 12, 20, 0, 39, 57, 0, UTC)),
        ("1937-01-01T12:00:27.87+00:20", datetime(1937, 1, 1, 11, 40, 27, 870_000, UTC)),
    ],
)
def test_rfc_3339_examples(text: str, moment: datetime) -> None:
    assert parse_start(text) == moment


@pytest.mark.parametrize("text", ["", "yesterday", "2031-06-14", "2031-06-14T08:12:00", "2031-13-01T00:00:00Z"])
def test_what_is_no_moment_in_utc_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="--start"):
        parse_start(text)


def test_no_start_no_date() -> None:
    assert event_date(None, 1.0, 2.0) is None


@given(st.datetimes(datetime(1960, 1, 1), datetime(2100, 1, 1)), st.integers(0, 10**8), st.integers(0, 10**7))
def test_dates_lie_where_the_seconds_say(start: datetime, begin_ms: int, length_ms: int) -> None:
    start = start.replace(microsecond=0, tzinfo=UTC)
    begin, end = begin_ms / 1000, (begin_ms + length_ms) / 1000
    interval = event_date(start, begin, end)
    assert interval is not None
    first, last = (datetime.fromisoformat(part) for part in interval.split("/"))
    assert abs(first - start - timedelta(milliseconds=begin_ms)) <= timedelta(milliseconds=1)
    assert abs(last - first - timedelta(milliseconds=length_ms)) <= timedelta(milliseconds=1)
