"""Times as logs write them: text, numbers or Parquet's own times come in, microseconds since 1970 (UTC) go out.

ISO 8601 in its extended and basic forms, with T or a space; seconds or milliseconds since 1970. A time that bears no
zone is taken only with a stated offset. What cannot be read is null, and the caller says so.
"""

from __future__ import annotations

from datetime import datetime

import polars as pl

_ISO = (
    r"^\s*(\d{4})[-/]?(\d{2})[-/]?(\d{2})[Tt\s]\s*(\d{2}):?(\d{2})(?::?(\d{2})(?:[.,](\d{1,9})\d*)?)?"
    r"\s*([Zz]|UTC|[+-]\d{2}(?::?\d{2})?)?\s*$"
)
_TRIED = 64
FACTORS = {"epoch seconds": 1e6, "epoch milliseconds": 1e3}
"""Microseconds of one, by what a description calls it."""


def from_iso(text: pl.Series, offset: str | None) -> pl.Series:
    """Microseconds of ISO 8601 text; null where it is none, or bears no zone and no offset is stated.

    The form that most rows have is read at once by its pattern, and only the others by their parts.
    """
    quick = _quick(text, offset)
    left = quick.is_null() & text.is_not_null()
    if not left.any():
        return quick
    return quick.scatter(left.arg_true(), _by_parts(text.filter(left), offset))


def _quick(text: pl.Series, offset: str | None) -> pl.Series:
    """By the pattern that reads most of the first rows."""
    zones = {"Z": 0, "+00:00": 0} | ({"": offset_minutes(offset)} if offset else {})
    patterns = {f"%Y-%m-%d{mark}%H:%M:%S%.f{zone}": east for zone, east in zones.items() for mark in "T "}

    def read(given: pl.Series, pattern: str) -> pl.Series:
        return given.str.strptime(pl.Datetime("us"), pattern, strict=False).dt.timestamp("us")

    best = min(patterns, key=lambda pattern: read(text.head(_TRIED), pattern).null_count())
    return read(text, best) - patterns[best] * 60_000_000


def _by_parts(given: pl.Series, offset: str | None) -> pl.Series:
    text = pl.col("parts")
    part = {number: text.struct.field(str(number)) for number in range(1, 9)}
    day = pl.concat_str([part[1], part[2], part[3]], separator="-")
    second = part[6].fill_null("00")
    # A leap second (RFC 3339 allows 60) is the second after the 59th.
    leap = second == "60"
    clock = pl.concat_str([part[4], part[5], pl.when(leap).then(pl.lit("59")).otherwise(second)], separator=":")
    moment = pl.concat_str([day, clock], separator=" ")
    whole = moment.str.strptime(pl.Datetime("us"), "%Y-%m-%d %H:%M:%S", strict=False)
    fraction = pl.concat_str([pl.lit("0."), part[7].fill_null("0")]).cast(pl.Float64)
    zone = part[8].fill_null(offset) if offset else part[8]
    minutes = _zone_minutes(zone)
    micros = whole.dt.timestamp("us") + pl.when(leap).then(1_000_000).otherwise(0)
    micros = micros + (fraction * 1e6).round().cast(pl.Int64) - minutes * 60_000_000
    parts = pl.DataFrame({"parts": given.str.extract_groups(_ISO)})
    return parts.select(micros.alias("time"))["time"]


def _zone_minutes(zone: pl.Expr) -> pl.Expr:
    sign = pl.when(zone.str.starts_with("-")).then(-1).otherwise(1)
    digits = zone.str.replace(":", "").str.strip_chars("+-")
    hours = digits.str.slice(0, 2).cast(pl.Int64, strict=False)
    minutes = digits.str.slice(2, 2).cast(pl.Int64, strict=False).fill_null(0)
    utc = zone.str.to_uppercase().is_in(["Z", "UTC"])
    return pl.when(utc).then(0).otherwise(sign * (hours * 60 + minutes))


def from_number(number: pl.Series, time_format: str) -> pl.Series:
    """Microseconds of seconds or milliseconds since 1970; null beyond what can be a date."""
    micros = number * FACTORS[time_format]
    possible = (micros.is_finite() & (micros.abs() < 9e18)).fill_null(False)
    return micros.set(~possible, None).round().cast(pl.Int64, strict=False)


def offset_minutes(offset: str) -> int:
    """Minutes east of UTC of "+05:30"."""
    sign = -1 if offset.startswith("-") else 1
    return sign * (int(offset[1:3]) * 60 + int(offset[4:6]))


def year_limits(years: tuple[int, int]) -> tuple[int, int]:
    """Microseconds of the beginning of the first year and of the one after the last."""
    first, after = (datetime.fromisoformat(f"{year}-01-01T00:00:00+00:00").timestamp() for year in years)
    return round(first * 1e6), round(after * 1e6)


def bears_no_zone(text: pl.Expr) -> pl.Expr:
    """Whether text is an ISO 8601 date and time without a zone."""
    return text.str.contains(_ISO) & text.str.extract(_ISO, 8).is_null()


def looks_numeric(text: pl.Expr) -> pl.Expr:
    """Whether text is a plain number, as of an epoch."""
    return text.str.contains(r"^\s*-?\d{5,}(?:\.\d*)?\s*$")
