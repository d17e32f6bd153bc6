"""Misspelt and misheard names: windows of words that look unlike ordinary English, heard for the names of the list.

In three stages, each dearer and stricter than the one before: whether the words are worth a look, whether a name lies
near enough to be worth hearing, and how likely the best name is right. What was named elsewhere on the dive counts.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import exp

import numpy as np

from earwitness.pipeline.mention.context import Context
from earwitness.pipeline.mention.mentions import Candidate
from earwitness.pipeline.mention.span_model import (
    Matrix,
    SpanModel,
    bounded,
    hear_features,
    learned_spans,
    look_features,
    name_features,
    rival_features,
)
from earwitness.pipeline.mention.spans import Found, covered, key_of, spans_at
from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.pipeline.mention.windows import LESS_COMMON, Window, is_small, windows, zipf
from earwitness.taxonomy import NameIndex, exact_score
from earwitness.taxonomy.heard_names import HeardName, NameEar

ACCEPTED = 0.5
"""A window is taken for a name when it more likely means the best name than not (nameScore)."""
ALTERNATIVES = 5
NEAR, HEARD = 28, 10
"""Names near by their vectors, and names heard in full, for a window of running text; a question gets more."""
_SURE = 0.7
"""nameScore from which on a heard name counts as named for the names around it."""
_SOUNDS_LIKE = 2.0
"""Nats a sound under which words sound like a name: 90% of the species of the development pairs cost under 1.93, 99% of
the same names in another order over 2.64."""
_INDISTINCT = 0.67
"""Share of the second species by that of the first from which on the two cannot be told apart by sound."""


@dataclass(frozen=True)
class Offer:
    """A window with its names, best first, and the log odds that the best is right."""

    window: Window
    look: Matrix
    beside: Matrix
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
        self._ear = ear or index.ear

    def find(self, words: list[SpokenWord], found: list[Found]) -> list[Found]:
        """The spans found so far and the heard ones; one that says more than those inside it takes their place."""
        named = [span for span in found if span.candidates]
        taken = covered((span for span in found if not span.candidates), len(words))
        span_at = spans_at(named)
        offers = self.offers(words, [not is_taken for is_taken in taken], span_at)
        context = Context(self.index.checklist, named)
        first = self._weighed(words, offers, context)
        for offer in _apart(first, len(words)):
            if offer.score >= _SURE:
                context.add(offer.window, offer.names[0].row)
        heard: list[Found] = []
        replaced: set[Found] = set()
        second = self._weighed(words, offers, context)
        for offer in map(_closest_of(second), sorted(second, key=lambda o: (-o.log_odds, o.window))):
            begin, end = offer.window
            inside = {span_at[at] for at in range(begin, end) if at in span_at}
            if offer.score < ACCEPTED or any(taken[begin:end]) or not self._says_more(words, offer, inside):
                continue
            taken[begin:end] = [True] * (end - begin)
            replaced |= inside
            heard.append(Found(begin, end, self.candidates(offer)))
        return [span for span in found if span not in replaced] + heard

    def offers(self, words: list[SpokenWord], free: list[bool], span_at: Mapping[int, Found]) -> list[Offer]:
        """Every window that is worth hearing and stands for a name, out of context; `span_at` as for `may_say_more`."""
        of = [window for window in windows(words, free) if may_say_more(words, window, span_at)]
        look = look_features(words, of)
        odds = self._model.look.log_odds(look)
        worth = np.flatnonzero(odds >= self._model.look.least)
        keys = [key_of(words, *of[at]) for at in worth]
        _, cosines = self._ear.nearest(keys, 2)
        hear = self._model.hear.log_odds(hear_features(look[worth], odds[worth], cosines.astype(np.float64)))
        heard = np.flatnonzero(hear >= self._model.hear.least)
        found = [
            (worth[at], names[: ALTERNATIVES + 1])
            for at, names in zip(heard.tolist(), self._ear.hear([keys[i] for i in heard], NEAR, HEARD), strict=True)
            if names
        ]
        some = [at for at, _ in found]
        beside = rival_features([of[at] for at in some], [names for _, names in found], look[some])
        offers = [Offer(of[at], look[at], row, names, 0.0) for (at, names), row in zip(found, beside, strict=True)]
        return self._scored(words, offers, [0.0] * len(offers))

    def _weighed(self, words: list[SpokenWord], offers: list[Offer], context: Context) -> list[Offer]:
        """The offers in their context: names named elsewhere on the dive move up, and never make one less likely."""
        moved = [_moved(offer, context) for offer in offers]
        changed = [number for number, (_, nats) in enumerate(moved) if nats is not None]
        result = list(offers)
        again = self._scored(words, [moved[n][0] for n in changed], [moved[n][1] or 0.0 for n in changed])
        for number, offer in zip(changed, again, strict=True):
            result[number] = replace(offer, log_odds=max(offer.log_odds, offers[number].log_odds))
        return result

    def _scored(self, words: list[SpokenWord], offers: Sequence[Offer], nats: Sequence[float]) -> list[Offer]:
        """The offers with the log odds of their best names, which the context raised by `nats`."""
        if not offers:
            return []
        features = np.stack([name_features(words, o.window, o.look, o.names, o.beside) for o in offers])
        features[:, 0] -= nats  # How well the sounds fit stays what it was; the context counts by itself.
        log_odds = bounded(self._model.name.log_odds(features) + np.array(nats), features[:, 1])
        return [replace(offer, log_odds=float(odds)) for offer, odds in zip(offers, log_odds, strict=True)]

    def _says_more(self, words: list[SpokenWord], offer: Offer, inside: set[Found]) -> bool:
        """Whether the best name may stand for names already found in its words: of the same group, lower, and the words
        besides sound like the rest of the name ("Chaceon afinis", but not "Chaceon scavenging")."""
        if not inside:
            return True
        checklist, best = self.index.checklist, offer.names[0]
        if not all(
            span.candidates[0].row != best.row and checklist.is_same_or_ancestor(span.candidates[0].row, best.row)
            for span in inside
        ):
            return False
        found = {at for span in inside for at in range(span.first, span.last)}
        besides = [words[at].key for at in range(*offer.window) if at not in found]
        said = {words[at].key for at in found}
        name = self.index.entry(best.entry).key.split(" ")
        rest = [word for word in name if word not in said]
        if rest == name:  # "vulcan octopus" for Vulcanoctopus: no word of the name came through.
            besides = [words[at].key for at in range(*offer.window)]
        return self._ear.nats_per_sound(" ".join(besides), " ".join(rest)) < _SOUNDS_LIKE

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
            # It may be among the names by itself: one taxon each.
            result = [candidate for candidate in result if candidate.row != genus]
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


def _moved(offer: Offer, context: Context) -> tuple[Offer, float | None]:
    """The offer with its names in the order that the context gives them, and the nats the best was raised by; None
    where the context says nothing of any."""
    raised = [context.nats(name.row, offer.window) for name in offer.names]
    if not any(raised):
        return offer, None
    odds = [name.share * exp(nats) for name, nats in zip(offer.names, raised, strict=True)]
    whole = sum(odds) + max(0.0, 1 - sum(name.share for name in offer.names))
    moved = [
        (replace(name, fit=name.fit + nats, share=odd / whole), nats)
        for name, nats, odd in zip(offer.names, raised, odds, strict=True)
    ]
    moved.sort(key=lambda pair: (-pair[0].fit, pair[0].entry))
    return replace(offer, names=[name for name, _ in moved]), moved[0][1]


def may_say_more(words: list[SpokenWord], window: Window, span_at: Mapping[int, Found]) -> bool:
    """Whether a window touches no name found so far, or holds each it touches and an unusual word besides.

    `span_at` has the span of the name found at a word, see `spans_at`.
    """
    first, last = window
    besides = [at for at in range(first, last) if at not in span_at]
    if len(besides) == last - first:
        return True
    opening, closing = span_at.get(first), span_at.get(last - 1)
    cut = (opening is not None and opening.first < first) or (closing is not None and closing.last > last)
    small_edge = is_small(words[first]) or is_small(words[last - 1])
    return not cut and not small_edge and any(zipf(words[at].key) < LESS_COMMON for at in besides)


def _apart(offers: list[Offer], size: int) -> Iterator[Offer]:
    """The likeliest offers that do not overlap."""
    taken = [False] * size
    for offer in sorted(offers, key=lambda o: (-o.log_odds, o.window)):
        first, last = offer.window
        if not any(taken[first:last]):
            taken[first:last] = [True] * (last - first)
            yield offer


def _closest_of(offers: list[Offer]) -> Callable[[Offer], Offer]:
    """Of windows inside one another with the same best name, the one that fits it best: no word too many."""
    by_row: dict[int, list[Offer]] = {}
    for offer in offers:
        if offer.score >= ACCEPTED:
            by_row.setdefault(offer.names[0].row, []).append(offer)
    for same in by_row.values():
        same.sort(key=lambda offer: offer.window)

    def closest(offer: Offer) -> Offer:
        same = by_row.get(offer.names[0].row, [])
        first, last = offer.window
        begin = bisect_left(same, (first, first), key=lambda o: o.window)
        end = bisect_left(same, (last, last), key=lambda o: o.window)
        within = [other for other in same[begin:end] if other.window[1] <= last]
        return max(within, key=lambda other: (other.names[0].fit, other.window), default=offer)

    return closest
