"""The learned model of windows: its data file, its bounds, and its features."""

from __future__ import annotations

import csv
from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.mention.span_model import (
    HEAR,
    LOOK,
    NAME,
    SHARE_BOUND,
    Stage,
    bounded,
    hear_features,
    learned_spans,
    name_features,
)
from earwitness.pipeline.mention.spoken_words import spoken_words
from earwitness.pipeline.mention.windows import looks
from earwitness.taxonomy.heard_names import FEATURES, HeardName

from .listed import Listener

STAGES = {"look": LOOK, "hear": HEAR, "name": NAME}
FLOATS = st.floats(-40, 40)


def test_the_data_file_has_a_finite_weight_for_each_feature_and_no_other() -> None:
    text = (files("earwitness.pipeline.mention") / "span_weights.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert sorted((row["stage"], row["term"]) for row in rows) == sorted(
        (stage, term) for stage, features in STAGES.items() for term in (*features, "bias", "least")
    )
    assert np.isfinite([float(row["value"]) for row in rows]).all()
    for name, features in STAGES.items():
        stage: Stage = getattr(learned_spans(), name)
        values = {row["term"]: float(row["value"]) for row in rows if row["stage"] == name}
        assert stage.weights.tolist() == [values[feature] for feature in features]
        assert (stage.bias, stage.least) == (values["bias"], values["least"])


def test_no_feature_stands_twice() -> None:
    for features in STAGES.values():
        assert len(set(features)) == len(features)


def test_log_odds_are_linear() -> None:
    """The textbook form of logistic regression: log odds are the bias and the weighted sum of the features."""
    stage = Stage(np.array([2.0, -1.0]), 0.5, 0.0)
    assert stage.log_odds(np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 3.0]])).tolist() == [0.5, 2.5, -0.5]
    assert stage.log_odds(np.zeros((0, 2))).tolist() == []


@given(FLOATS, st.floats(-60, 0))
def test_a_name_is_hardly_surer_than_its_share_and_never_raised(log_odds: float, log_share: float) -> None:
    share = min(np.exp(log_share), 0.9999)
    most = np.log(share / (1 - share)) + SHARE_BOUND
    result = float(bounded(np.array([log_odds]), np.array([log_share]))[0])
    assert result == pytest.approx(min(log_odds, most))
    assert result <= log_odds
    surer = float(bounded(np.array([log_odds]), np.array([min(log_share + 1, 0.0)]))[0])
    assert surer >= result


def test_hear_features_are_one_row_a_window() -> None:
    told = hear_features(np.array([0.5, -1.0]), np.array([[0.9, 0.8], [0.2, -1.0]]), np.array([12.0, 200.0]))
    assert told.shape == (2, len(HEAR))
    assert [dict(zip(HEAR, row, strict=True)) for row in told.tolist()] == [
        {"look": 0.5, "cosine": 0.9, "letters": 1.2, "secondCosine": 0.8},
        {"look": -1.0, "cosine": 0.2, "letters": 3.0, "secondCosine": -1.0},
    ]
    assert hear_features(np.zeros(0), np.zeros((0, 2)), np.zeros(0)).shape == (0, len(HEAR))


def names_of(*fits: float) -> list[HeardName]:
    return [HeardName(at, at, fit, 0.6 / (at + 1), np.zeros(len(FEATURES))) for at, fit in enumerate(fits)]


def test_name_features_say_what_stands_beside_the_words(sea: Listener) -> None:
    words = spoken_words(sea.doc("We saw the chasey on a finneys, it walked."))
    window = (3, 7)
    (look,) = looks(words, [window])
    of_name = np.zeros(len(FEATURES))
    of_name[FEATURES.index("genus")] = 1
    best, *others = names_of(3.0, 1.5)
    names = [replace(best, features=of_name), *others]
    told = dict(zip(NAME, name_features(words, window, look, names).tolist(), strict=True))
    assert (told["fit"], told["margin"], told["share"]) == (3.0, 1.5, pytest.approx(np.log(0.6)))
    assert (told["genus"], told["species"]) == (1, 0)
    assert (told["before:determiner"], told["after:pronoun"]) == (1, 1)
    assert sum(told[name] for name in NAME if name.startswith("before:")) == 1
    assert sum(told[name] for name in NAME if name.startswith("after:")) == 1
    assert (told["partedBefore"], told["partedAfter"]) == (0, 1)
    assert (told["smallFirst"], told["smallLast"]) == (0, 0)
    assert told["english"] < 0 < told["englishPerLetter"]
    assert [told[name] for name in LOOK] == look.tolist()


def test_a_name_without_a_rival_has_a_bounded_margin(sea: Listener) -> None:
    words = spoken_words(sea.doc("finneys"))
    (look,) = looks(words, [(0, 1)])
    alone, far = (
        name_features(words, (0, 1), look, names)[NAME.index("margin")]
        for names in (names_of(3.0), names_of(3.0, -90.0))
    )
    assert alone == far
    no_share = [HeardName(0, 0, -50.0, 0.0, np.zeros(len(FEATURES)))]
    assert np.isfinite(name_features(words, (0, 1), look, no_share)).all()
