"""nameScore: within bounds, and never lower for a better fit."""

from __future__ import annotations

from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.taxonomy import Likeness, exact_score, similar_score
from earwitness.taxonomy.name_score import log_odds
from earwitness.taxonomy.tables import data_rows

SHARE = st.floats(0, 1)
LIKENESS = st.builds(
    Likeness,
    similarity=SHARE,
    margin=st.floats(-1, 1),
    letters=st.integers(1, 60),
    commonness=st.floats(0, 8),
    words=st.integers(1, 4),
)


@given(LIKENESS, SHARE)
def test_more_similarity_or_margin_is_never_less_likely(likeness: Likeness, more: float) -> None:
    score = similar_score(likeness)
    assert 0 <= score <= exact_score("exact")
    assert similar_score(replace(likeness, similarity=min(likeness.similarity + more, 1))) >= score
    assert similar_score(replace(likeness, margin=min(likeness.margin + more, 1))) >= score


@given(LIKENESS, st.floats(0, 8))
def test_common_words_are_never_more_likely_a_name(likeness: Likeness, more: float) -> None:
    assert similar_score(replace(likeness, commonness=likeness.commonness + more)) <= similar_score(likeness)


@given(LIKENESS, LIKENESS)
def test_log_odds_rank_as_the_score_does(one: Likeness, other: Likeness) -> None:
    if log_odds(one) <= log_odds(other):
        assert similar_score(one) <= similar_score(other)


def test_a_good_fit_and_a_poor_one_lie_on_either_side_of_even() -> None:
    assert similar_score(Likeness(similarity=0.95, margin=0.3, letters=14, commonness=0.0, words=2)) > 0.9
    assert similar_score(Likeness(similarity=0.5, margin=0.0, letters=6, commonness=5.0, words=2)) < 0.1


@given(LIKENESS)
def test_features_are_of_the_order_of_one_and_each_has_a_weight(likeness: Likeness) -> None:
    features = likeness.features()
    assert list(features) == [field.name for field in fields(Likeness)]
    assert all(-1 <= value <= 1.6 for value in features.values())
    assert set(features) < {row["term"] for row in data_rows("name_scores.csv")}


@pytest.mark.parametrize("how", ["exact", "group", "abbreviated", "epithet"])
def test_exact_scores_are_shares(how: str) -> None:
    assert 0.5 < exact_score(how) <= 1


def test_every_weight_has_a_source_and_stands_once() -> None:
    rows = data_rows("name_scores.csv")
    assert all(row["source"] and row["source"] != "placeholder" for row in rows)
    assert len({row["term"] for row in rows}) == len(rows)
