"""Numbers, times and untrusted text as the report shows them. In: values of event rows. Out: short plain text."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime

_UNPRINTABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")


def clean(value: object) -> str:
    """Text without what no page or picture may hold: control characters, half surrogates; on one line, "" for None."""
    return "" if value is None else " ".join(_UNPRINTABLE.sub("\ufffd", str(value)).split())


def clipped(text: str, size: int) -> str:
    """Text of at most `size` bytes in UTF-8, cut between characters, with "…" where it was cut."""
    data = text.encode()
    return text if len(data) <= size else data[: max(size - 3, 0)].decode(errors="ignore").rstrip() + "…"


def clock(seconds: float) -> str:
    """Recording time as h:mm:ss, rounded down as a player shows it."""
    whole = math.floor(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def utc(text: object) -> datetime | None:
    """The moment at which an ISO 8601 interval (or moment) of an event begins; None where it is none."""
    try:
        moment = datetime.fromisoformat(str(text).split("/", 1)[0]) if text else None
    except ValueError:
        return None
    return moment.astimezone(UTC) if moment and moment.tzinfo else None


def number(value: float, places: int = 0) -> str:
    """A number with thousands set apart, without an empty fraction."""
    text = f"{value:,.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def count(number_of: int, one: str, many: str | None = None) -> str:
    """A number with its noun: "1 event", "2 events"."""
    return f"{number_of:,} {one if number_of == 1 else many or one + 's'}"


def metres(low: float | None, high: float | None) -> str:
    """A depth, or a range of depths; "" where there is none."""
    ends = sorted(round(end) for end in (low, high) if end is not None)
    if not ends:
        return ""
    first, last = number(ends[0]), number(ends[-1])
    return f"{first} m" if first == last else f"{first}–{last} m"


def degrees(value: float, axis: str, places: int = 3) -> str:
    """A coordinate in degrees and decimal minutes, as charts have it; `axis` is "latitude" or "longitude"."""
    minutes = round(abs(value) * 60, places)
    side = ("N" if value >= 0 else "S") if axis == "latitude" else ("E" if value >= 0 else "W")
    return f"{int(minutes // 60)}° {minutes % 60:0{places + 3 if places else 2}.{places}f}′ {side}"
