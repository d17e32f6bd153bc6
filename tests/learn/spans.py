"""Learn `pipeline/mention/span_weights.csv`: which words of running text may be a name, and how sure to be of it.

    python -m tests.learn.spans

Every sentence of the development set is heard by models that were not taught its name, against the large checklist and
against a local one; three logistic regressions are learned on its windows of words, each on what the one before lets
through. Figures on unseen names: `python -m tests.bench names`, which learns anew without each fold.
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
from sklearn.preprocessing import StandardScaler

from earwitness.pipeline.mention.exact import ExactNames
from earwitness.pipeline.mention.heard import ALTERNATIVES, HEARD, NEAR, may_say_more
from earwitness.pipeline.mention.span_model import HEAR, LOOK, NAME, SpanModel, Stage, hear_features, name_features
from earwitness.pipeline.mention.spans import Found, key_of, spans_at
from earwitness.pipeline.mention.spoken_words import SpokenWord, spoken_words
from earwitness.pipeline.mention.windows import Window, looks, windows
from earwitness.pipeline.segment import build_language
from earwitness.taxonomy import NameIndex, load_checklist
from earwitness.taxonomy.heard_names import HeardName, NameEar, Weights
from earwitness.taxonomy.hearing import Models, name_arrays
from tests.bench.places import HERE
from tests.learn.hearing import KEPT, LARGE, examples, fold_index, learned_weights
from tests.learn.pairs import FOLDS, fold_of, sentences
from tests.learn.prose import prose

FILE = HERE / "pipeline" / "mention" / "span_weights.csv"
SMALL_LIST = 1500
PROSE = 500
"""Sentences of ordinary prose that are heard, too: there is no name in them."""
KEPT_BY_LOOK, KEPT_BY_HEAR = 0.83, 0.93
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
    """All sentences of the development set, and some prose, with the exact names that are found in them."""
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
        look.append(looks(sentence.words, some))
    count = len(places)
    span = np.array([of[number].truth == window for number, window in places])
    folds = np.array([of[number].fold for number, _ in places])
    blank = np.zeros((count, len(NAME)))
    return Windows(
        places, folds, np.concatenate(look), span, np.zeros((count, 2)), [[] for _ in places], blank, span & False
    )


def stage(features: Array, right: npt.NDArray[np.bool_], kept: float) -> Stage:
    """A logistic regression, and the log odds that a share `kept` of the right ones reach."""
    scaler = StandardScaler().fit(features)
    model = LogisticRegression(C=1.0, max_iter=3000).fit(scaler.transform(features), right)
    weights = model.coef_[0] / scaler.scale_
    bias = float(model.intercept_[0] - scaler.mean_ @ weights)
    odds = features @ weights + bias
    return Stage(weights, bias, float(np.quantile(odds[right], 1 - kept)) if kept < 1 else -np.inf)


def hear(of: Sequence[Sentence], places: Windows, lists: dict[int, tuple[NameIndex, Models]], look: Stage) -> None:
    """Hear every window that the first stage lets through, each by the models of its fold."""
    weights = cross_weights()
    worth = look.log_odds(places.look) >= look.least
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
                    places.name[number] = name_features(
                        sentence.words, window, places.look[number], names[: ALTERNATIVES + 1]
                    )
                    places.right[number] = is_right(sentence, window, names[0].row, index)


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


def learned_model(of: Sequence[Windows], look: Stage, without: int | None = None) -> SpanModel:
    """The second and third stage, learned without a fold."""
    hear_parts, name_parts, right_parts = [], [], []
    for places in of:
        heard = np.array([bool(names) for names in places.names]) & (
            places.folds != (-1 if without is None else without)
        )
        odds = look.log_odds(places.look[heard])
        hear_parts.append(hear_features(odds, places.cosines[heard], places.look[heard, 3]))
        name_parts.append(places.name[heard])
        right_parts.append(places.right[heard])
    right = np.concatenate(right_parts)
    hear_all, name_all = np.concatenate(hear_parts), np.concatenate(name_parts)
    second = stage(hear_all, right, KEPT_BY_HEAR)
    through = second.log_odds(hear_all) >= second.least
    return SpanModel(look, second, stage(name_all[through], right[through], 1.0))


def held_out(heard: dict[str, Windows], look: Stage) -> dict[str, Array]:
    """Log odds of every window by the model that was not taught its fold; minus infinity where it is not heard."""
    models = [learned_model(list(heard.values()), look, without=fold) for fold in range(FOLDS)]
    result = {}
    for size, places in heard.items():
        odds = np.full(len(places.of), -np.inf)
        for fold, model in enumerate(models):
            some = np.array([bool(names) for names in places.names]) & (places.folds == fold)
            features = hear_features(look.log_odds(places.look[some]), places.cosines[some], places.look[some, 3])
            passed = model.hear.log_odds(features) >= model.hear.least
            odds[some] = np.where(passed, model.name.log_odds(places.name[some]), -np.inf)
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


def calibrated(model: SpanModel, slope: float, shift: float) -> SpanModel:
    """The model with its last stage's log odds stretched and shifted."""
    name = model.name
    return replace(model, name=replace(name, weights=slope * name.weights, bias=slope * name.bias + shift))


def first_stage(places: Windows, without: int | None = None) -> Stage:
    """The first stage, learned without a fold."""
    some = places.folds != (-1 if without is None else without)
    return stage(places.look[some], places.span[some], KEPT_BY_LOOK)


def learned_windows() -> tuple[dict[str, list[Sentence]], dict[str, Windows], Stage]:
    """Sentences and heard windows by size of list, and the first stage."""
    said: dict[str, list[Sentence]] = {}
    heard: dict[str, Windows] = {}
    look: Stage | None = None
    for size in ("large", "small"):
        lists = indexes(size)
        said[size] = heard_sentences(lists[0][0])
        heard[size] = all_windows(said[size])
        look = look or first_stage(heard[size])
        hear(said[size], heard[size], lists, look)
    assert look is not None
    return said, heard, look


def write(model: SpanModel, path: Path = FILE) -> None:
    """Write all stages."""
    source = "logistic regression on the development sentences: python -m tests.learn.spans"
    with path.open("w", encoding="utf-8", newline="") as lines:
        rows = csv.writer(lines, lineterminator="\n")
        rows.writerow(("stage", "term", "value", "source"))
        for name, of, features in (("look", model.look, LOOK), ("hear", model.hear, HEAR), ("name", model.name, NAME)):
            least = max(of.least, -99.0)
            for term, value in (("bias", of.bias), ("least", least), *zip(features, of.weights, strict=True)):
                rows.writerow((name, term, f"{value:.5f}", source))


def main() -> None:
    _, heard, look = learned_windows()
    slope, shift = calibration(heard, held_out(heard, look))
    write(calibrated(learned_model(list(heard.values()), look), slope, shift))


if __name__ == "__main__":
    main()
