"""The learned model of windows: its data file, its bounds, and its features."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.mention.rivals import RIVALS
from earwitness.pipeline.mention.span_model import (
    HEAR,
    LOOK,
    NAME,
    SHARE_BOUND,
    bounded,
    hear_features,
    look_features,
    name_features,
)
from earwitness.pipeline.mention.spoken_words import spoken_words
from earwitness.taxonomy.heard_names import FEATURES, HeardName

from .listed import Listener

NO_RIVALS = np.zeros(len(RIVALS))
FLOATS = st.floats(-40, 40)


def test_no_feature_stands_twice() -> None:
    for features in (LOOK, HEAR, NAME):
        assert len(set(features)) == len(features)


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
    look = np.arange(2.0 * len(LOOK)).reshape(2, len(LOOK))
    told = hear_features(look, np.array([0.5, -1.0]), np.array([[0.9, 0.8], [0.2, -1.0]]))
    assert told.shape == (2, len(HEAR))
    first, second = (dict(zip(HEAR, row, strict=True)) for row in told.tolist())
    assert (first["look"], first["cosine"], first["secondCosine"]) == (0.5, 0.9, 0.8)
    assert [second[name] for name in LOOK] == look[1].tolist()
    assert hear_features(look[:0], np.zeros(0), np.zeros((0, 2))).shape == (0, len(HEAR))


def names_of(*fits: float) -> list[HeardName]:
    return [HeardName(at, at, fit, 0.6 / (at + 1), np.zeros(len(FEATURES))) for at, fit in enumerate(fits)]


def test_name_features_say_what_stands_beside_the_words(sea: Listener) -> None:
    words = spoken_words(sea.doc("We saw the chasey on a finneys, it walked."))
    window = (3, 7)
    (look,) = look_features(words, [window])
    of_name = np.zeros(len(FEATURES))
    of_name[FEATURES.index("genus")] = 1
    best, *others = names_of(3.0, 1.5)
    names = [replace(best, features=of_name), *others]
    told = dict(zip(NAME, name_features(words, window, look, names, NO_RIVALS).tolist(), strict=True))
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
    (look,) = look_features(words, [(0, 1)])
    alone, far = (
        name_features(words, (0, 1), look, names, NO_RIVALS)[NAME.index("margin")]
        for names in (names_of(3.0), names_of(3.0, -90.0))
    )
    assert alone == far
    no_share = [HeardName(0, 0, -50.0, 0.0, np.zeros(len(FEATURES)))]
    assert np.isfinite(name_features(words, (0, 1), look, no_share, NO_RIVALS)).all()
