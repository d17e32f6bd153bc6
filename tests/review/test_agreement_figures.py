"""Kappa and alpha against scikit-learn, the package krippendorff, and published worked examples."""

from __future__ import annotations

import warnings

import krippendorff
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sklearn.metrics import cohen_kappa_score

from earwitness.pipeline.review.agreement_figures import Estimate, alpha, kappa, share_interval

SCALE = ("doubtful", "possible", "probable", "certain")
TWELVE = (
    "1 2 3 3 2 1 4 1 2 . . .",
    "1 2 3 3 2 2 4 1 2 5 . 3",
    ". 3 3 3 2 3 4 2 2 5 1 .",
    "1 2 3 3 2 4 4 1 2 5 1 .",
)
"""Four observers, twelve units: Krippendorff 2011, "Computing Krippendorff's alpha-reliability", example C (from
memory)."""


@pytest.mark.parametrize(("level", "published"), [("nominal", 0.743), ("ordinal", 0.815), ("interval", 0.849)])
def test_alpha_of_the_published_example(level, published):
    rows = [line.split() for line in TWELVE]
    told = [[None if cell == "." else cell for cell in unit] for unit in zip(*rows, strict=True)]
    if level == "interval":
        told = [[None if value is None else float(value) for value in unit] for unit in told]
    found = alpha(told, level, ("1", "2", "3", "4", "5"))
    assert found.value == pytest.approx(published, abs=0.0005)
    assert found.low < found.value < found.high <= 1


def test_kappa_of_a_table_worked_by_hand():
    """20 both yes, 5 and 10 split, 15 both no: observed 0.7, expected 0.5, kappa 0.4."""
    one = ["yes"] * 25 + ["no"] * 25
    other = ["yes"] * 20 + ["no"] * 5 + ["yes"] * 10 + ["no"] * 15
    assert kappa(one, other).value == pytest.approx(0.4)


pairs = st.lists(st.tuples(st.sampled_from(SCALE), st.sampled_from(SCALE)), min_size=2, max_size=40)


@settings(max_examples=40, deadline=None)
@given(pairs, st.booleans())
def test_kappa_against_scikit_learn(pairs, weighted):
    one, other = map(list, zip(*pairs, strict=True))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        labels = list(SCALE) if weighted else sorted({*one, *other})
        reference = cohen_kappa_score(one, other, labels=labels, weights="linear" if weighted else None)
    found = kappa(one, other, SCALE if weighted else None)
    if np.isnan(reference):
        assert found == Estimate()
    else:
        assert found.value == pytest.approx(reference, abs=1e-4)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.lists(st.sampled_from([None, 0, 1, 2, 3]), min_size=3, max_size=3), min_size=2, max_size=30),
    st.sampled_from(["nominal", "ordinal", "interval"]),
)
def test_alpha_against_krippendorff(told, level):
    data = np.array([[np.nan if value is None else value for value in unit] for unit in told], dtype=float).T
    numbers = [[None if value is None else float(value) for value in unit] for unit in told]
    words = [[None if value is None else SCALE[value] for value in unit] for unit in told]
    found = alpha(numbers if level == "interval" else words, level, SCALE)
    said = {value for unit in told for value in unit if sum(v is not None for v in unit) > 1} - {None}
    if len(said) < 2:
        assert found == Estimate()
        return
    reference = krippendorff.alpha(data, level_of_measurement=level, value_domain=[0, 1, 2, 3])
    assert found.value == pytest.approx(reference, abs=1e-4)


def test_intervals_are_the_same_each_time_and_narrow_with_more_events():
    few = [["a", "a"], ["b", "b"], ["a", "b"], ["b", "b"], ["a", "a"], ["b", "a"], ["a", "a"], ["b", "b"]]
    first, more = alpha(few, "nominal"), alpha(few * 25, "nominal")
    assert alpha(few, "nominal") == first
    assert first.low < more.low < more.value < more.high < first.high


def test_what_is_not_defined_is_none():
    assert kappa([], []) == kappa(["a"], ["a"]) == Estimate()
    assert alpha([], "nominal") == alpha([["a", None]], "nominal") == alpha([["a", "a"]], "nominal") == Estimate()


def test_interval_of_a_share():
    """Wilson's interval for 8 of 10 is 0.490 to 0.943 (statsmodels' proportion_confint, from memory)."""
    assert share_interval(8, 10) == pytest.approx((0.4902, 0.9433), abs=0.0001)
    assert share_interval(0, 0) == (0, 1)
    assert share_interval(0, 5)[0] == 0
    assert share_interval(5, 5)[1] == 1
