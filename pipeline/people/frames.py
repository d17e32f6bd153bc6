"""How names are said: phrases of `words/people_frames.csv` with a place for a name, met around words of the talk."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, cast, get_args

from earwitness.pipeline.people.said_words import OWNER, SaidWord
from earwitness.pipeline.words import WordRow, word_rows

Kind = Literal["introduced", "titled", "thanked", "addressed", "quoted", "owner"]
Strength = Literal["sure", "proper", "likely", "faint"]
Bound = Literal["", "start", "end"]
_CLOSE: frozenset[Kind] = frozenset({"titled", "quoted"})
_NAME = "NAME"
"""What stands in a phrase for the name."""


@dataclass(frozen=True, slots=True)
class Frame:
    """A way of saying a name.

    Args:
        before, after: the words before and after the name.
        kind: what is done with the name.
        capitals, raw: what it tells of a word with a capital, and of one without. "sure": any word there is a name;
            "proper": one with a capital inside its sentence that is no Latin name; "likely": one that is known as a
            name; "faint": one that is known as a name and as nothing else.
        bound: the side of the name, if any, on which its sentence or clause has to end.
    """

    before: tuple[str, ...]
    after: tuple[str, ...]
    kind: Kind
    capitals: Strength
    raw: Strength
    bound: Bound


@dataclass(frozen=True, slots=True)
class _Frames:
    """Frames by what stands before; those with nothing before by the first word behind."""

    by_before: Mapping[tuple[str, ...], tuple[Frame, ...]]
    by_after: Mapping[str, tuple[Frame, ...]]
    longest: int


@cache
def frames(own: Path | None = None) -> tuple[Frame, ...]:
    """All frames of the word list, with "is" also as its shortened form."""
    found: dict[tuple[tuple[str, ...], tuple[str, ...]], Frame] = {}
    for row in word_rows("people_frames", own):
        words = row["phrase"].split()
        if words.count(_NAME) != 1 or len(words) == 1:
            row.refuse("the phrase has no one place for a name", "words as they are said with NAME among them")
        place = words.index(_NAME)
        frame = Frame(
            tuple(word.lower() for word in words[:place]),
            tuple(word.lower() for word in words[place + 1 :]),
            cast(Kind, row.one_of("kind", get_args(Kind))),
            _strength(row, "capitals"),
            _strength(row, "raw"),
            cast(Bound, row.one_of("bound", get_args(Bound))),
        )
        found[frame.before, frame.after] = frame
    return tuple(found.values())


def _strength(row: WordRow, column: str) -> Strength:
    return cast(Strength, row.one_of(column, get_args(Strength)))


@cache
def _indexed(own: Path | None) -> _Frames:
    by_before: dict[tuple[str, ...], list[Frame]] = {}
    by_after: dict[str, list[Frame]] = {}
    for frame in frames(own):
        if frame.before:
            by_before.setdefault(frame.before, []).append(frame)
        else:
            by_after.setdefault(frame.after[0], []).append(frame)
    return _Frames(
        {key: tuple(found) for key, found in by_before.items()},
        {key: tuple(found) for key, found in by_after.items()},
        max(len(key) for key in by_before),
    )


@cache
def _beside(side: Bound, own: Path | None) -> frozenset[str]:
    """Words that stand on this side of a name without being of its clause."""
    rows = word_rows("people_bounds", own)
    return frozenset(row["word"].lower() for row in rows if row.one_of("side", ("start", "end")) == side)


def frames_at(words: Sequence[SaidWord], first: int, last: int, own: Path | None = None) -> Iterator[Frame]:
    """The frames around words [first, last), inside their sentence, whose bound holds."""
    known = _indexed(own)
    before: tuple[str, ...] = ()
    candidates = list(known.by_after.get(words[last].key, ())) if _goes_on(words, last) else []
    if _goes_on(words, last) and words[last].key == OWNER:
        candidates += known.by_after.get("is", ())
    at = first
    while at > 0 and not words[at].opens and first - at < known.longest:
        at -= 1
        before = (_spoken(words[at]), *before)
        candidates += known.by_before.get(before, ())
    for frame in candidates:
        # "Everybody asks, Leiopathes": a comma may stand before somebody who is spoken to, not within a title.
        if frame.before and frame.kind in _CLOSE and words[first].parted:
            continue
        if _follows(words, last, frame.after) and _is_bounded(words, first, last, frame.bound, own):
            yield frame


def _spoken(word: SaidWord) -> str:
    """A word before a name or before another clause: its s is no genitive there."""
    return "is" if word.key == OWNER else word.key


def _goes_on(words: Sequence[SaidWord], at: int) -> bool:
    """Whether word `at` belongs to the sentence of the word before it."""
    return at < len(words) and not words[at].opens


def _follows(words: Sequence[SaidWord], at: int, phrase: tuple[str, ...]) -> bool:
    for place, word in enumerate(phrase, start=at):
        if not _goes_on(words, place):
            return False
        key = words[place].key
        if key != word and not (word == "is" and key == OWNER):
            return False
    return True


def _is_bounded(words: Sequence[SaidWord], first: int, last: int, bound: Bound, own: Path | None) -> bool:
    if bound == "start":
        return words[first].opens or words[first].parted or words[first - 1].key in _beside("start", own)
    if bound == "end":
        if not _goes_on(words, last) or words[last].parted:
            return True
        two = words[last].key, _spoken(words[last + 1]) if _goes_on(words, last + 1) else ""
        return two[0] in _beside("end", own) or " ".join(two) in _beside("end", own)
    return True
