"""Heard words that people corrected before: what they said the words mean, longest words first."""

from __future__ import annotations

from earwitness.pipeline.mention.mentions import Candidate
from earwitness.pipeline.mention.spans import Found, covered, key_of
from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.taxonomy import Corrections, exact_score


class CorrectedNames:
    """Finds the heard words of a file of corrections."""

    def __init__(self, corrections: Corrections):
        self._corrections = corrections
        self._by_size: dict[int, frozenset[str]] = {}
        for size in {key.count(" ") + 1 for key in corrections.keys}:
            self._by_size[size] = frozenset(key for key in corrections.keys if key.count(" ") + 1 == size)

    def find(self, words: list[SpokenWord], found: list[Found]) -> list[Found]:
        """Spans of corrected words among those that are not taken; one that names no taxon has no candidates."""
        taken = covered(found, len(words))
        spans: list[Found] = []
        for size in sorted(self._by_size, reverse=True):
            for first in range(len(words) - size + 1):
                last = first + size
                if any(taken[first:last]) or any(word.opens for word in words[first + 1 : last]):
                    continue
                key = key_of(words, first, last)
                if key in self._by_size[size]:
                    taken[first:last] = [True] * size
                    spans.append(Found(first, last, self._candidates(key)))
        return spans

    def _candidates(self, key: str) -> tuple[Candidate, ...]:
        """What was said last stands first; what others said stays below it."""
        rows = self._corrections.names_for(key)
        best = exact_score("corrected")
        checklist = self._corrections.checklist
        return tuple(
            Candidate(
                row,
                row,
                checklist.taxon(row).scientific_name,
                "corrected",
                best if place == 0 else round(best / len(rows), 3),
            )
            for place, row in enumerate(rows)
        )
