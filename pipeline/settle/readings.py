"""Readings of the vehicle's instruments said aloud: depth, heading, bearing, range, temperature and the like.

In: a Doc. Out: measurements with their unit. A number is a reading where a word of measurements.csv leads to it, or
where it stands by itself right behind talk that leaves no doubt ("On bottom." "Seventeen eighty-eight.").
The length of an animal, by estimate or by lasers, is no reading of the dive: it is the animal's size.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from spacy.tokens import Doc

from earwitness.pipeline.settle.numbers import SpokenNumber, number_at
from earwitness.pipeline.settle.quantities import count_words, spoken
from earwitness.pipeline.settle.roles import words_for
from earwitness.pipeline.settle.sighting import Note
from earwitness.pipeline.words import WordRow, word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

_WITHIN = 6
"""Words that may stand between a lead and its number."""
_STANDS_FOR = 2
"""Sentences for which an unanswered lead waits for its number."""
_ROLES = ("distance", "general", "other", "not now")
_SOUNDS_LIKE = {"for": "four", "to": "two", "too": "two", "o": "zero", "ate": "eight", "won": "one", "tree": "three"}
"""Inside a run of digits these are digits as recognisers write them ("zero for five")."""
_DIGIT_WORDS = {"zero", "oh", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", *"0123456789"}
_COMPASS_DIGITS = 3


@cache
def _leads(own: Path | None) -> Phrases:
    return phrase_table("measurements", column="lead", own=own)


@cache
def _senses(role: str, own: Path | None) -> frozenset[str]:
    """Words that make of a number in metres a distance, general talk, or something else."""
    rows = word_rows("reading_words", own)
    return frozenset(row["word"] for row in rows if role in row.some_of("role", _ROLES))


def readings_in(doc: Doc, own: Path | None = None) -> list[Note]:
    """The measurements of a Doc, in order."""
    notes: list[Note] = []
    waiting: list[tuple[WordRow, int]] = []
    for number, sentence in enumerate(doc.sents):
        tokens, words = spoken(doc, sentence.start, sentence.end)
        if not words:
            continue
        words = _digits_heard(words)
        found = _led(tokens, words, own)
        waiting = [(row, at) for row, at in waiting if number - at <= _STANDS_FOR]
        contexts = phrases_in(words, phrase_table("reading_contexts", own=own))
        bare = _distance(tokens, words, own) or _bare(tokens, words, 0, waiting, own)
        if not bare and contexts:
            # "Moving, 1130 metres.", without punctuation that parts them.
            place = _last_number(words, contexts[-1][1], own)
            bare = _bare(tokens, words, place, [(row, number) for _, _, row in contexts], own)
        if bare and not any(_same_or_over(bare, note) for note in found):
            found = sorted([bare, *found], key=lambda note: note.start)
            waiting = []
        notes += found
        answered = {note.type for note in found}
        waiting += [(row, number) for _, _, row in contexts if row["measurementType"] not in answered]
    return notes


def _same_or_over(note: Note, other: Note) -> bool:
    return note.type == other.type or (note.start < other.end and other.start < note.end)


def _last_number(words: list[str], after: int, own: Path | None) -> int:
    """Where the number begins with which the words end, `after` where they do not: "up the wall 1770"."""
    at = max(after, len(words) - _WITHIN)
    while at < len(words):
        number = number_at(words, at)
        if number and all(word in words_for("metres", own) for word in words[number.last :]):
            return after if at and words[at - 1] in count_words("lead", own) else at
        at = number.last if number else at + 1
    return after


def _digits_heard(words: list[str]) -> list[str]:
    """Words between two digits as the digits they sound like: "zero for five"."""
    inside = [
        0 < at < len(words) - 1 and words[at - 1] in _DIGIT_WORDS and words[at + 1] in _DIGIT_WORDS
        for at in range(len(words))
    ]
    return [_SOUNDS_LIKE.get(word, word) if within else word for word, within in zip(words, inside, strict=True)]


def _led(tokens: list[int], words: list[str], own: Path | None) -> list[Note]:
    """Numbers that a lead stands before: "depth is ten metres", "on bottom at 1,412 metres"."""
    notes: list[Note] = []
    free_from = 0
    for _, last, row in phrases_in(words, _leads(own)):
        if last < free_from:
            continue
        at = last
        while (
            at < min(last + _WITHIN, len(words)) and words[at] in words_for("filler", own) and not number_at(words, at)
        ):
            at += 1
        note = _reading(tokens, words, last, at, row, own)
        if note:
            notes.append(note)
            free_from = at + 1
    return notes


def _reading(
    tokens: list[int], words: list[str], lead_end: int, at: int, row: WordRow, own: Path | None
) -> Note | None:
    negative = words[at : at + 1] == ["minus"]
    number = _in_bounds(words, at + negative, row)
    if number is None:
        return None
    kind, unit = row["measurementType"], row["unit"]
    value = -number.value if negative else number.value
    said_unit = _unit(words, number.last, row)
    end = number.last + (len(said_unit) if said_unit else 0)
    if said_unit is None or (words[end : end + 1] and words[end] in _senses("other", own)):
        return None
    if kind == "heading" and words[lead_end - 1] in ("to", "turning") and not _three_digits(words, number):
        # "Turning to ten" may be "turning, two ten": a course has three digits.
        return None
    if kind == "depth" and row["lead"] in ("at", "down to"):
        others = _senses("general", own) | _senses("not now", own)
        if others & set(words[:lead_end]):
            return None
        if _senses("distance", own) & set(words):
            kind = "range"
    elif _senses("not now", own) & set(words[max(lead_end - 5, 0) : lead_end]):
        return None
    return Note("measurement", kind, tokens[lead_end - 1], tokens[end - 1] + 1, value, unit)


def _in_bounds(words: list[str], at: int, row: WordRow) -> SpokenNumber | None:
    """The number at a word, without digits of what follows where they would carry it out of bounds."""
    number = number_at(words, at)
    while number and number.spelt and number.value > row.number("high") and number.last - at > 1:
        number = number_at(words[: number.last - 1], at)
    low = row.number("low")
    bounds = min(low, -low) if low < 0 else low
    return number if number and bounds <= number.value <= row.number("high") else None


def _unit(words: list[str], at: int, row: WordRow) -> list[str] | None:
    """The words of the unit behind a number, none where it may go without, None where it is of another quantity."""
    allowed = row["measures"].split("|")
    for unit in sorted((unit.split() for unit in allowed if unit), key=len, reverse=True):
        if words[at : at + len(unit)] == unit:
            return unit
    other = at < len(words) and words[at] in count_words("unit", None)
    return [] if "" in allowed and not other else None


def _three_digits(words: list[str], number: SpokenNumber) -> bool:
    figures = words[number.first]
    return number.value >= 100 or len(number.pieces) >= _COMPASS_DIGITS or (figures.isdecimal() and len(figures) == 3)


def _bare(
    tokens: list[int], words: list[str], at: int, waiting: list[tuple[WordRow, int]], own: Path | None
) -> Note | None:
    """A sentence that from word `at` on says a number, its unit and no more, for a lead that waits for it."""
    while at < len(words) and (words[at] in words_for("filler", own) or words[at] in ("and", "so", "okay", "minus")):
        at += 1
    number = number_at(words, at)
    if number is None:
        return None
    end = number.last
    metres = words[end : end + 1] and words[end] in words_for("metres", own)
    degrees = words[end : end + 1] and words[end] in ("degrees", "degree")
    rest = words[end + bool(metres or degrees) :]
    if rest[:1] in (["celsius"], ["c"]):
        rest = rest[1:]
    if rest and (
        rest[0] in _senses("other", own) or rest[0] not in {*words_for("filler", own), "and", "heading", "depth"}
    ):
        return None
    for row, _ in reversed(waiting):
        kind = row["measurementType"]
        lead = next(r for r in word_rows("measurements", own) if r["measurementType"] == kind)
        fits_unit = not (metres or degrees) or (metres if kind in ("depth", "altitude") else degrees)
        within = row.number("low") <= number.value <= lead.number("high")
        plain = kind != "depth" or metres or number.spelt or number.value >= 100
        course = kind != "heading" or _three_digits(words, number)
        if fits_unit and within and plain and course and number.value == _clean(number.value, kind):
            stop = tokens[end - 1 + bool(metres or degrees)] + 1
            value = -number.value if "minus" in words[:at] else number.value
            return Note("measurement", kind, tokens[at], stop, value, lead["unit"])
    depth = next(row for row in word_rows("measurements", own) if row["measurementType"] == "depth")
    if metres and 100 <= number.value <= depth.number("high") and not rest:
        return Note("measurement", "depth", tokens[at], tokens[end] + 1, number.value, "m")
    return None


def _clean(value: float, kind: str) -> float:
    """A depth or a course has no decimals when it is called out by itself."""
    return float(int(value)) if kind in ("heading", "bearing") else value


def _distance(tokens: list[int], words: list[str], own: Path | None) -> Note | None:
    """ "A big wall on sonar, forty metres out", "the wreck is thirty metres ahead"."""
    if not _senses("distance", own) & set(words):
        return None
    at = 0
    while at < len(words):
        number = number_at(words, at)
        if number is None:
            at += 1
            continue
        end = number.last
        if words[end : end + 1] and words[end] in words_for("metres", own) and words[end + 1 : end + 2]:
            ahead = words[end + 1] in ("out", "ahead", "away", "off", "in")
            if ahead and not (words[end + 1] == "off" and words[end + 2 : end + 4] == ["the", "bottom"]):
                return Note("measurement", "range", tokens[at], tokens[end] + 1, number.value, "m")
        at = end
    return None
