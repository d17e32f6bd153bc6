"""Numbers as they are said: "seven hundred and eighty-two", "one three nine zero", "seventeen eighty-eight", "8.4"."""

from __future__ import annotations

import re
from dataclasses import dataclass

_SMALL = {
    word: value
    for value, word in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
}
_SMALL["oh"] = 0
_TENS = {
    word: 10 * value
    for value, word in enumerate(
        ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], start=2
    )
}
_SCALES = {"hundred": 100, "thousand": 1000}
_DIGITS = re.compile(r"^\d{1,3}(?:,\d{3})+$|^\d+(?:\.\d+)?$")


@dataclass(frozen=True, slots=True)
class SpokenNumber:
    """Words [first, last) say `value`; `spelt` where it was said digit by digit ("three three zero")."""

    first: int
    last: int
    value: float
    spelt: bool = False


def number_at(words: list[str], first: int) -> SpokenNumber | None:
    """The longest number that begins at word `first`, None where none does."""
    if first >= len(words):
        return None
    if _DIGITS.match(words[first]):
        return SpokenNumber(first, first + 1, float(words[first].replace(",", "")))
    groups, last = _groups(words, first)
    if not groups:
        return None
    value = float(_joined(groups))
    if last + 1 < len(words) and words[last] == "point" and words[last + 1] in _SMALL:
        decimals = ""
        last += 1
        while last < len(words) and 0 <= _SMALL.get(words[last], -1) <= 9:
            decimals += str(_SMALL[words[last]])
            last += 1
        value += float(f"0.{decimals}") if decimals else 0.0
    return SpokenNumber(first, last, value, len(groups) > 1)


def _groups(words: list[str], first: int) -> tuple[list[int], int]:
    """Numbers said one after the other ("seventeen", "eighty-eight"), and where they end."""
    groups: list[int] = []
    at = first
    while at < len(words):
        value, after = _cardinal(words, at)
        if after == at:
            break
        groups.append(value)
        at = after
    return groups, at


def _cardinal(words: list[str], first: int) -> tuple[int, int]:
    """One cardinal number ("seven hundred and eighty-two") and where it ends."""
    total = current = 0
    at = first
    # What may still follow: after "eighty" a unit, after a unit nothing but a scale.
    room = 100
    while at < len(words):
        word = words[at]
        if word in _TENS and room > 10:
            current, room = current + _TENS[word], 10
        elif word in _SMALL and (room > 10 or (room == 10 and 0 < _SMALL[word] < 10)):
            current, room = current + _SMALL[word], 1
        elif word in _SCALES and at > first and current:
            total, current = (total + current * 1000, 0) if word == "thousand" else (total, current * 100)
            room = 100
        elif word == "and" and room == 100 and at > first and at + 1 < len(words):
            if words[at + 1] not in _SMALL and words[at + 1] not in _TENS:
                break
        else:
            break
        at += 1
    return total + current, at


def _joined(groups: list[int]) -> int:
    """Digits or pairs said one by one, put side by side: 3, 3, 0 is 330; 17, 88 is 1788; 2, 10 is 210."""
    if len(groups) == 1:
        return groups[0]
    if all(group < 10 for group in groups) or (len(groups) == 2 and groups[0] < 100 and 10 <= groups[1] < 100):
        return int("".join(str(group) for group in groups))
    return groups[0]
