"""NMEA 0183 sentences come in, a Log goes out. Sentences whose checksum is missing or wrong are left out and told.

Position: GGA, GLL, RMC (only where they say the fix is good). Date: RMC, ZDA, else the day of the recording's start,
with midnight counted. Heading: HDT, THS. Height of the vehicle above the ground: DBT, DPT (they tell the water below
the transducer). Water temperature: MTW. A sentence without a time has that of the last one with a time. What a logger
wrote before the "$", if it is ISO 8601 with a time zone, is the sentence's time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from hashlib import sha256
from typing import Any

import polars as pl
import pynmea2

from earwitness.pipeline.place.clock import EPOCH
from earwitness.pipeline.place.description import YEARS
from earwitness.pipeline.place.log import Log, LogFile
from earwitness.schemas import Problem

_COLUMNS = ("latitude", "longitude", "heading", "altitude", "temperature")
_HALF_DAY = timedelta(hours=12)


def read_nmea(file: LogFile, start: float | None) -> Log:
    """Read a log of sentences.

    Args:
        file: the log as stated.
        start: UTC of the recording's first frame (s since 1970), whose day counts until a sentence tells a date.

    Raises:
        InputError: the file cannot be read or has no sentence that can be used.
    """
    try:
        content = file.path.read_bytes()
    except OSError as error:
        file.refuse(0, f"cannot be read ({error.strerror})", "NMEA 0183 sentences")
    talk = _Talk(_first_dated(content), EPOCH + timedelta(seconds=start) if start is not None else None)
    for number, line in enumerate(content.decode("ascii", errors="replace").splitlines(), start=1):
        talk.hear(number, line)
    if not talk.rows:
        first, told = min(((lines[0], reason) for reason, lines in talk.faults.items()), default=(0, "there are none"))
        file.refuse(first, f"no sentence can be used: {told}", "NMEA 0183 sentences with times and checksums")
    file = replace(file, sha256=sha256(content).hexdigest(), columns=dict.fromkeys(_COLUMNS, "NMEA 0183"))
    schema = {"time": pl.Int64, "line": pl.Int64} | dict.fromkeys(_COLUMNS, pl.Float64)
    return Log(file, pl.DataFrame(talk.rows, schema=schema), _problems(file, talk.faults))


def _problems(file: LogFile, faults: dict[str, list[int]]) -> list[Problem]:
    return [
        Problem(file.file, lines[0], reason + (f" (the first of {len(lines):,} such lines)" if lines[1:] else ""))
        for reason, lines in faults.items()
    ]


def _parsed(line: str) -> tuple[str, Any]:
    """What stands before a sentence, and the sentence.

    Raises:
        pynmea2.ParseError: none, or its checksum is missing or wrong.
    """
    before, mark, sentence = line.partition("$")
    parse: Callable[..., Any] = pynmea2.parse
    return before.strip(" ,;\t"), parse(mark + sentence.strip(), check=True)


def _first_dated(content: bytes) -> datetime | None:
    """The first moment with a date in the file: sentences before it are of the day it tells, or of the one before."""
    for line in content.decode("ascii", errors="replace").splitlines():
        if "RMC," in line or "ZDA," in line:
            try:
                moment = _dated(_parsed(line)[1])
            except (pynmea2.ParseError, ValueError):
                continue
            if moment is not None:
                return moment
    return None


def _dated(sentence: Any) -> datetime | None:
    if (
        sentence.sentence_type == "RMC"
        and isinstance(sentence.datestamp, date)
        and isinstance(sentence.timestamp, time)
    ):
        return _moment(sentence.datestamp, sentence.timestamp)
    if sentence.sentence_type == "ZDA" and isinstance(sentence.timestamp, time):
        try:
            return _moment(date(int(sentence.year), int(sentence.month), int(sentence.day)), sentence.timestamp)
        except (TypeError, ValueError):
            return None
    return None


def _moment(day: date, clock: time) -> datetime:
    return datetime.combine(day, clock.replace(tzinfo=UTC)).astimezone(UTC)


@dataclass(slots=True)
class _Talk:
    """Sentences heard so far: rows, what could not be used, and the time that stands."""

    first: datetime | None
    start: datetime | None
    rows: list[dict[str, Any]] = field(default_factory=list)
    faults: dict[str, list[int]] = field(default_factory=dict)
    now: datetime | None = None

    def fault(self, number: int, reason: str) -> None:
        self.faults.setdefault(reason, []).append(number)

    def hear(self, number: int, line: str) -> None:
        if not line.strip():
            return
        try:
            written, sentence = _parsed(line)
        except pynmea2.ChecksumError:
            self.fault(number, "the checksum is wrong" if "*" in line else "there is no checksum")
            return
        except pynmea2.SentenceTypeError:
            return  # sentences of other instruments are no fault
        except (pynmea2.ParseError, ValueError):
            self.fault(number, "is no NMEA 0183 sentence")
            return
        kind = getattr(sentence, "sentence_type", "")
        try:
            self._clock(kind, sentence, written)
            values = dict(_values(kind, sentence))
        except (ValueError, TypeError, AttributeError, LookupError, OverflowError):
            self.fault(number, f"the {kind} sentence cannot be read")
            return
        if kind in ("GGA", "GLL", "RMC") and not values:
            self.fault(number, f"the {kind} sentence says that there is no fix")
        if not values:
            return
        if self.now is None:
            self.fault(number, "there is no time yet")
        elif not YEARS[0] <= self.now.year < YEARS[1]:
            self.fault(number, "is of an impossible date")
        else:
            micros = round((self.now - EPOCH) / timedelta(microseconds=1))
            self.rows.append({"time": micros, "line": number} | dict.fromkeys(_COLUMNS) | values)

    def _clock(self, kind: str, sentence: Any, written: str) -> None:
        """Bring the time up to what the sentence, or the logger before it, says."""
        if written:
            try:
                moment = datetime.fromisoformat(written)
            except ValueError:
                moment = None
            if moment is not None and moment.tzinfo is not None:
                self.now = moment.astimezone(UTC)
                return
        dated = _dated(sentence)
        clock = getattr(sentence, "timestamp", None)
        if dated is not None:
            self.now = dated
        elif kind in ("GGA", "GLL", "RMC", "ZDA") and isinstance(clock, time):
            near = self.now or self.first or self.start
            if near is None:
                return
            # The day on which this time of day is nearest to what we know: midnight comes of itself.
            moment = _moment(near.date(), clock)
            if moment - near > _HALF_DAY:
                moment -= timedelta(days=1)
            elif near - moment > _HALF_DAY:
                moment += timedelta(days=1)
            self.now = moment


def _values(kind: str, sentence: Any) -> Iterator[tuple[str, float]]:
    """The quantities a sentence tells."""
    good = int(sentence.gps_qual or 0) > 0 if kind == "GGA" else getattr(sentence, "status", "") == "A"
    if kind in ("GGA", "GLL", "RMC") and good and sentence.lat and sentence.lon:
        yield "latitude", float(sentence.latitude)
        yield "longitude", float(sentence.longitude)
    elif kind in ("HDT", "THS") and sentence.data[0]:
        yield "heading", float(sentence.data[0])
    elif kind == "DPT" and sentence.data[0]:
        yield "altitude", float(sentence.data[0])
    elif kind == "DBT" and sentence.data[2]:
        yield "altitude", float(sentence.data[2])
    elif kind == "MTW" and sentence.data[0]:
        yield "temperature", float(sentence.data[0])
