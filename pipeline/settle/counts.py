"""How many: number words and abundance words beside a mention, or alone in a short answer ("About twenty.")."""

from __future__ import annotations

from typing import cast

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.words.phrases import phrase_table, phrases_in
from earwitness.pipeline.settle.numbers import number_at
from earwitness.pipeline.settle.sighting import Count, CountKind
from earwitness.pipeline.words import word_rows

_REACH_BEFORE = 4
_REACH_AFTER = 5
_ANSWER_WORDS = 6
_UNITS = {
    "metre", "metres", "meter", "meters", "m", "cm", "centimetre", "centimetres", "centimeter", "centimeters", "mm",
    "millimetres", "degrees", "degree", "percent", "minutes", "minute", "hours", "hour", "seconds", "years", "year",
    "hundred", "thousand", "times", "laser", "lasers", "knots", "litres", "o'clock", "kilometres", "species", "kinds",
}  # fmt: skip
_ONE = {"a", "an", "another", "this", "that", "one", "single"}


def count_beside(doc: Doc, sentence: Span, start: int, end: int, blocked: set[int]) -> Count | None:
    """The count said with the mention at tokens [start, end) of a sentence.

    `blocked` are the tokens of other mentions: a count never reaches over one.
    """
    before = _until_blocked(range(start - 1, sentence.start - 1, -1), blocked)[::-1]
    after = _until_blocked(range(end, sentence.end), blocked)
    found = _in_front(doc, before)
    if found is None or found == Count("1", "exact"):
        return _behind(doc, after) or found
    return found


def count_alone(doc: Doc, sentence: Span) -> Count | None:
    """The count in a sentence that names nothing: "About twenty.", "So three of them.", "Two. No three."."""
    _, words = words_of(doc, sentence.start, sentence.end)
    if not words:
        return None
    for at in range(len(words)):
        number = number_at(words, at)
        if number and number.value >= 1:
            of_them = words[number.last : number.last + 2] in (["of", "them"], ["of", "those"], ["of", "these"])
            if (len(words) <= _ANSWER_WORDS and number.last >= len(words)) or of_them:
                return _count(number.value, _modifier(words, at, number.last))
    for _, last, row in phrases_in(words, phrase_table("quantities")):
        if row["quantity"] and (len(words) <= 3 or words[last : last + 2] == ["of", "them"]):
            return Count(row["quantity"], _kind(row["kind"]))
    return None


def _until_blocked(tokens: range, blocked: set[int]) -> list[int]:
    free = []
    for i in tokens:
        if i in blocked:
            break
        free.append(i)
    return free


def _in_front(doc: Doc, tokens: list[int]) -> Count | None:
    """A number or abundance word in the last few words before the name, with nothing but adjectives between."""
    if not tokens:
        return None
    numbers, words = words_of(doc, tokens[0], tokens[-1] + 1)
    numbers, words = numbers[-_REACH_BEFORE - 3 :], words[-_REACH_BEFORE - 3 :]
    best: Count | None = None
    at = 0
    while at < len(words):
        number = number_at(words, at)
        if number and len(words) - number.last < _REACH_BEFORE and not _measures(words, number.last):
            if number.value >= 1 and number.value == int(number.value):
                best = _count(number.value, _modifier(words, at, number.last))
            at = number.last
            continue
        at += 1
    if best is None:
        for _, last, row in phrases_in(words, phrase_table("quantities")):
            if row["quantity"] and len(words) - last <= 2:
                best = Count(row["quantity"], _kind(row["kind"]))
    if best is None and words and any(word in _ONE for word in words[-_REACH_BEFORE:]):
        best = Count("1", "exact")
    return best


def _behind(doc: Doc, tokens: list[int]) -> Count | None:
    """ "Crinoids, two, on the fan", "flatfish, twenty of them", "cup corals, roughly a dozen", "snails everywhere"."""
    if not tokens:
        return None
    _, words = words_of(doc, tokens[0], tokens[-1] + 1)
    words = words[:_REACH_AFTER]
    parted = doc[tokens[0]].is_punct
    for at in range(len(words)):
        number = number_at(words, at)
        if number and number.value >= 1 and not _measures(words, number.last) and (parted or at == 0):
            lead = [word for word in words[:at] if (word,) not in phrase_table("quantities")]
            whole = number.value == int(number.value)
            if not lead and whole and words[at] != "one":
                return _count(number.value, _modifier(words, at, number.last))
    for first, _, row in phrases_in(words, phrase_table("quantities")):
        if row["quantity"] and row["kind"] != "about" and first <= 1:
            return Count(row["quantity"], _kind(row["kind"]))
    return None


def _measures(words: list[str], after: int) -> bool:
    return after < len(words) and (words[after] in _UNITS or words[after] in ("point", "of"))


def _modifier(words: list[str], first: int, last: int) -> str:
    """ "about" or "at least" said beside a number, else "exact"."""
    for row in word_rows("quantities"):
        if row["quantity"]:
            continue
        phrase = row["phrase"].split()
        if words[max(first - len(phrase), 0) : first] == phrase or words[last : last + len(phrase)] == phrase:
            return row["kind"]
    return "exact"


def _count(value: float, kind: str) -> Count:
    return Count(str(int(value)), _kind(kind))


def _kind(kind: str) -> CountKind:
    return cast(CountKind, kind)
