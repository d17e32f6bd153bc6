"""Misspelt and misheard names: windows of words that look unlike ordinary English, heard for the names of the list.

In three stages, each dearer and stricter than the one before: whether the words are worth a look, whether a name lies
near enough to be worth hearing, and how likely the best name is right. What was named elsewhere on the dive counts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import exp

import numpy as np

from earwitness.pipeline.mention.context import Context
from earwitness.pipeline.mention.mentions import Candidate
from earwitness.pipeline.mention.span_model import Matrix, SpanModel, bounded, hear_features, learned_spans, name_features
from earwitness.pipeline.mention.spans import Found, key_of
from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.pipeline.mention.windows import UNUSUAL, Window, is_small, looks, windows, zipf
from earwitness.taxonomy import NameIndex, exact_score
from earwitness.taxonomy.heard_names import HeardName, NameEar

ACCEPTED = 0.5
"""A window is taken for a name when it more likely means the best name than not (nameScore)."""
ALTERNATIVES = 5
NEAR, HEARD = 40, 12
"""Names near by their vectors, and names heard in full, for a window of running text; a question gets more."""
_SURE = 0.7
"""nameScore from which on a heard name counts as named for the names around it."""
_INDISTINCT = 0.67
"""Share of the second species by that of the first from which on the two cannot be told apart by sound."""


@dataclass(frozen=True)
class Offer:
    """A window with its names, best first, and the log odds that the best is right."""

    window: Window
    look: Matrix
    names: list[HeardName]
    log_odds: float

    @property
    def score(self) -> float:
        """nameScore of the best name, 0-1."""
        return 1 / (1 + exp(-max(min(self.log_odds, 30.0), -30.0)))


class HeardNames:
    """Finds names by how they sound.

    Args:
        index: the names.
        model: of windows; default: the learned one.
        ear: of the index; default: its own.
    """

    def __init__(self, index: NameIndex, model: SpanModel | None = None, ear: NameEar | None = None):
        self.index = index
        self._model = model or learned_spans()
        self._ear = ear or NameEar(index)

    def find(self, words: list[SpokenWord], found: list[Found]) -> list[Found]:
        """The spans found so far and the heard ones; one that says more than those inside it takes their place."""
        named = [span for span in found if span.candidates]
        free = [True] * len(words)
        for span in found:
            if not span.candidates:
                free[span.first : span.last] = [False] * (span.last - span.first)
        offers = [o for o in self.offers(words, free, named) if o.names]
        context = Context(self.index.checklist, named)
        first = [self._weighed(words, offer, context) for offer in offers]
        for offer in _apart(first, len(words)):
            if offer.score >= _SURE:
                context.add(offer.window, offer.names[0].row)
        kept = list(found)
        taken = [not is_free for is_free in free]
        second = (self._weighed(words, offer, context) for offer in offers)
        for offer in sorted(second, key=lambda o: (-o.log_odds, o.window)):
            first_word, last_word = offer.window
            inside = [span for span in named if span.first < last_word and span.last > first_word]
            if offer.score < ACCEPTED or any(taken[first_word:last_word]) or not self._says_more(offer, inside):
                continue
            taken[first_word:last_word] = [True] * (last_word - first_word)
            kept = [span for span in kept if span not in inside]
            kept.append(Found(first_word, last_word, self.candidates(offer)))
        return kept

    def offers(self, words: list[SpokenWord], free: list[bool], named: list[Found]) -> Iterator[Offer]:
        """Every window that is worth hearing, with what is heard."""
        besides = Besides(words, named)
        of = [window for window in windows(words, free) if besides.may_say_more(window)]
        look = looks(words, of)
        odds = self._model.look.log_odds(look)
        worth = np.flatnonzero(odds >= self._model.look.least)
        keys = [key_of(words, *of[at]) for at in worth]
        _, cosines = self._ear.nearest(keys, 2)
        hear = self._model.hear.log_odds(hear_features(odds[worth], cosines.astype(np.float64), look[worth, 3]))
        heard = np.flatnonzero(hear >= self._model.hear.least)
        if not len(heard):
            return
        for at, names in zip(heard.tolist(), self._ear.hear([keys[i] for i in heard], NEAR, HEARD), strict=True):
            yield Offer(of[worth[at]], look[worth[at]], names[: ALTERNATIVES + 1], 0.0)

    def _weighed(self, words: list[SpokenWord], offer: Offer, context: Context) -> Offer:
        """The offer in its context: names that were named elsewhere on the dive move up."""
        raised = [context.nats(name.row, offer.window) for name in offer.names]
        names = offer.names
        if any(raised):
            odds = [name.share * exp(nats) for name, nats in zip(names, raised, strict=True)]
            whole = sum(odds) + max(0.0, 1 - sum(name.share for name in names))
            moved = [
                (replace(name, fit=name.fit + nats, share=odd / whole), nats)
                for name, nats, odd in zip(names, raised, odds, strict=True)
            ]
            moved.sort(key=lambda pair: (-pair[0].fit, pair[0].entry))
            names, raised = [name for name, _ in moved], [nats for _, nats in moved]
        features = name_features(words, offer.window, offer.look, names, names[0].features)
        features[0] -= raised[0]  # How well the sounds fit stays what it was; the context counts by itself.
        log_odds = float(bounded(self._model.name.log_odds(features[None, :]) + raised[0], features[1:2])[0])
        return Offer(offer.window, offer.look, names, log_odds)

    def _says_more(self, offer: Offer, inside: list[Found]) -> bool:
        """Whether the best name may stand for names already found in its words: of the same group, and lower."""
        checklist, row = self.index.checklist, offer.names[0].row
        return all(
            span.candidates[0].row != row and checklist.is_same_or_ancestor(span.candidates[0].row, row)
            for span in inside
        )

    def candidates(self, offer: Offer) -> tuple[Candidate, ...]:
        """The names as candidates with their scores; where species cannot be told apart, their genus first."""
        best = offer.names[0]
        top = min(offer.score, exact_score("exact"))
        result = []
        for name in offer.names[:ALTERNATIVES]:
            entry = self.index.entry(name.entry)
            score = round(top * min(name.share / max(best.share, 1e-9), 1.0), 3)
            result.append(Candidate(name.row, entry.row, entry.text, "similar", score, entry.number))
        genus = self._genus_of_indistinct(offer.names)
        if genus is not None:
            both = min(top * 2, exact_score("group"))
            said = self.index.checklist.taxon(genus).scientific_name
            result.insert(0, Candidate(genus, genus, said, "group", round(max(both, result[0].score), 3)))
        return tuple(sorted(result, key=lambda c: -c.score))

    def _genus_of_indistinct(self, names: list[HeardName]) -> int | None:
        """The genus of the two best species, if they cannot be told apart."""
        checklist = self.index.checklist
        if len(names) < 2 or names[1].share < _INDISTINCT * names[0].share:
            return None
        one, other = (checklist.taxon(name.row) for name in names[:2])
        if one.rank != "species" or other.rank != "species":
            return None
        for row in checklist.lineage(names[0].row):
            if checklist.taxon(row).rank == "genus":
                return row if checklist.is_same_or_ancestor(row, names[1].row) else None
        return None


class Besides:
    """Tells which windows may say more than the names found so far: those that touch none of them, or hold each they
    touch and an unusual word besides."""

    def __init__(self, words: list[SpokenWord], named: list[Found]):
        self._words = words
        self._span_at: dict[int, Found] = {at: span for span in named for at in range(span.first, span.last)}

    def may_say_more(self, window: Window) -> bool:
        """Whether the window may be heard."""
        first, last = window
        besides = [at for at in range(first, last) if at not in self._span_at]
        if len(besides) == last - first:
            return True
        cut = any(self._span_at[at].first < first for at in (first,) if at in self._span_at)
        cut |= any(self._span_at[at].last > last for at in (last - 1,) if at in self._span_at)
        edges = any(is_small(self._words[at]) for at in (first, last - 1))
        return not cut and not edges and any(zipf(self._words[at].key) < UNUSUAL for at in besides)


def _apart(offers: list[Offer], size: int) -> Iterator[Offer]:
    """The likeliest offers that do not overlap."""
    taken = [False] * size
    for offer in sorted(offers, key=lambda o: (-o.log_odds, o.window)):
        first, last = offer.window
        if not any(taken[first:last]):
            taken[first:last] = [True] * (last - first)
            yield offer
