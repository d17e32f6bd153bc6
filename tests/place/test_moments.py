"""Times as logs write them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.place.moments import from_iso, from_number

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def micros(moment: datetime) -> int:
    return (moment - EPOCH) // timedelta(microseconds=1)


def read(text: str, offset: str | None = None) -> int | None:
    told: int | None = from_iso(pl.Series([text]), offset)[0]
    return told


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        # RFC 3339, section 5.8.
        ("1985-04-12T23:20:50.52Z", datetime(1985, 4, 12, 23, 20, 50, 520_000, UTC)),
        ("1996-12-19T16:39:57-08:00", datetime(1996, 12, 20, 0, 39, 57, 0, UTC)),
        ("1990-12-31T23:59:60Z", datetime(1991, 1, 1, 0, 0, 0, 0, UTC)),
        ("1990-12-31T15:59:60-08:00", datetime(1991, 1, 1, 0, 0, 0, 0, UTC)),
        # ISO 8601: basic format, a comma before the fraction, hours alone as offset, seconds left out.
        ("19850412T232050Z", datetime(1985, 4, 12, 23, 20, 50, 0, UTC)),
        ("19850412T232050+0400", datetime(1985, 4, 12, 19, 20, 50, 0, UTC)),
        ("1985-04-12T23:20:50,5+04", datetime(1985, 4, 12, 19, 20, 50, 500_000, UTC)),
        ("1985-04-12T23:20Z", datetime(1985, 4, 12, 23, 20, 0, 0, UTC)),
        # As loggers also write it.
        ("2031/06/14 08:12:00.123456789 UTC", datetime(2031, 6, 14, 8, 12, 0, 123_457, UTC)),
    ],
)
def test_iso_8601(text: str, moment: datetime) -> None:
    assert read(text) == micros(moment)


@pytest.mark.parametrize(
    "text",
    ["", "noon", "2031-02-30T00:00:00Z", "2031-06-14T25:00:00Z", "14/06/2031 08:12:00Z", "2031-06-14", "1944919200"],
)
def test_what_is_no_moment_is_null(text: str) -> None:
    assert read(text) is None


def test_no_zone_needs_a_stated_offset() -> None:
    assert read("2031-06-14T08:12:00") is None
    assert read("2031-06-14T08:12:00", "-07:00") == micros(datetime(2031, 6, 14, 15, 12, tzinfo=UTC))
    assert read("2031-06-14T08:12:00Z", "-07:00") == micros(datetime(2031, 6, 14, 8, 12, tzinfo=UTC))


@given(st.datetimes(datetime(1950, 1, 1), datetime(2099, 12, 31)), st.integers(-14 * 60, 14 * 60))
def test_any_moment_in_any_zone(moment: datetime, minutes: int) -> None:
    here = moment.replace(tzinfo=timezone(timedelta(minutes=minutes)))
    assert read(here.isoformat()) == micros(here)


@given(st.text(max_size=40))
def test_no_text_crashes(text: str) -> None:
    told = read(text, "+00:00")
    assert told is None or isinstance(told, int)


def test_epochs() -> None:
    told = pl.Series([1944919200.25, float("nan"), float("inf"), 1e300, None])
    assert from_number(told, "epoch seconds").to_list() == [1944919200250000, None, None, None, None]
    assert from_number(told * 1000, "epoch milliseconds")[0] == 1944919200250000


def test_forms_may_be_mixed() -> None:
    """Most rows have one form; those that have another are read, too."""
    texts = ["2031-06-14T08:12:00Z"] * 100 + ["2031-06-14T08:12:00.5Z", "20310614T101200+0200", "never", None]
    told = from_iso(pl.Series(texts), None).to_list()
    then = micros(datetime(2031, 6, 14, 8, 12, tzinfo=UTC))
    assert told == [then] * 100 + [then + 500_000, then, None, None]
