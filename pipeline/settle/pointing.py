"""Words without a name that point at something else than the animal just spoken of: "And the red one behind it?"."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Literal, get_args

from earwitness.pipeline.settle.numbers import number_at
from earwitness.pipeline.settle.quantities import count_words
from earwitness.pipeline.settle.roles import words_for
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

Pointer = Literal[
    "shows", "beside", "asks", "next", "place", "thing", "article", "subject", "of it", "on it", "ground", "before"
]
"""What a phrase of `words/pointing.csv` does.

shows: has something new in view ("there is a", "what is that"). beside: is about the neighbour of the animal just
spoken of ("next to it"). asks: with such a neighbour, asks what that is ("what is"). next: opens a sentence about the
next thing ("and the"). place: opens one that says where something is ("on the"). thing: stands for something not named
yet ("one", "thing"). article: of something new. subject: goes on about the animal just spoken of. of it: a sentence
with this is of the name or the record, and of no new thing ("species"). on it: what is there is on that animal. ground:
the seafloor, which is shown and not named. before: may stand before all of these ("right", "just").
"""

_GROUND = ("substrates", "habitats")
_ONES = ("one", "ones")
_LOOKS = 4
"""Words of "the small black ones"."""
_AT_ONCE = 3
"""Words of the place that is named first."""


@cache
def _pointers(own: Path | None) -> Phrases:
    for row in word_rows("pointing", own):
        row.some_of("role", get_args(Pointer))
    return phrase_table("pointing", own=own)


@cache
def _of_role(role: Pointer, own: Path | None) -> Phrases:
    return {words: row for words, row in _pointers(own).items() if role in row["role"].split("|")}


@cache
def _parts(own: Path | None) -> Phrases:
    rows = phrase_table("characters", own=own)
    return {words: row for words, row in rows.items() if "part" in row["role"].split("|")}


def points_elsewhere(words: list[str], own: Path | None = None) -> bool:
    """Whether a sentence without a name has something else in view than the animal just spoken of.

    "It has a red tip", "there is a groove all round" and "which species?" go on about that animal.
    """
    words = _opened(words, own)
    if not words or is_of_the_name(words, own):
        return False
    beside = phrases_in(words, _of_role("beside", own))
    rest = [word for i, word in enumerate(words) if not any(first <= i < last for first, last, _ in beside)]
    if tuple(rest[:1]) in _of_role("subject", own):
        return False
    if beside:
        return _has_new(rest, own) or any(phrases_in(rest, _of_role(role, own)) for role in ("shows", "asks"))
    if opens_with_place(words, own):
        return True
    if phrases_in(words, _parts(own)) or any(phrases_in(words, phrase_table(g, own=own)) for g in _GROUND):
        return False
    shown = [last for _, last, _ in phrases_in(words, _of_role("shows", own))]
    if any(phrases_in(words[last : last + _AT_ONCE], _of_role("ground", own)) for last in shown):
        return False
    if shown and phrases_in(words, _of_role("on it", own)):
        # "There is a shine on it"; "there is something on it" is another thing.
        return "something" in words
    opens = phrases_in(words[:3], _of_role("next", own))
    return bool(shown) or bool(opens and opens[0][0] == 0 and len(words) > opens[0][1])


def is_of_the_name(words: list[str], own: Path | None = None) -> bool:
    """Whether words are of the name or the record, and of nothing in view: "species A"."""
    return bool(phrases_in(words, _of_role("of it", own)))


def asks_what(words: list[str], own: Path | None = None) -> bool:
    """Whether a sentence asks what something is, as text without a question mark does, too."""
    opens = phrases_in(_opened(words, own), _of_role("asks", own))
    return bool(opens) and opens[0][0] <= 1


def shows_others(words: list[str], own: Path | None = None) -> bool:
    """Whether words before a name tell others by their looks: "are the black ones lower down"; not "this one"."""
    for at, word in enumerate(words):
        if word in _ONES and set(words[max(at - _LOOKS, 0) : max(at - 1, 0)]) & words_for("definite", own):
            return True
    return False


def points_beside(words: list[str], own: Path | None = None) -> bool:
    """Whether words before a name speak of the neighbour of the animal just spoken of: "the small one next to it"."""
    words = _opened(words, own)
    beside = phrases_in(words, _of_role("beside", own))
    return bool(beside) and tuple(words[:1]) not in _of_role("subject", own)


def opens_with_place(words: list[str], own: Path | None = None) -> bool:
    """Whether a sentence says where something is, and then that it is there: "Under the ledge, a"."""
    words = _opened(words[1:] if words[:1] == ["and"] else words, own)
    place = phrases_in(words, _of_role("place", own))
    if not place or place[0][0] > 0:
        return False
    rest = words[place[0][1] + 1 :]
    if phrases_in(words[place[0][1] : place[0][1] + _AT_ONCE], _parts(own)):
        # "On a long stalk": a part of the animal.
        return False
    subjects = _of_role("subject", own)
    return _has_new(rest, own) and not any((word,) in subjects for word in rest)


def places(own: Path | None = None) -> Phrases:
    """The phrases that open words about where something is."""
    return _of_role("place", own)


def says_where(words: list[str], own: Path | None = None) -> bool:
    """Whether words right behind a name say where it is: "on the ledge"."""
    return any(last < len(words) for _, last, _ in phrases_in(words, _of_role("place", own)))


def _opened(words: list[str], own: Path | None) -> list[str]:
    at = 0
    while at < len(words) and (words[at],) in _of_role("before", own):
        at += 1
    return words[at:]


def _has_new(words: list[str], own: Path | None) -> bool:
    """Whether something new is spoken of: "a", "two", "one", "something"."""
    for at, word in enumerate(words):
        if (word,) in _of_role("article", own) or (word,) in _of_role("thing", own):
            return True
        number = number_at(words, at)
        if number and words[number.last : number.last + 1] and words[number.last] not in count_words("unit", own):
            return True
    return False
