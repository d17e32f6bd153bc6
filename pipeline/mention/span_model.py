"""The learned model of windows: whether one is worth a look, worth hearing, and how likely the best name is right.

An ensemble of small decision trees for each stage lies beside this file (`span_trees.csv`, `span_stages.csv`), made by
`python -m tests.learn.spans`; `python -m tests.bench names` shows how well the scores hold on names that were not
learned from.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
import numpy.typing as npt

from earwitness.pipeline.mention.english import ENGLISH, EnglishTalk
from earwitness.pipeline.mention.rivals import RIVALS, rivals
from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.pipeline.mention.trees import Trees, read_trees
from earwitness.pipeline.mention.windows import (
    LOOKS,
    NEIGHBOUR_CLASSES,
    Window,
    english_nats,
    is_small,
    looks,
    neighbour_class,
)
from earwitness.taxonomy.heard_names import FEATURES, HeardName

Matrix = npt.NDArray[np.float64]

LOOK = (*LOOKS, *ENGLISH)
"""Features of the first stage."""
OF_NAME = ("length", "species", "genus", "family", "group", "vernacular")
"""What counts of the best name by itself; all else about how it fits is in its fit and share."""
_OF_NAME = [FEATURES.index(name) for name in OF_NAME]
HEAR = (*LOOK, "look", "cosine", "secondCosine")
"""Features of the second stage: those of the first, its log odds, cosines of the best two names' sound vectors."""
NAME = (
    "fit",
    "share",
    "margin",
    *OF_NAME,
    *LOOK,
    "english",
    "englishAndSounds",
    "englishPerLetter",
    *(f"before:{name}" for name in NEIGHBOUR_CLASSES),
    *(f"after:{name}" for name in NEIGHBOUR_CLASSES),
    "partedBefore",
    "partedAfter",
    "smallFirst",
    "smallLast",
    *RIVALS,
)
"""Features of the third stage: how the best name fits, how English the words are, what stands beside them, and how the
windows that share words with them fare."""
_LEAST_SHARE = 1e-6
SHARE_BOUND = 1.0
"""A name is never surer (log odds) than its share of what the words may mean by more than this: a choice."""
_NO_RIVAL = 6.0
"""Margin of fit (nats) where there is no other name."""


@dataclass(frozen=True)
class SpanModel:
    """All three stages."""

    look: Trees
    hear: Trees
    name: Trees


@cache
def learned_spans() -> SpanModel:
    """The model of the data files."""
    bounds = {row["stage"]: row for row in _rows("span_stages.csv")}
    nodes: dict[str, list[dict[str, str]]] = {}
    for row in _rows("span_trees.csv"):
        nodes.setdefault(row["stage"], []).append(row)

    def stage(name: str, features: tuple[str, ...]) -> Trees:
        return read_trees(nodes[name], features, float(bounds[name]["bias"]), float(bounds[name]["least"]))

    return SpanModel(stage("look", LOOK), stage("hear", HEAR), stage("name", NAME))


def _rows(file: str) -> list[dict[str, str]]:
    text = (files("earwitness.pipeline.mention") / file).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def bounded(log_odds: Matrix, log_share: Matrix) -> Matrix:
    """Log odds kept near those of the name's share: far-fetched names may look good to a linear model."""
    share = np.minimum(np.exp(log_share), 0.9999)
    return np.asarray(np.minimum(log_odds, np.log(share / (1 - share)) + SHARE_BOUND))


def hear_features(look: Matrix, odds: Matrix, cosines: Matrix) -> Matrix:
    """Features of the second stage, (windows, HEAR): the first stage's features and log odds, the cosines."""
    return np.hstack([look, odds[:, None], cosines[:, :2]])


def look_features(words: list[SpokenWord], of: list[Window]) -> Matrix:
    """Features of the first stage, (windows, LOOK)."""
    return np.hstack([looks(words, of), EnglishTalk(words).features(of)])


def rival_features(of: Sequence[Window], names: Sequence[Sequence[HeardName]], look: Matrix) -> Matrix:
    """What windows that share words say of each other, (windows, RIVALS); `look` as from `look_features`."""
    return rivals(of, names, look[:, LOOK.index("talk")], look[:, LOOK.index("talkReplaced")])


def name_features(
    words: list[SpokenWord], window: Window, look: Matrix, names: Sequence[HeardName], beside: Matrix
) -> Matrix:
    """Features of the third stage, (NAME,), for the best of `names`; `beside`: its row of `rival_features`."""
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
            *beside,
        ]
    )
