"""Numbers and words of abundance in a run of words, as counts: "about a dozen", "three or four", "hundreds of".

In: words as spoken. Out: a `Quantity` for each. A number that measures, names or dates something is none.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import cast, get_args

from spacy.tokens import Doc

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.settle.numbers import SpokenNumber, number_at
from earwitness.pipeline.settle.roles import words_for
from earwitness.pipeline.settle.sighting import Count, CountKind
from earwitness.pipeline.words import WordRow, word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

ROLES = (
    "unit", "lead", "counter", "several", "along", "goes on", "break", "link", "one", "ordinal", "not us", "held",
    "echo", "ahead", "leads in", "no head", "asks", "mass", "them",
)  # fmt: skip
"""What a word does beside a number (words/count_words.csv).

unit: a number before it is a measure or a part. lead: a number behind it measures or names something ("sample one").
counter: stands for the animal counted ("three colonies"). several: a plural that names no animal ("the white ones").
along: may stand in a sentence that says a count and nothing else. goes on: may follow a count set off by commas.
break: parts a number from a name. link: begins the part of a sentence that still speaks of the name before it.
one: a determiner of one thing. ordinal: with a counter, one more thing. not us: before "are", no animals.
held: a verb that tells something of a part of them ("two of them are fighting").
echo: says that a number was taken down ("three, noted"). ahead: where what is named next is. leads in: may stand
between a name and its number ("the shrimp are two"). no head: no noun that says many stands behind it.
asks: a number behind the sentence answers it. mass: a noun that without a number says neither one nor many.
them: stands for the animals just named ("five of the beauties").
"""
_OF_THEM = {"them", "those", "these"}
_OR = {"or", "to", "maybe", "perhaps"}
_SPELT_SIGNS = {"%": "percent", "°": "degrees"}
_ROUND_FROM = 20.0
"""From here on a multiple of ten said of a crowd is no exact number (Krifka 2007, Approximate interpretation of number
words: round numbers are read as approximations; from memory). The bound is a choice, no source."""

ADJECTIVES = 3
"""Words that may stand between a number and the name it counts."""
BARE_UP_TO = 200
"""A number without "of them" behind a name is hardly a count from here on, but a depth (a choice, no source)."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """Words [first, last) say how many; `number` where a number said it, `stated` where it was weakened or bounded."""

    first: int
    last: int
    count: Count
    number: bool
    stated: bool = False


@cache
def count_words(role: str, own: Path | None = None) -> frozenset[str]:
    """The words that do this beside a number."""
    rows = word_rows("count_words", own)
    return frozenset(row["word"].lower() for row in rows if role in row.some_of("roles", ROLES))


@cache
def collectives(own: Path | None = None) -> dict[str, str]:
    """Nouns that say many of something ("bed", "school"), with how many."""
    return {row["word"].lower(): row["quantity"] for row in word_rows("collectives", own)}


@cache
def _phrases(own: Path | None) -> Phrases:
    """The word list of counts, with kinds checked; a row without a quantity says what kind the number beside it is."""
    for row in word_rows("quantities", own):
        row.one_of("kind", get_args(CountKind) if row["quantity"] else (*get_args(CountKind), ""))
        if row["quantity"] and row["kind"] != "abundance" and not row["quantity"].isdecimal():
            row.refuse(f"quantity {row['quantity']!r} is no whole number", "digits, or the kind abundance")
    return phrase_table("quantities", own=own)


@cache
def _longest(own: Path | None) -> int:
    return max(map(len, _phrases(own)))


def modifiers_in(words: list[str], own: Path | None = None) -> set[int]:
    """Places of the words that only weaken or bound a number: "about", "at least"."""
    found = phrases_in(words, _phrases(own))
    return {i for first, last, row in found if not row["quantity"] for i in range(first, last)}


def spoken(doc: Doc, start: int, end: int) -> tuple[list[int], list[str]]:
    """As `words_of`, with the signs that make a number a measure in words."""
    numbers, words = words_of(doc, start, end)
    for at in range(len(numbers) - 1, -1, -1):
        after = numbers[at] + 1
        if after < end and doc[after].text in _SPELT_SIGNS:
            numbers.insert(at + 1, after)
            words.insert(at + 1, _SPELT_SIGNS[doc[after].text])
    return numbers, words


def quantities_in(words: list[str], own: Path | None = None) -> list[Quantity]:
    """Every count in the words, in order, never overlapping."""
    found: list[Quantity] = []
    at = 0
    while at < len(words):
        quantity, at = _at(words, at, own)
        if quantity:
            found.append(quantity)
    return found


def _at(words: list[str], at: int, own: Path | None) -> tuple[Quantity | None, int]:
    """The quantity that begins at a word, and where to look on."""
    noun = at + (words[at] in ("a", "an"))
    counted = number_at(words, noun + 2) if words[noun + 1 : noun + 2] == ["of"] else None
    if counted and words[noun] in collectives(own):
        # "A row of eleven": as many as the number says.
        quantity, end = _of_number(words, counted, own)
        return (replace(quantity, first=at) if quantity else None), end
    if words[at] in collectives(own) and words[at + 1 : at + 2] == ["of"]:
        return Quantity(at, at + 2, Count(collectives(own)[words[at]], "abundance"), False), at + 2
    for length in range(min(_longest(own), len(words) - at), 0, -1):
        row = _phrases(own).get(tuple(words[at : at + length]))
        if row is not None:
            return (_of_phrase(words, at, at + length, row, own) if row["quantity"] else None), at + length
    number = number_at(words, at)
    return _of_number(words, number, own) if number else (None, at + 1)


def _of_phrase(words: list[str], first: int, last: int, row: WordRow, own: Path | None) -> Quantity | None:
    """A phrase of the word list, weakened by what is said beside it: "roughly a dozen"."""
    kind, stated, end = row["kind"], False, last
    if row["quantity"].isdecimal():
        if _measures(words, last, own):
            return None
        said, stated, end = _modifier(words, first, last, own)
        kind = said if stated and kind == "exact" else kind
    return Quantity(first, end, Count(row["quantity"], cast(CountKind, kind)), kind != "abundance", stated)


def _of_number(words: list[str], number: SpokenNumber, own: Path | None) -> tuple[Quantity | None, int]:
    value, last, kind = _as_count(number), number.last, "exact"
    if words[number.first : last] == ["one"] and _is_pronoun(words, number.first, own):
        return None, last
    if words[last : last + 1] == ["dozen"]:
        value, last = (value * 12 if value else None), last + 1
    upper = _upper(words, number, last) if value else None
    if value and upper:
        value, last = _middle(value, upper.value), upper.last
        kind = "about"
    if value is None or _measures(words, last, own) or _named(words, number.first, own):
        return None, last
    said, stated, end = _modifier(words, number.first, last, own)
    kind = said if stated else kind
    if kind == "exact" and not stated and value >= _ROUND_FROM and value % 10 == 0 and of_them(words, last, own):
        kind = "about"
    count = Count(str(int(value)), cast(CountKind, kind))
    return Quantity(number.first, end, count, True, stated or upper is not None), max(end, last)


def _is_pronoun(words: list[str], at: int, own: Path | None) -> bool:
    """ "The pink one", "that one": no number."""
    before = words[at - 1] if at else ""
    return before == "the" or before in count_words("one", own) | count_words("ordinal", own)


def _as_count(number: SpokenNumber) -> float | None:
    """The value of a number that may be a count: whole, at least one, not spelt out in digits like a heading.

    Digits one after the other ("two, three", "six seven eight") are counted aloud: the last one counts.
    """
    if number.spelt:
        aloud = all(b - a == 1 for a, b in zip(number.pieces, number.pieces[1:], strict=False))
        return float(number.pieces[-1]) if aloud and number.pieces[-1] <= 20 and number.pieces[0] else None
    return number.value if number.value >= 1 and number.value == int(number.value) else None


def _upper(words: list[str], number: SpokenNumber, last: int) -> SpokenNumber | None:
    """The upper end of a range: "three or four", "ten to fifteen", "between ten and fifteen"."""
    joins = words[last : last + 1]
    between = joins == ["and"] and words[max(number.first - 1, 0) : number.first] == ["between"]
    if not (joins and joins[0] in _OR) and not between:
        return None
    upper = number_at(words, last + 1) or _dozen(words, last + 1)
    return upper if upper and not upper.spelt and upper.value > number.value else None


def _dozen(words: list[str], at: int) -> SpokenNumber | None:
    """ "Ten or a dozen"."""
    return SpokenNumber(at, at + 2, 12.0) if words[at : at + 2] == ["a", "dozen"] else None


def _middle(low: float, high: float) -> float:
    """The middle of a range, rounded up; "two or three hundred" begins at two hundred."""
    scale = next((s for s in (1000, 100) if high >= s and low < 10 and high % s == 0), 1)
    return float(int((low * scale + high + 1) // 2))


def of_them(words: list[str], at: int, own: Path | None = None) -> bool:
    """Whether "of them", "of the beauties" stands at a word."""
    if words[at : at + 1] != ["of"] or at + 1 == len(words):
        return False
    pronoun = words[at + 1] in _OF_THEM
    return pronoun or (words[at + 1] == "the" and bool(set(words[at + 2 : at + 4]) & count_words("them", own)))


def _measures(words: list[str], after: int, own: Path | None) -> bool:
    """Whether the word behind a number makes it a measure or a part ("three of the lasers"), not a count."""
    if words[after : after + 1] == ["of"]:
        return not of_them(words, after, own)
    if after >= len(words):
        return False
    # "Five arms" count no animals, "five arm tips" neither.
    return words[after] in count_words("unit", own) or (words[after],) in _parts_of_bodies(own)


def _named(words: list[str], first: int, own: Path | None) -> bool:
    """Whether the word before a number makes it a name or a reading: "sample one", "depth is ten", "at ten"."""
    if first and (words[first - 1] == "at" or words[first - 1] in count_words("unit", own)):
        return True
    before = first - 1 if first and words[first - 1] in ("number", "is", "of") else first
    return before > 0 and words[before - 1] in count_words("lead", own)


def _modifier(words: list[str], first: int, last: int, own: Path | None) -> tuple[str, bool, int]:
    """ "about" or "at least" said beside a number, whether one was, and where the number with its modifier ends."""
    table = _phrases(own)
    for length in range(_longest(own), 0, -1):
        row = table.get(tuple(words[last : last + length]))
        if row and row["kind"] and not row["quantity"] and last + length <= len(words):
            return row["kind"], True, last + length
        row = table.get(tuple(words[max(first - length, 0) : first]))
        if row and row["kind"] and not row["quantity"] and first >= length:
            return row["kind"], True, last
    return "exact", False, last


def counts_parts(words: list[str], own: Path | None) -> bool:
    """Whether parts of a body are counted: "four spots, well, three" leaves "four" to mean spots."""
    parts = phrases_in(words, _parts_of_bodies(own))
    sets = [at + 1 for at, word in enumerate(words) if word in words_for("set of", own)]
    return any(
        number_at(words[:first], at)
        for first, _, _ in parts
        for place in (first, *(place for place in sets if place <= first <= place + ADJECTIVES))
        for at in range(max(place - 2, 0), place)
    )


@cache
def _parts_of_bodies(own: Path | None) -> Phrases:
    rows = phrase_table("characters", own=own)
    return {words: row for words, row in rows.items() if "part" in row["role"].split("|")}
