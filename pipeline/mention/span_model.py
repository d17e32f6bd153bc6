"""The learned model of windows: whether one is worth a look, worth hearing, and how likely the best name is right.

Weights lie in `span_weights.csv` beside this file, made by `python -m tests.learn.spans`; `python -m tests.bench names`
shows how well the scores hold on names that were not learned from.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt

from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.pipeline.mention.windows import (
    LOOKS,
    NEIGHBOUR_CLASSES,
    Window,
    english_nats,
    is_small,
    neighbour_class,
)
from earwitness.taxonomy.heard_names import FEATURES, HeardName

Matrix = npt.NDArray[np.float64]

LOOK = LOOKS
"""Features of the first stage."""
OF_NAME = ("length", "species", "genus", "family", "group", "vernacular")
"""What counts of the best name by itself; all else about how it fits is in its fit and share."""
_OF_NAME = [FEATURES.index(name) for name in OF_NAME]
HEAR = ("look", "cosine", "letters", "secondCosine")
"""Features of the second stage: the first stage's log odds, cosines of the best two names' sound vectors, letters."""
NAME = (
    "fit",
    "share",
    "margin",
    *OF_NAME,
    *LOOKS,
    "english",
    "englishAndSounds",
    "englishPerLetter",
    *(f"before:{name}" for name in NEIGHBOUR_CLASSES),
    *(f"after:{name}" for name in NEIGHBOUR_CLASSES),
    "partedBefore",
    "partedAfter",
    "smallFirst",
    "smallLast",
)
"""Features of the third stage: how the best name fits, how English the words are, what stands beside them."""
_LEAST_SHARE = 1e-6
SHARE_BOUND = 1.0
"""A name is never surer (log odds) than its share of what the words may mean by more than this: a choice."""
_NO_RIVAL = 6.0
"""Margin of fit (nats) where there is no other name."""


@dataclass(frozen=True)
class Stage:
    """A logistic regression.

    Args:
        weights: of the features, in their order.
        bias: log odds where all features are 0.
        least: log odds from which on a window passes.
    """

    weights: Matrix
    bias: float
    least: float

    def log_odds(self, features: Matrix) -> Matrix:
        """Natural log odds, one a row."""
        return np.asarray(features @ self.weights + self.bias)


@dataclass(frozen=True)
class SpanModel:
    """All three stages."""

    look: Stage
    hear: Stage
    name: Stage


@cache
def learned_spans() -> SpanModel:
    """The model of the data file."""
    text = (files("earwitness.pipeline.mention") / "span_weights.csv").read_text(encoding="utf-8")
    values = {(row["stage"], row["term"]): float(row["value"]) for row in csv.DictReader(text.splitlines())}

    def stage(name: str, features: tuple[str, ...]) -> Stage:
        weights = np.array([values[name, feature] for feature in features])
        return Stage(weights, values[name, "bias"], values[name, "least"])

    return SpanModel(stage("look", LOOK), stage("hear", HEAR), stage("name", NAME))


def bounded(log_odds: Matrix, log_share: Matrix) -> Matrix:
    """Log odds kept near those of the name's share: far-fetched names may look good to a linear model."""
    share = np.minimum(np.exp(log_share), 0.9999)
    return np.asarray(np.minimum(log_odds, np.log(share / (1 - share)) + SHARE_BOUND))


def hear_features(look: Matrix, cosines: Matrix, letters: Matrix) -> Matrix:
    """Features of the second stage, (windows, HEAR)."""
    return np.stack([look, cosines[:, 0], np.minimum(letters, 30) / 10, cosines[:, 1]], axis=1)


def name_features(words: list[SpokenWord], window: Window, look: Matrix, names: list[HeardName]) -> Matrix:
    """Features of the third stage, (NAME,), for the best of `names`."""
    first, last = window
    best = names[0]
    margin = best.fit - names[1].fit if len(names) > 1 else _NO_RIVAL
    english = english_nats(words, window)
    letters = sum(len(words[at].key) for at in range(first, last))
    before, after = neighbour_class(words, first - 1, first), neighbour_class(words, last, last)
    return np.array(
        [
            best.fit,
            np.log(max(best.share, _LEAST_SHARE)),
            min(margin, _NO_RIVAL),
            *best.features[_OF_NAME],
            *look,
            english,
            english + best.features[0],
            -english / letters,
            *(float(before == name) for name in NEIGHBOUR_CLASSES),
            *(float(after == name) for name in NEIGHBOUR_CLASSES),
            float(words[first].parted and not words[first].opens),
            float(last < len(words) and words[last].parted),
            float(is_small(words[first])),
            float(is_small(words[last - 1])),
        ]
    )
