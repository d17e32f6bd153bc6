"""Times as people and programs write them.

In: a short text. Out: seconds, or None.
Refuses: anything that is not wholly a time; minutes and seconds past 59 where a larger unit stands before
them.
"""

from __future__ import annotations

import math
import re

MAX_SECONDS = 3_600_000.0
"""Longest recording believed, 1,000 hours: a time past it is a clock stamp or a count of milliseconds."""

CLOCK = r"(?:([0-9]{1,4}):)?([0-9]{1,3}):([0-9]{1,2})(?:[.,]([0-9]{0,9}))?"
"""h:mm:ss.fff, hours and fraction optional, comma or point; four groups."""

_CLOCK = re.compile(CLOCK)
_NUMBER = re.compile(r"[+-]?(?:[0-9]{1,15}(?:[.,][0-9]{0,15})?|[.,][0-9]{1,15})(?:[eE][+-]?[0-9]{1,2})?")


def read_clock(text: str) -> float | None:
    """Seconds of `h:mm:ss.fff`, `mm:ss`, `m:ss,f` and the like; None when it is no such time.

    Without hours the minutes may pass 59 (a long recording written as 75:10).
    """
    match = _CLOCK.fullmatch(text.strip())
    return None if match is None else clock_seconds(*match.groups())


def clock_seconds(hours: str | None, minutes: str, seconds: str, fraction: str | None) -> float | None:
    """Seconds of the four groups of `CLOCK`; None when minutes or seconds pass 59."""
    if int(seconds) > 59 or (hours is not None and (int(minutes) > 59 or len(minutes) > 2)):
        return None
    whole = int(hours or 0) * 3600 + int(minutes) * 60 + int(seconds)
    return whole + (int(fraction) / 10 ** len(fraction) if fraction else 0.0)


def read_number(text: str) -> float | None:
    """A decimal number (point or comma); None when it is none."""
    cleaned = text.strip()
    return float(cleaned.replace(",", ".")) if _NUMBER.fullmatch(cleaned) else None


def read_time(text: str) -> float | None:
    """Seconds of a clock time or of a number of seconds (a trailing `s` is allowed)."""
    cleaned = text.strip()
    clock = read_clock(cleaned)
    return clock if clock is not None else read_number(cleaned.removesuffix("s"))


def believable(seconds: float) -> bool:
    """Whether a number can be a time inside a recording."""
    return math.isfinite(seconds) and 0.0 <= seconds <= MAX_SECONDS


def to_milliseconds(seconds: float) -> float:
    """Rounded to the millisecond, the precision of every time that leaves this stage."""
    return round(seconds, 3)
