"""Learn `span_stages.csv` and `span_trees.csv` of `pipeline/mention`: which words may be a name, and how surely.

    python -m tests.learn.spans

Every sentence of the development set is heard by models that were not taught its name, against the large checklist and
against a local one; three ensembles of boosted trees are learned on its windows of words, each on what the one before
lets through. Figures on unseen names: `python -m tests.bench names`, which learns anew without each fold.
"""

from __future__ import annotations

import csv
import gzip
import random
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
from sklearn.linear_model import LogisticRegression

from earwitness.pipeline.mention.exact import ExactNames
from earwitness.pipeline.mention.heard import ALTERNATIVES, HEARD, NEAR, may_say_more
from earwitness.pipeline.mention.span_model import (
    NAME,
    SpanModel,
    hear_features,
    look_features,
    name_features,
    rival_features,
)
from earwitness.pipeline.mention.spans import Found, key_of, spans_at
from earwitness.pipeline.mention.spoken_words import SpokenWord, spoken_words
from earwitness.pipeline.mention.trees import Trees
from earwitness.pipeline.mention.windows import WIDEST, Window, windows
from earwitness.pipeline.segment import build_language
from earwitness.taxonomy import NameIndex, load_checklist
from earwitness.taxonomy.heard_names import HeardName, NameEar, Weights
from earwitness.taxonomy.hearing import Models, name_arrays
from tests.learn.hearing import KEPT, LARGE, examples, fold_index, learned_weights
from tests.learn.pairs import FOLDS, fold_of, sentences
from tests.learn.prose import dive_talk, prose
from tests.learn.span_trees import NAME_TREES, Gate, boosted, gate, trees_of, write

SMALL_LIST = 1500
PROSE = 500
"""Sentences of ordinary prose that are heard, too: there is no name in them."""
KEPT_BY_LOOK, KEPT_BY_HEAR = 0.95, 0.93
"""Share of the windows that are right which the first and the second stage have to let through."""


Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Sentence:
    """A sentence as heard: its words, the words of the name (None: unknown or no name), the row that was said."""

    fold: int
    kind: str
    voice: str
    words: list[SpokenWord]
    truth: Window | None
    taxon_id: str
    found: list[Found]


@dataclass
class Windows:
    """Windows of many sentences with the features of all stages; a window not heard has no names."""

    of: list[tuple[int, Window]]
    folds: npt.NDArray[np.int64]
    look: Array
    span: npt.NDArray[np.bool_]
    cosines: Array
    names: list[list[HeardName]]
    name: Array
    right: npt.NDArray[np.bool_]


def heard_sentences(index: NameIndex) -> list[Sentence]:
    """All sentences of the development set, some prose, some talk of dives, with the exact names found in them."""
    nlp = build_language()
    exact = ExactNames(index)
    result = []
    for row in sentences():
        doc = nlp(row["heard_sentence"])
        words = spoken_words(doc)
        begin, end = int(row["heard_start_char"]), int(row["heard_end_char"])
        inside = [
            at
            for at, word in enumerate(words)
            if begin >= 0 and doc[word.start].idx < end and doc[word.end - 1 : word.end].end_char > begin
        ]
        truth = (inside[0], inside[-1] + 1) if inside else None
        fold = fold_of(row["spoken_name"] or row["id"])
        found = exact.find(words, [])
        result.append(Sentence(fold, row["name_kind"], row["voice"], words, truth, row["taxonID"], found))
    for number, text in enumerate(prose(PROSE)):
        words = spoken_words(nlp(text))
        result.append(Sentence(number % FOLDS, "prose", "", words, None, "", exact.find(words, [])))
    for number, text in enumerate(dive_talk()):
        words = spoken_words(nlp(text))
        result.append(Sentence(number % FOLDS, "talk", "", words, None, "", exact.find(words, [])))
    return result


def small_list(to: Path) -> Path:
    """A local checklist: the taxa of the pairs and some others, drawn with a fixed seed."""
    with gzip.open(LARGE, "rt", encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    wanted = {row["taxonID"] for row in sentences()}
    wanted |= set(random.Random(3).sample([row["taxonID"] for row in rows], SMALL_LIST))
    to.parent.mkdir(parents=True, exist_ok=True)
    with to.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, fieldnames=list(rows[0]))
        writer.writeheader()
        writer.writerows(row for row in rows if row["taxonID"] in wanted)
    return to


def indexes(size: str) -> dict[int, tuple[NameIndex, Models]]:
    """The large or the small list, as the models of each fold hear it."""
    large = {fold: fold_index(fold) for fold in range(FOLDS)}
    if size == "large":
        return large
    checklist = load_checklist(small_list(KEPT / "small.csv"))
    plain = NameIndex(checklist, arrays={})
    keys = list(plain.tables.keys)
    return {f: (NameIndex(checklist, plain.tables, name_arrays(keys, m)), m) for f, (_, m) in large.items()}


def all_windows(of: Sequence[Sentence]) -> Windows:
    """The windows of sentences, before anything is heard."""
    places: list[tuple[int, Window]] = []
    look = []
    for number, sentence in enumerate(of):
        span_at = spans_at(span for span in sentence.found if span.candidates)
        every = windows(sentence.words, [True] * len(sentence.words))
        some = [window for window in every if may_say_more(sentence.words, window, span_at)]
        places += [(number, window) for window in some]
        look.append(look_features(sentence.words, some))
    count = len(places)
    span = np.array([of[number].truth == window for number, window in places])
    folds = np.array([of[number].fold for number, _ in places])
    blank = np.zeros((count, len(NAME)))
    return Windows(
        places, folds, np.concatenate(look), span, np.zeros((count, 2)), [[] for _ in places], blank, span & False
    )


def hear(
    of: Sequence[Sentence], places: Windows, lists: dict[int, tuple[NameIndex, Models]], worth: npt.NDArray[np.bool_]
) -> None:
    """Hear every window that the first stage lets through, each by the models of its fold."""
    weights = cross_weights()
    for fold, (index, models) in lists.items():
        ear = NameEar(index, models, weights[fold])
        some = np.flatnonzero(worth & (places.folds == fold))
        for begin in range(0, len(some), 2000):
            numbers = some[begin : begin + 2000].tolist()
            keys = [key_of(of[places.of[n][0]].words, *places.of[n][1]) for n in numbers]
            places.cosines[numbers] = ear.nearest(keys, 2)[1]
            for number, names in zip(numbers, ear.hear(keys, NEAR, HEARD), strict=True):
                sentence, window = of[places.of[number][0]], places.of[number][1]
                places.names[number] = names[: ALTERNATIVES + 1]
                if names:
                    places.right[number] = is_right(sentence, window, names[0].row, index)


def let_through(said: dict[str, list[Sentence]], heard: dict[str, Windows], look: dict[str, Array]) -> Trees:
    """The second stage; forgets the names of the windows that it stops, and weighs the rest beside each other.

    Args:
        look: log odds of the first stage, of every window.
    """
    some = {size: np.array([bool(names) for names in places.names]) for size, places in heard.items()}
    features = [hear_features(p.look, look[size], p.cosines)[some[size]] for size, p in heard.items()]
    right = [p.right[some[size]] for size, p in heard.items()]
    folds = [p.folds[some[size]] for size, p in heard.items()]
    second = gate("hear", np.concatenate(features), np.concatenate(right), np.concatenate(folds), KEPT_BY_HEAR)
    parts = np.split(second.odds, np.cumsum([len(part) for part in right])[:-1])
    for (size, places), odds in zip(heard.items(), parts, strict=True):
        for number in np.flatnonzero(some[size])[odds < second.trees.least].tolist():
            places.names[number] = []
        _weigh_names(said[size], places)
    return second.trees


def _weigh_names(of: Sequence[Sentence], places: Windows) -> None:
    """Fill in the features of the third stage; windows of different sentences are no rivals of each other."""
    begins = np.cumsum([0, *(len(sentence.words) + WIDEST for sentence in of)]).tolist()
    heard = [number for number, names in enumerate(places.names) if names]
    apart = [(begins[n] + window[0], begins[n] + window[1]) for n, window in (places.of[h] for h in heard)]
    beside = rival_features(apart, [places.names[h] for h in heard], places.look[heard])
    for number, row in zip(heard, beside, strict=True):
        sentence, window = of[places.of[number][0]], places.of[number][1]
        places.name[number] = name_features(sentence.words, window, places.look[number], places.names[number], row)


def is_right(sentence: Sentence, window: Window, row: int, index: NameIndex) -> bool:
    """Whether a row named for a window is the one that was said there."""
    rows = index.checklist.rows_by_id.get(sentence.taxon_id, ())
    if not rows or index.checklist.accepted(rows[0]) != row:
        return False
    return sentence.truth is None or (window[0] < sentence.truth[1] and window[1] > sentence.truth[0])


_cross: dict[int, Weights] = {}


def cross_weights() -> dict[int, Weights]:
    """The weights of hearing, learned without each fold."""
    if not _cross:
        of = examples()
        _cross.update({fold: learned_weights([e for e in of if e.pair.fold != fold]) for fold in range(FOLDS)})
    return _cross


def third_stage(heard: Sequence[Windows], without: int | None = None) -> Trees:
    """The third stage, learned without a fold."""
    some = [
        (p, np.array([bool(n) for n in p.names]) & (p.folds != (-1 if without is None else without))) for p in heard
    ]
    features, right = (
        np.concatenate(part) for part in zip(*((p.name[at], p.right[at]) for p, at in some), strict=True)
    )
    return trees_of("name", boosted(features, right, NAME_TREES))


def held_out(heard: dict[str, Windows]) -> dict[str, Array]:
    """Log odds of every window by the trees that were not taught its fold; minus infinity where it is not heard."""
    models = [third_stage(list(heard.values()), without=fold) for fold in range(FOLDS)]
    result = {}
    for size, places in heard.items():
        odds = np.full(len(places.of), -np.inf)
        for fold, model in enumerate(models):
            some = np.array([bool(names) for names in places.names]) & (places.folds == fold)
            odds[some] = model.log_odds(places.name[some])
        result[size] = odds
    return result


def picked(places: Windows, odds: Array) -> list[int]:
    """The windows that do not overlap, likeliest first, as the mention stage takes them."""
    taken: dict[int, set[int]] = defaultdict(set)
    result = []
    for at in np.argsort(-odds, kind="stable").tolist():
        number, (first, last) = places.of[at]
        if np.isfinite(odds[at]) and not taken[number] & set(range(first, last)):
            taken[number].update(range(first, last))
            result.append(at)
    return result


def calibration(heard: dict[str, Windows], odds: dict[str, Array], without: int | None = None) -> tuple[float, float]:
    """Slope and shift that make the log odds of windows that are taken agree with how often they are right.

    The windows taken are the likeliest of those that overlap, so they are right more often than all windows of their
    odds. After Platt 1999, "Probabilistic outputs for support vector machines" (from memory).
    """
    said, right = [], []
    for size, places in heard.items():
        some = [at for at in picked(places, odds[size]) if places.folds[at] != (-1 if without is None else without)]
        said.append(odds[size][some])
        right.append(places.right[some])
    model = LogisticRegression(C=1e6).fit(np.concatenate(said)[:, None], np.concatenate(right))
    return float(model.coef_[0, 0]), float(model.intercept_[0])


def calibrated(model: Trees, slope: float, shift: float) -> Trees:
    """The trees with their log odds stretched and shifted."""
    return replace(model, value=slope * model.value, bias=slope * model.bias + shift)


def learned_windows() -> tuple[dict[str, list[Sentence]], dict[str, Windows], Trees, Trees]:
    """Sentences and heard windows by size of list, and the first two stages.

    What these let through is told by trees that were not taught the window's fold; the first is learned on the windows
    against the large list, those against the local one are nearly the same.
    """
    said: dict[str, list[Sentence]] = {}
    heard: dict[str, Windows] = {}
    odds: dict[str, Array] = {}
    first: Gate | None = None
    for size in ("large", "small"):
        lists = indexes(size)
        said[size] = heard_sentences(lists[0][0])
        heard[size] = all_windows(said[size])
        if first is None:
            first = gate("look", heard[size].look, heard[size].span, heard[size].folds, KEPT_BY_LOOK)
        by_place = dict(zip(heard["large"].of, first.odds.tolist(), strict=True))
        ours = first.trees.log_odds(heard[size].look).tolist()
        odds[size] = np.array([by_place.get(place, own) for place, own in zip(heard[size].of, ours, strict=True)])
        hear(said[size], heard[size], lists, odds[size] >= first.trees.least)
    assert first is not None
    return said, heard, first.trees, let_through(said, heard, odds)


def main() -> None:
    _, heard, look, second = learned_windows()
    slope, shift = calibration(heard, held_out(heard))
    write(SpanModel(look, second, calibrated(third_stage(list(heard.values())), slope, shift)))


if __name__ == "__main__":
    main()
