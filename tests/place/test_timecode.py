"""SMPTE time code against published counts, and back and forth."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.place.timecode import FrameRate, is_drop, parse_rate

NTSC = Fraction(30000, 1001)
DROP = FrameRate(NTSC, drop=True)


@pytest.mark.parametrize(
    ("label", "frames"),
    [
        # SMPTE ST 12-1: labels ;00 and ;01 are left out each minute but every tenth; 107,892 frames an hour.
        ("00:00:59;29", 1799),
        ("00:01:00;02", 1800),
        ("00:02:00;02", 3598),
        ("00:09:59;29", 17981),
        ("00:10:00;00", 17982),
        ("01:00:00;00", 107892),
        ("10:00:00;00", 1078920),
        ("23:59:59;29", 2589407),
    ],
)
def test_drop_frame_counts(label: str, frames: int) -> None:
    assert DROP.frames(label) == frames
    assert DROP.label(frames) == label


def test_an_hour_of_drop_frame_is_nearly_an_hour() -> None:
    assert DROP.seconds_between("00:00:00;00", "01:00:00;00") == pytest.approx(3599.9964, abs=1e-4)
    assert parse_rate(29.97).seconds_between("00:00:00:00", "01:00:00:00") == pytest.approx(3603.6)


def test_drop_frame_at_5994_leaves_out_four_labels() -> None:
    rate = parse_rate(59.94, drop=True)
    assert rate.frames("01:00:00;00") == 2 * 107892
    assert rate.frames("00:01:00;04") == 3600


@pytest.mark.parametrize("label", ["00:01:00;00", "00:01:00;01", "11:59:00;01"])
def test_labels_that_are_left_out_are_refused(label: str) -> None:
    with pytest.raises(ValueError, match="leaves out"):
        DROP.frames(label)
    assert FrameRate(NTSC).frames(label) >= 0


@pytest.mark.parametrize("label", ["", "1:2:3", "24:00:00:00", "00:60:00:00", "00:00:00:30", "aa:00:00:00", "00:00:00"])
def test_what_is_no_label_is_refused(label: str) -> None:
    with pytest.raises(ValueError, match=r"time code|cannot be"):
        FrameRate(NTSC).frames(label)


@pytest.mark.parametrize(
    ("text", "rate"),
    [(25, Fraction(25)), ("30000/1001", NTSC), (29.97, NTSC), ("23.976", Fraction(24000, 1001)), (50.0, Fraction(50))],
)
def test_rates_as_they_are_written(text: str | float, rate: Fraction) -> None:
    assert parse_rate(text).rate == rate


@pytest.mark.parametrize("text", ["fast", "30/0", 0, -25, "1e9"])
def test_what_is_no_rate_is_refused(text: str | float) -> None:
    with pytest.raises(ValueError, match="frame"):
        parse_rate(text)


def test_no_drop_frame_at_25() -> None:
    with pytest.raises(ValueError, match="drop-frame"):
        parse_rate(25, drop=True)


def test_midnight_is_crossed() -> None:
    assert DROP.seconds_between("23:59:59;00", "00:00:01;00") == pytest.approx(2, abs=0.01)


def test_a_semicolon_says_drop_frame() -> None:
    assert is_drop("10:00:00;00")
    assert not is_drop("10:00:00:00")


rates = st.sampled_from(
    [parse_rate(r, drop=d) for r, d in [(24, False), (25, False), (29.97, True), (29.97, False), (59.94, True)]]
)


@given(rates, st.integers(0, 10**8))
def test_there_and_back(rate: FrameRate, frames: int) -> None:
    assert rate.frames(rate.label(frames)) == frames % rate.frames_a_day


@given(rates, st.integers(0, 2_000_000))
def test_labels_rise_with_frames(rate: FrameRate, frames: int) -> None:
    assert rate.label(frames) < rate.label(frames + 1)


@given(st.integers(0, 2_589_000))
def test_drop_frame_labels_keep_to_the_clock(frames: int) -> None:
    """Never further off than two labels that are left out, and 2.6 frames more by the end of a day (arithmetic)."""
    hours, minutes, seconds, frame = (int(part) for part in DROP.label(frames).replace(";", ":").split(":"))
    told = hours * 3600 + minutes * 60 + seconds + frame / 30
    assert abs(told - float(frames / NTSC)) < 0.16
