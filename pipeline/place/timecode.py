"""SMPTE time code: labels of frames come in, frame counts and seconds go out, and back. Refuses labels that cannot be.

Drop-frame counting (SMPTE ST 12-1): at 29.97 frames a second the labels ;00 and ;01 of each minute are left out but in
every tenth minute, at 59.94 the labels ;00 to ;03. No frame is dropped, only labels, so that they keep to the clock.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

_LABEL = re.compile(r"(\d{1,2}):(\d{2}):(\d{2})([:;.,])(\d{2,3})")
_NAMED = {23.976: Fraction(24000, 1001), 23.98: Fraction(24000, 1001), 29.97: Fraction(30000, 1001)}
_NAMED |= {47.952: Fraction(48000, 1001), 59.94: Fraction(60000, 1001), 119.88: Fraction(120000, 1001)}
"""Rates as they are commonly rounded, and what they stand for (SMPTE ST 12-1 and ST 12-3)."""
MINUTE, HOUR, DAY = 60, 3600, 86400


@dataclass(frozen=True, slots=True)
class FrameRate:
    """Frames a second, as a fraction, and whether labels are dropped."""

    rate: Fraction
    drop: bool = False

    def __post_init__(self) -> None:
        if not 1 <= self.rate <= 1000:
            raise ValueError(f"{float(self.rate):g} frames a second: 1 to 1000 can be")
        if self.drop and (self.rate.denominator != 1001 or self.nominal % 30):
            raise ValueError("drop-frame labels are for 29.97 and 59.94 frames a second")

    @property
    def nominal(self) -> int:
        """Labels a second: 30 at 29.97."""
        return -(-self.rate.numerator // self.rate.denominator)

    @property
    def dropped(self) -> int:
        """Labels left out in each minute but every tenth."""
        return self.nominal // 15 if self.drop else 0

    @property
    def frames_a_day(self) -> int:
        """Labels there are in 24 hours, after which they begin anew."""
        return DAY * self.nominal - self.dropped * (1440 - 144)

    def frames(self, label: str) -> int:
        """The number of frames before the one with this label, from 00:00:00:00.

        Raises:
            ValueError: no label, or one that this rate does not have.
        """
        match = _LABEL.fullmatch(label.strip())
        if match is None:
            raise ValueError(f"{label!r} is no time code like 15:20:00:00 (drop-frame: 15:20:00;00)")
        hours, minutes, seconds, frame = (int(match[group]) for group in (1, 2, 3, 5))
        if hours > 23 or minutes > 59 or seconds > 59 or frame >= self.nominal:
            raise ValueError(f"{label!r} cannot be at {float(self.rate):.3f} frames a second")
        if seconds == 0 and minutes % 10 and frame < self.dropped:
            raise ValueError(f"{label!r} is a label that drop-frame counting leaves out")
        total = hours * MINUTE + minutes
        count = (total * MINUTE + seconds) * self.nominal + frame
        return count - self.dropped * (total - total // 10)

    def label(self, frames: int) -> str:
        """The label of the frame that comes after so many; begins anew after 24 hours."""
        count = frames % self.frames_a_day
        if self.drop:
            ten = 600 * self.nominal - 9 * self.dropped
            tens, rest = divmod(count, ten)
            first = MINUTE * self.nominal
            later = 0 if rest < first else 1 + (rest - first) // (first - self.dropped)
            count += self.dropped * (9 * tens + later)
        seconds, frame = divmod(count, self.nominal)
        mark = ";" if self.drop else ":"
        return f"{seconds // HOUR:02d}:{seconds // MINUTE % 60:02d}:{seconds % 60:02d}{mark}{frame:02d}"

    def seconds_between(self, first: str, label: str) -> float:
        """Seconds from one label to another that comes after it, across midnight where it is smaller."""
        return float((self.frames(label) - self.frames(first)) % self.frames_a_day / self.rate)


def parse_rate(text: str | float, *, drop: bool = False) -> FrameRate:
    """A frame rate from "30000/1001", "29.97" or 25.

    Raises:
        ValueError: no number, or no rate that can be.
    """
    try:
        exact = Fraction(str(text))
    except (ValueError, ZeroDivisionError) as error:
        raise ValueError(f"{text!r} is no frame rate like 25, 29.97 or 30000/1001") from error
    return FrameRate(_NAMED.get(round(float(exact), 3), exact), drop)


def is_drop(label: str) -> bool:
    """Whether a label is written as drop-frame, with a semicolon (or, as some do, a point) before the frames."""
    match = _LABEL.fullmatch(label.strip())
    return match is not None and match[4] != ":"
