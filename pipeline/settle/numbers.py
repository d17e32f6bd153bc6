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
    groups = _groups(words, first)
    if not groups:
        return None
    joined = _joined([value for value, _ in groups])
    # What can't be put side by side is a number and the beginning of another: "at ten four crabs".
    said, last = (joined, groups[-1][1]) if joined is not None else groups[0]
    spelt = joined is not None and len(groups) > 1
    value = float(said)
    if last + 1 < len(words) and words[last] == "point" and words[last + 1] in _SMALL:
        decimals = ""
        last += 1
        while last < len(words) and 0 <= _SMALL.get(words[last], -1) <= 9:
            decimals += str(_SMALL[words[last]])
            last += 1
        value += float(f"0.{decimals}") if decimals else 0.0
    return SpokenNumber(first, last, value, spelt)


def _groups(words: list[str], first: int) -> list[tuple[int, int]]:
    """Numbers said one after the other ("seventeen", "eighty-eight"), each with where it ends."""
    groups: list[tuple[int, int]] = []
    at = first
    while at < len(words):
        value, after = _cardinal(words, at)
        if after == at:
            break
        groups.append((value, after))
        at = after
    return groups


def _cardinal(words: list[str], first: int) -> tuple[int, int]:
    """One cardinal number ("seven hundred and eighty-two") and where it ends."""
    total = current = 0
    at = first
    # What may still follow: after "eighty" a unit, after a unit nothing but a scale.
    room = 100
    whole, whole_at = 0, first
    while at < len(words):
        word = words[at]
        if word in _TENS and room > 10:
            current, room = current + _TENS[word], 10
        elif word in _SMALL and (room > 10 or (room == 10 and 0 < _SMALL[word] < 10)):
            current, room = current + _SMALL[word], 1
        elif word in _SCALES and at > first and current:
            if (total and word == "thousand") or (current >= 100 and word == "hundred"):
                # "Three hundred, four hundred": the second begins a number of its own.
                return whole, whole_at
            total, current = (total + current * 1000, 0) if word == "thousand" else (total, current * 100)
            room = 100
            whole, whole_at = total + current, at + 1
        elif word == "and" and room == 100 and at > first and at + 1 < len(words):
            if words[at + 1] not in _SMALL and words[at + 1] not in _TENS:
                break
        else:
            break
        at += 1
    return total + current, at


def _joined(groups: list[int]) -> int | None:
    """Digits or pairs said one by one, put side by side: 3, 3, 0 is 330; 17, 88 is 1788; 19, 0, 6 is 1906."""
    if len(groups) == 1:
        return groups[0]
    if all(group < 10 for group in groups):
        return int("".join(str(group) for group in groups))
    pairs = re.sub(r"\b0 (?=\d\b)", "0", " ".join(str(group) for group in groups)).split()
    if groups[0] < 100 and len(pairs) == 2 and len(pairs[1]) == 2:
        return int("".join(pairs))
    return None
