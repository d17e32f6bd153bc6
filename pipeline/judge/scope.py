"""How far a cue reaches inside its sentence: to a termination word, a new clause, or a number of words."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from spacy.tokens import Doc

from earwitness.pipeline.judge.cues import ClaimCue
from earwitness.pipeline.words import word_rows

_PARTING = {",", ";", ":", "-", "–", "—"}
_GOING_ON = {"or", "nor"}


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
    """The walls among tokens [start, end). A wh-word inside a sentence opens a clause that takes its names as known."""
    walls = []
    for cue in cues:
        if cue.rule.category == "restart":
            walls.append(Wall(cue.start, "restart"))
        elif cue.rule.category == "termination" and cue.rule.reach == "sentence":
            walls.append(Wall(cue.start, "contrast"))
        elif cue.rule.category == "termination" or (cue.rule.category == "wh" and cue.start > start):
            walls.append(Wall(cue.start, "end"))
    for token in doc[start + 1 : end]:
        if doc[token.i - 1].text not in _PARTING or token.lower_ in _GOING_ON:
            continue
        walls.append(Wall(token.i, "end" if token.lower_ in _openers(own) else "comma"))
    return walls


def covers(cue: ClaimCue, spans: list[tuple[int, int]], walls: list[Wall]) -> list[int]:
    """Numbers of the mentions (token spans of one sentence, in order) that a cue acts on.

    A cue that reaches the whole sentence acts on all up to a "but". Any other acts to its left on the nearest mention
    alone ("one medusa, red, Crossota possibly"), and one that may act to either side acts on one of them, as its
    direction says.
    """
    reached = [n for n, _ in enumerate(spans) if _reaches(cue, n, spans, walls)]
    if cue.rule.reach == "sentence":
        return reached
    left = [n for n in reached if spans[n][1] <= cue.start][-1:]
    right = [n for n in reached if spans[n][0] >= cue.end]
    if not (left and right):
        return left or right
    if cue.rule.direction == "forward first":
        return right
    return left if cue.start - spans[left[0]][1] < spans[right[0]][0] - cue.end else right


def _reaches(cue: ClaimCue, number: int, spans: list[tuple[int, int]], walls: list[Wall]) -> bool:
    """Whether the cue may cover a mention of the same sentence.

    A mention that holds the cue, or is held by it, is not covered: its own words are no cue to it.
    """
    start, end = spans[number]
    ahead = start >= cue.end
    if not ahead and end > cue.start:
        return False
    direction = cue.rule.direction
    if direction not in ("both", "forward first", "forward" if ahead else "backward"):
        return False
    # To the left, a wall at the cue's own first word is the cue: "a flytrap anemone, I think".
    near, far = (cue.end, start + 1) if ahead else (end, cue.start)
    if any(near <= wall.at < far and _stops(wall, cue, spans, ahead) for wall in walls):
        return False
    if cue.rule.reach.endswith(" words"):
        return abs((start - cue.end) if ahead else (cue.start - end)) <= int(cue.rule.reach[:-6])
    return True


def _stops(wall: Wall, cue: ClaimCue, spans: list[tuple[int, int]], ahead: bool) -> bool:
    if wall.kind == "contrast" or cue.rule.reach == "sentence":
        return wall.kind == "contrast"
    if wall.kind == "end":
        return True
    met = ahead and any(cue.end <= start and end <= wall.at for start, end in spans)
    if wall.kind == "restart" or not met:
        return met
    # "Not A, B" puts B in its place; "no A, B or C" is a list, unless something stands between the comma and B.
    listed = any(start == wall.at for start, _ in spans)
    return cue.rule.category == "negation" or (cue.rule.category == "absence" and not listed)
