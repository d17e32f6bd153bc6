"""How far a cue reaches inside its sentence: to a termination word, a new clause, or a number of words."""

from __future__ import annotations

from functools import cache

from spacy.tokens import Doc

from earwitness.pipeline.judge.cues import ClaimCue
from earwitness.pipeline.words import word_rows

_PARTING = {",", ";", ":", "-", "–", "—"}


@cache
def _openers() -> frozenset[str]:
    return frozenset(row["word"] for row in word_rows("clause_openers"))


def clause_walls(doc: Doc, start: int, end: int, cues: list[ClaimCue]) -> list[int]:
    """Tokens of [start, end) before which a clause ends: termination words, and commas before a new subject."""
    walls = {cue.start for cue in cues if cue.rule.category == "termination"}
    for token in doc[start + 1 : end]:
        if doc[token.i - 1].text in _PARTING and token.lower_ in _openers():
            walls.add(token.i)
    return sorted(walls)


def covers(cue: ClaimCue, spans: list[tuple[int, int]], walls: list[int]) -> list[int]:
    """Numbers of the mentions (token spans of one sentence, in order) that a cue acts on.

    A cue that reaches the whole sentence acts on all. Any other acts to its left on the nearest mention alone ("one
    medusa, red, Crossota possibly"), and one that may act to either side acts on the nearer side.
    """
    reached = [n for n, (start, end) in enumerate(spans) if _reaches(cue, start, end, walls)]
    if cue.rule.reach == "sentence":
        return reached
    left = [n for n in reached if spans[n][1] <= cue.start][-1:]
    right = [n for n in reached if spans[n][0] >= cue.end]
    if not (left and right):
        return left or right
    return left if cue.start - spans[left[0]][1] < spans[right[0]][0] - cue.end else right


def _reaches(cue: ClaimCue, start: int, end: int, walls: list[int]) -> bool:
    """Whether the cue may cover the mention at tokens [start, end) of the same sentence.

    A mention that holds the cue, or is held by it, is not covered: its own words are no cue to it.
    """
    ahead = start >= cue.end
    if not ahead and end > cue.start:
        return False
    direction = cue.rule.direction
    if direction not in ("both", "forward" if ahead else "backward"):
        return False
    if cue.rule.reach == "sentence":
        return True
    # To the left, a wall at the cue's own first word is the cue: "a flytrap anemone, I think".
    near, far = (cue.end, start + 1) if ahead else (end, cue.start)
    if any(near <= wall < far for wall in walls):
        return False
    if cue.rule.reach.endswith(" words"):
        return abs((start - cue.end) if ahead else (cue.start - end)) <= int(cue.rule.reach[:-6])
    return True
