"""Numbers as they are said or written down: "seven hundred and eighty-two", "one three nine zero", "1 3 9 0", "8.4"."""

from __future__ import annotations

import re
from dataclasses import dataclass

_UNITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
_SMALL = {word: value for value, word in enumerate([*_UNITS, *_TEENS])}
_SMALL["oh"] = 0
_TENS = {
    word: 10 * value
    for value, word in enumerate(
        ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], start=2
    )
}
_SCALES = {"hundred": 100, "thousand": 1000}
_DIGITS = re.compile(r"^\d{1,3}(?:,\d{3}){1,3}$|^\d{1,9}(?:\.\d{1,9})?$")
_LONGEST_SPELT = 8
"""Numbers side by side that may be one; more is counting aloud. No quantity on a dive has more digits."""


@dataclass(frozen=True, slots=True)
class SpokenNumber:
    """Words [first, last) say `value`.

    Args:
        spelt: it was said in pieces, digit by digit or pair by pair ("three three zero", "seventeen eighty-eight").
        pieces: the pieces, in order; one where it was said as one number.
    """

    first: int
    last: int
    value: float
    spelt: bool = False
    pieces: tuple[int, ...] = ()


def number_at(words: list[str], first: int) -> SpokenNumber | None:
    """The longest number that begins at word `first`, None where none does."""
    if first >= len(words):
        return None
    groups = _groups(words, first)
    if not groups:
        if not _DIGITS.match(words[first]):
            return None
        return SpokenNumber(first, first + 1, float(words[first].replace(",", "")))
    joined = _joined([value for value, _ in groups]) if len(groups) <= _LONGEST_SPELT else None
    # What can't be put side by side is a number and the beginning of another: "at ten four crabs".
    said, last = (joined, groups[-1][1]) if joined is not None else groups[0]
    spelt = joined is not None and len(groups) > 1
    pieces = tuple(value for value, _ in groups) if spelt else (said,)
    decimals, last = _decimals(words, last)
    return SpokenNumber(first, last, float(said) + decimals, spelt, pieces)


def _decimals(words: list[str], point: int) -> tuple[float, int]:
    """What stands behind a spoken point, and where it ends: "point oh five"."""
    at, digits = point + 1, ""
    if point >= len(words) or words[point] != "point":
        return 0.0, point
    while at < len(words) and len(digits) < _LONGEST_SPELT and (digit := _atom(words[at])) is not None and digit < 10:
        digits += str(digit)
        at += 1
    return (float(f"0.{digits}"), at) if digits else (0.0, point)


def _atom(word: str) -> int | None:
    """A word that says a number below twenty, or one or two figures as recognisers write them."""
    if word.isascii() and word.isdecimal() and len(word) <= 2:
        return int(word)
    return _SMALL.get(word)


def _groups(words: list[str], first: int) -> list[tuple[int, int]]:
    """Numbers said one after the other ("seventeen", "eighty-eight"), each with where it ends."""
    groups: list[tuple[int, int]] = []
    at = first
    while at < len(words) and len(groups) <= _LONGEST_SPELT:
        value, after = _cardinal(words, at)
        if after == at:
            break
        groups.append((value, after))
        at = after
    return groups


def _cardinal(words: list[str], first: int) -> tuple[int, int]:
    """One cardinal number ("seven hundred and eighty-two", "a hundred") and where it ends."""
    if words[first] == "a" and first + 1 < len(words) and words[first + 1] in _SCALES:
        value, after = _cardinal(["one", *words[first + 1 : first + 12]], 0)
        return value, first + after
    figures = words[first].isascii() and words[first].isdecimal()
    if figures and (first + 1 == len(words) or words[first + 1] not in _SCALES):
        # Two figures are a piece that others may stand beside; "045" and "1390" are whole as they are.
        return (int(words[first]), first + 1) if len(words[first]) <= 2 else (0, first)
    total = current = 0
    at = first
    # What may still follow: after "eighty" a unit, after a unit nothing but a scale.
    room = 100
    whole, whole_at = 0, first
    while at < len(words):
        word = words[at]
        small = _atom(word)
        if word in _TENS and room > 10:
            current, room = current + _TENS[word], 10
        elif small is not None and (room > 10 or (room == 10 and 0 < small < 10)):
            current, room = current + small, 1
        elif word in _SCALES and at > first and current:
            if (total and word == "thousand") or (current >= 100 and word == "hundred"):
                # "Three hundred, four hundred": the second begins a number of its own.
                return whole, whole_at
            total, current = (total + current * 1000, 0) if word == "thousand" else (total, current * 100)
            room = 100
            whole, whole_at = total + current, at + 1
        elif word == "and" and room == 100 and at > first and at + 1 < len(words):
            if _atom(words[at + 1]) is None and words[at + 1] not in _TENS:
                break
        else:
            break
        at += 1
    return total + current, at


def _joined(groups: list[int]) -> int | None:
    """Digits or pairs said one by one, put side by side: 3, 3, 0 is 330; 17, 88 is 1788; 1, 3, 15 is 1315."""
    if len(groups) == 1:
        return groups[0]
    if all(group < 10 for group in groups[:-1]) and groups[-1] < 100:
        return int("".join(map(str, groups)))
    pairs = re.sub(r"\b0 (?=\d\b)", "0", " ".join(map(str, groups))).split()
    if groups[0] < 100 and len(pairs) == 2 and len(pairs[1]) == 2:
        return int("".join(pairs))
    return None
