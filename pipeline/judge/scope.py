"""How far a cue reaches inside its sentence: to a termination word, a new clause, or a number of words."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from spacy.tokens import Doc

from earwitness.pipeline.judge.cues import ClaimCue
from earwitness.pipeline.words import word_rows

_PARTING = {",", ";", ":", "-", "–", "—"}
_GOING_ON = {"or", "nor"}
FARTHEST = 40
"""No cue reaches further (tokens): in captions without a full stop a sentence may never end. One long breath (common
practice, no source).
"""


@dataclass(frozen=True, slots=True)
class Wall:
    """A place before token `at` where a cue's reach may end.

    Args:
        at: number of a token.
        kind: "contrast" ("but": ends any reach, even of a cue that reaches its whole sentence), "end" (another
            termination word, a comma before a new subject: ends any other), "restart" ("that is a": ends the reach
            of a cue that has met a name, but "I don't think that is a sponge" has not), "comma" (any other: ends a
            denial that has met a name, "not a sponge, a sea cucumber").
    """

    at: int
    kind: Literal["contrast", "end", "restart", "comma"]


@cache
def _openers(own: Path | None) -> frozenset[str]:
    return frozenset(row["word"].lower() for row in word_rows("clause_openers", own))


def clause_walls(doc: Doc, start: int, end: int, cues: list[ClaimCue], own: Path | None = None) -> list[Wall]:
    """The walls among tokens [start, end), in order.

    A wh-word inside a sentence opens a clause that takes its names as known.
    """
    walls = []
    for cue in cues:
        if cue.rule.category == "restart":
            walls.append(Wall(cue.start, "restart"))
        elif cue.rule.category == "termination" and cue.rule.reach == "sentence":
            walls.append(Wall(cue.start, "contrast"))
        elif cue.rule.category == "termination" or (cue.rule.category == "wh" and cue.start > start):
            walls.append(Wall(cue.start, "end"))
    openers = _openers(own)
    for token in doc[start + 1 : end]:
        if doc[token.i - 1].text not in _PARTING or token.lower_ in _GOING_ON:
            continue
        walls.append(Wall(token.i, "end" if token.lower_ in openers else "comma"))
    return sorted(walls, key=lambda wall: wall.at)


def covers(cue: ClaimCue, spans: list[tuple[int, int]], walls: list[Wall]) -> list[int]:
    """Numbers of the mentions (token spans of one sentence, in order) that a cue acts on.

    A cue that reaches the whole sentence acts on all up to a "but". Any other acts to its left on the nearest mention
    alone ("one medusa, red, Crossota possibly"), and one that may act to either side acts on one of them, as its
    direction says. Walls are in order.
    """
    rule = cue.rule
    if rule.direction == "within":
        return within(cue, spans)
    both = rule.direction in ("both", "forward first")
    right = ahead(cue, spans, walls) if both or rule.direction == "forward" else []
    left = behind(cue, spans, walls) if both or rule.direction == "backward" else []
    if rule.reach == "sentence":
        return left[::-1] + right
    left = left[:1]
    if rule.category == "alternative":
        # One that opens its sentence goes on from what was said before: "Or a squid".
        return left + right[:1]
    if not (left and right):
        return left or right
    if rule.direction == "forward first":
        return right
    return left if cue.start - spans[left[0]][1] < spans[right[0]][0] - cue.end else right


def within(cue: ClaimCue, spans: list[tuple[int, int]]) -> list[int]:
    """The mentions that share a word with the cue."""
    first = bisect_left(spans, (cue.start - FARTHEST, 0))
    last = bisect_left(spans, (cue.end, 0))
    return [n for n in range(first, last) if spans[n][1] > cue.start]


def ahead(cue: ClaimCue, spans: list[tuple[int, int]], walls: list[Wall]) -> list[int]:
    """The mentions to the right that a cue reaches, nearest first."""
    reached: list[int] = []
    wall = bisect_left(walls, cue.end, key=lambda w: w.at)
    for number in range(bisect_left(spans, (cue.end, 0)), len(spans)):
        start = spans[number][0]
        if start - cue.end > _limit(cue):
            break
        while wall < len(walls) and walls[wall].at <= start:
            if _stops(walls[wall], cue, bool(reached), ahead=True, at_name=walls[wall].at == start):
                return reached
            wall += 1
        reached.append(number)
    return reached


def behind(cue: ClaimCue, spans: list[tuple[int, int]], walls: list[Wall]) -> list[int]:
    """The mentions to the left that a cue reaches, nearest first.

    A wall at the cue's own first word is the cue: "a flytrap anemone, I think".
    """
    reached: list[int] = []
    wall = bisect_left(walls, cue.start, key=lambda w: w.at) - 1
    number = bisect_left(spans, (cue.start, 0)) - 1
    if number >= 0 and spans[number][1] > cue.start:
        number -= 1  # its own words are no cue to a mention
    while number >= 0:
        end = spans[number][1]
        if cue.start - end > _limit(cue):
            break
        while wall >= 0 and walls[wall].at >= end:
            if _stops(walls[wall], cue, bool(reached), ahead=False, at_name=False):
                return reached
            wall -= 1
        reached.append(number)
        number -= 1
    return reached


def _limit(cue: ClaimCue) -> int:
    """Tokens that may stand between a cue and a mention."""
    return int(cue.rule.reach[:-6]) if cue.rule.reach.endswith(" words") else FARTHEST


def _stops(wall: Wall, cue: ClaimCue, met: bool, *, ahead: bool, at_name: bool) -> bool:
    """Whether a wall ends a cue's reach, once it has `met` a mention on this side or before."""
    category = cue.rule.category
    if wall.kind == "contrast":
        return True
    if wall.kind == "restart":
        # "Yesterday was better, here is a crab": what is stated of now is not of then.
        return met or (ahead and category == "recalled")
    if cue.rule.reach == "sentence":
        return False
    if wall.kind == "end":
        return True
    # "Not A, B" puts B in its place; "no A, B or C" is a list, unless something stands between the comma and B.
    return ahead and met and (category == "negation" or (category == "absence" and not at_name))
