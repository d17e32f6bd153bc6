"""Numbers as they are said."""

from __future__ import annotations

import re

import inflect
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.settle.numbers import number_at

ENGLISH = inflect.engine()


def words(text: str) -> list[str]:
    return re.sub(r"[-,](?!\d)", " ", text).split()


@pytest.mark.parametrize(
    ("said", "value", "spelt"),
    [
        ("0", 0, False),
        ("27", 27, False),
        ("1390", 1390, False),
        ("1,390", 1390, False),
        ("8.4", 8.4, False),
        ("zero", 0, False),
        ("nineteen", 19, False),
        ("eighty-two", 82, False),
        ("seven hundred and eighty-two", 782, False),
        ("seven hundred eighty two", 782, False),
        ("two thousand and six", 2006, False),
        ("twelve hundred", 1200, False),
        ("eighteen hundred and twelve", 1812, False),
        ("one thousand two hundred and thirty-four", 1234, False),
        ("three point nine", 3.9, False),
        ("two point oh five", 2.05, False),
        ("zero point five", 0.5, False),
        # Digit by digit, and pair by pair.
        ("one three nine zero", 1390, True),
        ("zero four five", 45, True),
        ("oh four five", 45, True),
        ("seventeen eighty-eight", 1788, True),
        ("thirty-one forty-two", 3142, True),
        ("nineteen oh six", 1906, True),
        ("two ten", 210, True),
        ("seven eighty-two", 782, True),
        ("six seventy-two point five", 672.5, True),
    ],
)
def test_number(said: str, value: float, spelt: bool) -> None:
    number = number_at(words(said), 0)
    assert number is not None
    assert number.value == pytest.approx(value)
    assert (number.first, number.last, number.spelt) == (0, len(words(said)), spelt)


@pytest.mark.parametrize(
    ("said", "value", "last"),
    [
        ("twenty crabs", 20, 1),
        ("one hundred and some", 100, 2),
        ("seven and a half", 7, 1),
        ("two and three", 2, 1),
        ("three point out", 3, 1),
        # Two numbers, one after the other.
        ("three hundred four hundred", 300, 2),
        ("two hundred and two hundred", 200, 2),
        ("two thousand three thousand", 2000, 2),
        ("ten four", 10, 1),
        ("twenty two hundred metres", 2200, 3),
    ],
)
def test_where_a_number_ends(said: str, value: float, last: int) -> None:
    number = number_at(words(said), 0)
    assert number is not None
    assert (number.value, number.last) == (value, last)


@pytest.mark.parametrize("said", ["", "crab", "hundred", "and two", "point five", "12,34", "3.5.1", "x2"])
def test_no_number(said: str) -> None:
    assert number_at(words(said), 0) is None


def test_a_number_is_read_from_where_it_begins() -> None:
    said = words("heading two seven zero and three crabs")
    assert number_at(said, 0) is None
    number = number_at(said, 1)
    assert number is not None
    assert (number.first, number.last, number.value) == (1, 4, 270)
    assert number_at(said, 99) is None


@given(value=st.integers(0, 99_999), andword=st.sampled_from(["and", ""]), before=st.integers(0, 3))
def test_every_whole_number_in_words_is_read_back(value: int, andword: str, before: int) -> None:
    """Reference: `number_to_words` of the inflect library."""
    said = ["crab"] * before + words(ENGLISH.number_to_words(value, andword=andword))  # type: ignore[arg-type]
    number = number_at([*said, "metres"], before)
    assert number is not None
    assert (number.value, number.last, number.spelt) == (value, len(said), False)


@given(value=st.integers(0, 9999), decimals=st.text("0123456789", min_size=1, max_size=3))
def test_decimals_are_read_digit_by_digit(value: int, decimals: str) -> None:
    digits = " ".join(ENGLISH.number_to_words(digit) for digit in decimals)  # type: ignore[arg-type]
    said = words(f"{ENGLISH.number_to_words(value)} point {digits}")  # type: ignore[arg-type]
    number = number_at(said, 0)
    assert number is not None
    assert number.last == len(said)
    assert number.value == pytest.approx(float(f"{value}.{decimals}"))


@given(digits=st.text("0123456789", min_size=2, max_size=5))
def test_digits_said_one_by_one(digits: str) -> None:
    said = words(" ".join(ENGLISH.number_to_words(digit) for digit in digits))  # type: ignore[arg-type]
    number = number_at(said, 0)
    assert number is not None
    assert (number.value, number.last, number.spelt) == (int(digits), len(said), True)


@given(
    st.lists(
        st.sampled_from(
            [
                "zero",
                "oh",
                "two",
                "nine",
                "ten",
                "nineteen",
                "twenty",
                "ninety",
                "hundred",
                "thousand",
                "and",
                "point",
                "7",
                "12",
            ]
        )
    )
)
def test_any_run_of_number_words_is_read_forward(said: list[str]) -> None:
    for first in range(len(said)):
        number = number_at(said, first)
        if number is not None:
            assert first < number.last <= len(said)
            assert number.value >= 0
