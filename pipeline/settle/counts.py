"""How many: number words and abundance words beside a mention, or alone in a short answer ("About twenty.")."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import cast, get_args

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.settle.numbers import SpokenNumber, number_at
from earwitness.pipeline.settle.sighting import Count, CountKind
from earwitness.pipeline.words import WordRow, word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

_REACH_BEFORE = 4
_REACH_AFTER = 5
_LONGEST_NUMBER = 9
"""Words: "one thousand two hundred and thirty-four", and a modifier."""
_UNITS = {
    "metre", "metres", "meter", "meters", "m", "cm", "centimetre", "centimetres", "centimeter", "centimeters", "mm",
    "millimetres", "degrees", "degree", "percent", "minutes", "minute", "hours", "hour", "seconds", "years", "year",
    "hundred", "thousand", "times", "laser", "lasers", "knots", "litres", "o'clock", "kilometres", "species", "kinds",
}  # fmt: skip
_SAID_ALONG = {
    "no", "so", "of", "them", "those", "these", "there", "is", "are", "i", "think", "say", "just", "only", "it",
    "make", "count", "see", "maybe", "and", "oh", "yes", "wait", "in", "all", "here", "we", "have", "that", "at",
    "least", "ones", "individuals", "colonies", "animals", "total",
}  # fmt: skip
_BREAKS = {
    "is",
    "are",
    "was",
    "were",
    "of",
    "in",
    "on",
    "at",
    "with",
    "by",
    "and",
    "or",
    "to",
    "has",
    "be",
    "the",
}
_LINKS = {"and", "or", "with", "on", "in", "at", "by", "near", "under", "beside"}
_ONE = {"a", "an", "another", "this", "that", "one", "single"}


ONE = Count("1", "exact")
MORE_THAN_ONE = Count("more than one", "abundance")
"""What a plural without a number says."""


@dataclass(frozen=True, slots=True)
class CountBeside:
    """A count said with a mention; `numbered` where a number stood in front of the name ("three comatulids")."""

    count: Count
    numbered: bool


@cache
def _quantities(own: Path | None) -> Phrases:
    """The word list of counts, with kinds checked; a row without a quantity says what kind the number beside it is."""
    for row in word_rows("quantities", own):
        row.one_of("kind", get_args(CountKind) if row["quantity"] else (*get_args(CountKind), ""))
        if row["quantity"] and row["kind"] != "abundance" and not row["quantity"].isdecimal():
            row.refuse(f"quantity {row['quantity']!r} is no whole number", "digits, or the kind abundance")
    return phrase_table("quantities", own=own)


def count_beside(
    doc: Doc, sentence: Span, start: int, end: int, blocked: set[int], own: Path | None = None
) -> CountBeside | None:
    """The count said with the mention at tokens [start, end) of a sentence.

    `blocked` are the tokens of other mentions: a count never reaches over one.
    """
    before = _until_blocked(range(start - 1, sentence.start - 1, -1), blocked)[::-1]
    after = _until_blocked(range(end, sentence.end), blocked)
    if after and after[-1] + 1 < sentence.end:
        after = _not_of_the_next(doc, after)
    found, numbered = _in_front(doc, before, own)
    if found is None or found == ONE:
        found = _behind(doc, after, own) or found
    return CountBeside(found, numbered) if found else None


def count_alone(doc: Doc, sentence: Span, own: Path | None = None) -> Count | None:
    """The count in a sentence that says nothing else: "About twenty.", "So three of them.", "Two. No three."."""
    _, words = words_of(doc, sentence.start, sentence.end)
    found: Count | None = None
    spoken: set[int] = set()
    for first, last, row in phrases_in(words, _quantities(own)):
        spoken |= set(range(first, last))
        if row["quantity"]:
            found = _quantity(words, first, last, row, own)
    at = 0
    while at < len(words):
        number = number_at(words, at)
        if number is None:
            at += 1
            continue
        if _counts(number):
            found = _count(number.value, _modifier(words, at, number.last, own)[0])
        elif not number.spelt:
            return None
        spoken |= set(range(at, number.last))
        at = number.last
    rest = [word for i, word in enumerate(words) if i not in spoken and word not in _SAID_ALONG]
    return found if not rest else None


def _counts(number: SpokenNumber) -> bool:
    """Whether a number may be a count: whole, at least one, and not spelt out in digits like a heading."""
    return number.value >= 1 and number.value == int(number.value) and not number.spelt


def _until_blocked(tokens: range, blocked: set[int]) -> list[int]:
    free = []
    for i in tokens:
        if i in blocked:
            break
        free.append(i)
    return free


def _not_of_the_next(doc: Doc, tokens: list[int]) -> list[int]:
    """Tokens between two names without those that speak of the second: "a crab [and many] sponges"."""
    while tokens and not (doc[tokens[-1]].is_punct or doc[tokens[-1]].lower_ in _LINKS):
        tokens = tokens[:-1]
    return tokens[:-1]


def _in_front(doc: Doc, tokens: list[int], own: Path | None) -> tuple[Count | None, bool]:
    """A count just before the name, with nothing but adjectives between, and whether a number said it."""
    if not tokens:
        return None, False
    numbers, words = words_of(doc, tokens[0], tokens[-1] + 1)
    reach = _REACH_BEFORE + _LONGEST_NUMBER
    numbers, words = numbers[-reach:], words[-reach:]
    # A number in front of a comma counts something else: "sample one, Thouarella".
    parted = max((i for i in tokens if doc[i].is_punct and doc[i].text != "-"), default=-1)
    best: Count | None = None
    at = sum(number <= parted for number in numbers)
    while at < len(words):
        number = number_at(words, at)
        if number and len(words) - number.last < _REACH_BEFORE and not _measures(words, number.last):
            kind, behind = _modifier(words, at, number.last, own)
            if _counts(number) and not _BREAKS & set(words[behind:]):
                best = _count(number.value, kind)
            at = number.last
            continue
        at += 1
    numbered = best is not None
    if best is None:
        for first, last, row in phrases_in(words, _quantities(own)):
            if row["quantity"] and len(words) - last <= 2:
                best = _quantity(words, first, last, row, own)
    if best is None and _determiner_says_one(words[-_REACH_BEFORE:]):
        best = ONE
    return best, numbered


def _determiner_says_one(words: list[str]) -> bool:
    """ "a big red", "another": a determiner of one thing with nothing but adjectives behind it."""
    places = [i for i, word in enumerate(words) if word in _ONE]
    return bool(places) and not _BREAKS & set(words[places[-1] + 1 :])


def _behind(doc: Doc, tokens: list[int], own: Path | None) -> Count | None:
    """ "Crinoids, two, on the fan", "flatfish, twenty of them", "cup corals, roughly a dozen", "snails everywhere"."""
    if not tokens:
        return None
    _, words = words_of(doc, tokens[0], tokens[-1] + 1)
    words = words[:_REACH_AFTER]
    parted = doc[tokens[0]].is_punct
    for at in range(len(words)):
        number = number_at(words, at)
        if (
            number
            and _counts(number)
            and not _measures(words, number.last)
            and (parted or words[0] == "are" or at == 0)
        ):
            lead = [w for w in words[:at] if (w,) not in _quantities(own) and w != "are"]
            if not lead and words[at] != "one":
                return _count(number.value, _modifier(words, at, number.last, own)[0])
    for first, last, row in phrases_in(words, _quantities(own)):
        if row["quantity"] and row["kind"] != "about" and first <= 1:
            return _quantity(words, first, last, row, own)
    return None


def _measures(words: list[str], after: int) -> bool:
    """Whether the word behind a number makes it a measure or a part ("three of the lasers"), not a count."""
    if words[after : after + 1] == ["of"]:
        return words[after + 1 : after + 2] not in (["them"], ["those"], ["these"])
    return after < len(words) and (words[after] in _UNITS or words[after] == "point")


def _modifier(words: list[str], first: int, last: int, own: Path | None) -> tuple[str, int]:
    """ "about" or "at least" said beside a number, else "exact"; and where the number with its modifier ends."""
    for row in _quantities(own).values():
        if row["quantity"] or not row["kind"]:
            continue
        phrase = row["phrase"].split()
        if words[last : last + len(phrase)] == phrase:
            return row["kind"], last + len(phrase)
        if words[max(first - len(phrase), 0) : first] == phrase:
            return row["kind"], last
    return "exact", last


def _quantity(words: list[str], first: int, last: int, row: WordRow, own: Path | None) -> Count:
    """The count of a phrase of the word list, weakened by what is said beside it: "roughly a dozen"."""
    kind = _modifier(words, first, last, own)[0] if row["kind"] == "exact" else row["kind"]
    return Count(row["quantity"], _kind(kind))


def _count(value: float, kind: str) -> Count:
    return Count(str(int(value)), _kind(kind))


def _kind(kind: str) -> CountKind:
    return cast(CountKind, kind)
