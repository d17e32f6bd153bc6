"""Whose words these are: which sighting a stretch of words in a sentence speaks of."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from earwitness.pipeline.describe.stretch import CLAUSE, LIGHT, LINK, NONE, Named, Stretch, with_role
from earwitness.pipeline.words.phrases import Phrases

_FAR = 25
"""Words beyond which a name no longer draws words to it (common practice, no source)."""
_ATTRIBUTE_GAP = 3
"""Words that may stand between an attribute and its name: "a white, hairy, deep-sea crab"."""


@dataclass(frozen=True, slots=True)
class Owner:
    """Whose the words are.

    Args:
        sighting: None where they speak of no animal on the screen.
        attributive: they stand right before the name ("a red crab").
        person: the nearest subject is a person ("we are resting").
        by_subject: the animal is the subject: named, or "it", before the words.
    """

    sighting: int | None
    attributive: bool = False
    person: bool = False
    by_subject: bool = False


@cache
def _pointers(role: str, own: Path | None) -> Phrases:
    return with_role("pointers", role, own)


class Owners:
    """Finds the owner of words of one stretch; `current` is the sighting spoken of before it."""

    def __init__(self, stretch: Stretch, current: int | None):
        self.stretch, self.current = stretch, current
        self._firsts = [name.first for name in stretch.named]
        outside = [f for f in stretch.phrases(_pointers("animal", stretch.own)) if f.first not in stretch.in_name]
        self.pointers = [found.first for found in outside]
        self.people = [found.first for found in stretch.phrases(_pointers("people", stretch.own))]

    def of(self, first: int, last: int, *, after_subject: bool) -> Owner:
        """The owner of words [first, last).

        Args:
            after_subject: whether such words rather follow their subject ("crab eating ...") than stand before the
                name as adjectives do ("a red crab").
        """
        left, right = self.left_of(first), self.right_of(last)
        pointed = self._before(self.pointers, first)
        person = self._before(self.people, first)
        is_person = person > max(pointed, left.first if left else -1)
        before = self.stretch.parting(left.last, first) if left else CLAUSE + 1
        behind = self.stretch.parting(last, right.first) if right else CLAUSE + 1
        adjacent = right is not None and behind == NONE and right.first - last <= _ATTRIBUTE_GAP
        if right and adjacent and not (after_subject and left and before <= LIGHT):
            return Owner(right.sighting, attributive=True)
        if left is not None and (before <= behind or pointed > left.first):
            return Owner(self._spoken_of(left, before), person=is_person, by_subject=True)
        names_next = behind < LINK and not after_subject and self._names(pointed, first)
        if left is None and pointed >= 0 and not names_next:
            return Owner(self.current, person=is_person, by_subject=True)
        if right is not None and (behind < CLAUSE or (left is None and self.current is None)):
            return Owner(right.sighting, person=is_person)
        return Owner(self.current if left is None else left.sighting, person=is_person)

    def left_of(self, first: int) -> Named | None:
        """The nearest name that ends before word `first`."""
        at = bisect_left(self._firsts, first) - 1
        if at < 0:
            return None
        name = self.stretch.named[at]
        return name if name.last <= first and first - name.last <= _FAR else None

    def right_of(self, last: int) -> Named | None:
        """The nearest name that begins at or behind word `last`."""
        at = bisect_left(self._firsts, last)
        if at == len(self._firsts):
            return None
        name = self.stretch.named[at]
        return name if name.first - last <= _FAR else None

    def pointer_before(self, first: int) -> bool:
        """Whether "it" or its like is the nearest subject before a word, with no name between."""
        pointed = self._before(self.pointers, first)
        left = self.left_of(first)
        return pointed > max(left.first if left else -1, self._before(self.people, first))

    def _before(self, places: list[int], first: int) -> int:
        at = bisect_left(places, first) - 1
        return places[at] if at >= 0 and first - places[at] <= _FAR else -1

    def _names(self, pointed: int, first: int) -> bool:
        """Whether "it" says what is named next: "it's a juvenile, this rattail" has no more than a copula between."""
        return set(self.stretch.words[pointed + 1 : first]) <= {"is", "are", "a", "an", "the"}

    def _spoken_of(self, left: Named, before: int) -> int | None:
        """Behind a name that was only denied, a new part of the sentence speaks of the animal that is there."""
        if left.sighting is None and left.status in ("denied", "compared") and before != NONE:
            return self.current
        return left.sighting
