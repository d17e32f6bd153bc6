"""Misspelt and misheard names: spans that hold an unusual word, compared with the names most like them."""

from __future__ import annotations

from functools import lru_cache
from math import inf
from pathlib import Path

from wordfreq import zipf_frequency

from earwitness.pipeline.mention.mentions import Candidate
from earwitness.pipeline.mention.spans import Found, covered, key_of
from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.pipeline.words import word_rows
from earwitness.taxonomy import Likeness, NameEntry, NameIndex, similar_score
from earwitness.taxonomy.name_score import log_odds

UNUSUAL_WORD = 3.0
"""Zipf frequency below which a word may be a name that a caption bent: "sarsie" 0, "barnacle" 2.3, "finish" 4.7."""
ACCEPTED = 0.5
"""A span is taken for a name when it more likely means the name than not (nameScore)."""
_WIDEST_SPAN = 4
_FEWEST_LETTERS = 5
_ALTERNATIVES = 5


class SimilarNames:
    """Finds names by their likeness to what was heard."""

    def __init__(self, index: NameIndex, own_words: Path | None = None):
        self.index = index
        self.never_at_edge = {row["word"] for row in word_rows("edge_words", own_words)}
        self._ranked = lru_cache(maxsize=50_000)(self._rank)

    def find(self, words: list[SpokenWord], found: list[Found]) -> list[Found]:
        """Non-overlapping similar names among the words that are not taken yet, likeliest first."""
        taken = covered(found, len(words))
        offers: list[tuple[float, Found]] = []
        for first, last in self.spans(words, taken):
            odds, candidates = self._ranked(key_of(words, first, last))
            if candidates and candidates[0].score >= ACCEPTED:
                offers.append((odds, Found(first, last, candidates)))
        # By odds, not by the bounded score: where that is at its bound, the longer span would swallow its neighbours.
        offers.sort(key=lambda offer: (-offer[0], offer[1].first, offer[1].last))
        kept: list[Found] = []
        for _, offer in offers:
            if not any(taken[offer.first : offer.last]):
                kept.append(offer)
                taken[offer.first : offer.last] = [True] * (offer.last - offer.first)
        return kept

    def spans(self, words: list[SpokenWord], taken: list[bool]) -> list[tuple[int, int]]:
        """Runs of one to four free words, unparted, with an unusual word among them and no small word at an end."""
        unusual = [
            not taken[i] and len(word.key) > 2 and word.key.isalpha() and _zipf(word.key) < UNUSUAL_WORD
            for i, word in enumerate(words)
        ]
        spans = []
        for first in range(len(words)):
            for last in range(first + 1, min(first + _WIDEST_SPAN, len(words)) + 1):
                if taken[last - 1] or (last - 1 > first and words[last - 1].parted):
                    break
                if not any(unusual[first:last]) or {words[first].key, words[last - 1].key} & self.never_at_edge:
                    continue
                if sum(len(word.key) for word in words[first:last]) >= _FEWEST_LETTERS:
                    spans.append((first, last))
        return spans

    def _rank(self, key: str) -> tuple[float, tuple[Candidate, ...]]:
        """The log odds of the best candidate, and all candidates."""
        ranked: list[Candidate] = []
        found = likenesses(self.index, key, _ALTERNATIVES)
        for entry, likeness in found:
            row = self.index.checklist.accepted(entry.row)
            ranked.append(Candidate(row, entry.row, entry.text, "similar", similar_score(likeness), entry.number))
        return (log_odds(found[0][1]) if found else -inf), tuple(ranked)


def likenesses(index: NameIndex, key: str, limit: int) -> list[tuple[NameEntry, Likeness]]:
    """The names most like these words, best first, with what their scores are read off."""
    found = index.similar(key, max(limit, 2))
    words = key.split(" ")
    commonness = sum(_zipf(word) for word in words) / len(words)
    letters = sum(map(len, words))
    ranked = []
    for place, (entry, similarity) in enumerate(found[:limit]):
        rival = max((other for n, (_, other) in enumerate(found) if n != place), default=0.0)
        ranked.append((entry, Likeness(similarity, similarity - rival, letters, commonness, len(words))))
    return ranked


@lru_cache(maxsize=100_000)
def _zipf(word: str) -> float:
    return float(zipf_frequency(word, "en"))
