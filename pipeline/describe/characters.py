"""Characters given as reasons for a name: "you can tell by the long arms", "because of the spines", "big eyes"."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

from earwitness.pipeline.describe.stretch import Stretch, with_role
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.phrases import Phrases

_REACH = 9
"""Words of a reason behind its cue (common practice, no source)."""
_FRAGMENT_WORDS = 4
_ROLES = ("reason", "given", "part", "feature", "place")
_ENDS = frozenset({"so", "but", "i", "we", "you", "is", "are", "it", "that", "this", "he", "she", "they", "there"})


@dataclass(frozen=True, slots=True)
class Character:
    """A reason at words [first, last), `said` as written."""

    first: int
    last: int
    said: str


@cache
def _table(role: str, own: Path | None) -> Phrases:
    for row in word_rows("characters", own):
        for word in row["role"].split("|"):
            if word not in _ROLES:
                row.refuse(f"role {word!r} is not known", ", ".join(_ROLES))
    return with_role("characters", role, own)


def characters_in(stretch: Stretch, taken: set[int]) -> list[Character]:
    """The reasons that a stretch gives, in order; `taken` are words that say something else ("with eggs")."""
    if stretch.asks or not stretch.words:
        return []
    parts, features, places = (
        {i for f in stretch.phrases(_table(role, stretch.own)) for i in range(f.first, f.last)}
        - stretch.in_name
        - taken
        for role in ("part", "feature", "place")
    )
    features |= parts
    found: dict[int, Character] = {}
    for cue in stretch.phrases(_table("reason", stretch.own)):
        last = _reason_end(stretch, cue.last, features, places)
        if (
            last > cue.last
            and not _unseen(stretch, cue.first)
            and stretch.asserts(cue.last - 1)
            and stretch.asserts(cue.first)
        ):
            first = cue.last - 1 if stretch.words[cue.last - 1] in ("the", "those", "these", "its") else cue.last
            found.setdefault(last, Character(first, last, stretch.text(first, last)))
    for cue in stretch.phrases(_table("given", stretch.own)):
        begin = next((i for i in range(cue.first - 1, max(cue.first - _REACH, 0) - 1, -1) if stretch.parted[i]), 0)
        begin = max(begin, cue.first - _REACH, 0)
        if features & set(range(begin, cue.first)) and stretch.asserts(cue.first):
            found.setdefault(cue.first, Character(begin, cue.first, stretch.text(begin, cue.first)))
    for fragment in _fragments(stretch, parts):
        if not any(fragment.first < one.last and one.first < fragment.last for one in found.values()):
            found[fragment.last] = fragment
    return [found[last] for last in sorted(found)]


def _unseen(stretch: Stretch, first: int) -> bool:
    """ "I can't see the spines": nothing was seen to give a reason."""
    return "not" in stretch.words[max(first - 2, 0) : first + 3]


def _reason_end(stretch: Stretch, first: int, parts: set[int], places: set[int]) -> int:
    """Where the reason that begins at a word ends: behind the last part of the body before the clause does."""
    last = first
    for i in range(first, min(first + _REACH, len(stretch.words))):
        if i in stretch.in_name or (stretch.parted[i] and i > first) or stretch.words[i] in _ENDS - {"that", "this"}:
            break
        if stretch.words[i] == "and" and not parts & set(range(i + 1, i + 4)):
            break
        if i in parts or (i in places and last > first):
            last = i + 1
    return last


def _fragments(stretch: Stretch, parts: set[int]) -> list[Character]:
    """Short pieces between marks that say no more than a part: "big eyes", "long arms", "feather form"."""
    heads = [i for i, parted in enumerate(stretch.parted) if parted or i == 0]
    small = {row["word"] for row in word_rows("neighbours")}
    pieces = pairwise([*heads, len(stretch.words)])
    fragments = []
    for first, last in pieces:
        words = stretch.words[first:last]
        describes = 2 <= len(words) <= _FRAGMENT_WORDS and last - 1 in parts and not set(words) & _ENDS
        is_apart = not stretch.in_name & set(range(first, last)) and not small & set(words)
        if describes and is_apart and stretch.asserts(first) and stretch.asserts(last - 1):
            fragments.append(Character(first, last, stretch.text(first, last)))
    return fragments
