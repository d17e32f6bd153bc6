"""Rates and confusion tables against scikit-learn, a general-purpose reference (BSD licence)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.metrics import confusion_matrix, f1_score, precision_recall_fscore_support

from earwitness.pipeline.score.figures import CERTAINTY_TERMS, STATUSES, Macro, Rates, confusion, share, tidy

label_pairs = st.lists(st.tuples(st.sampled_from(STATUSES), st.sampled_from(STATUSES)), min_size=1, max_size=60)


def agree(ours, theirs):
    return math.isnan(theirs) if ours is None else ours == pytest.approx(float(theirs))


@given(label_pairs)
def test_the_table_is_that_of_scikit_learn(pairs):
    gold, run = zip(*pairs, strict=True)
    expected = confusion_matrix(gold, run, labels=list(STATUSES))
    assert np.array_equal(np.array(confusion(STATUSES, pairs).counts), expected)


@given(label_pairs)
def test_rates_by_label_are_those_of_scikit_learn(pairs):
    gold, run = zip(*pairs, strict=True)
    table = confusion(STATUSES, pairs)
    expected = precision_recall_fscore_support(gold, run, labels=list(STATUSES), zero_division=np.nan)
    for label, precision, recall, f1, support in zip(STATUSES, *expected, strict=True):
        rates = table.rates(label)
        assert agree(rates.precision, precision)
        assert agree(rates.recall, recall)
        assert agree(rates.f1, f1)
        assert rates.in_gold == support


@given(label_pairs)
def test_averages_are_those_of_scikit_learn(pairs):
    gold, run = zip(*pairs, strict=True)
    table = confusion(STATUSES, pairs)
    for average, ours in (("macro", table.macro), ("micro", table.micro)):
        expected = precision_recall_fscore_support(gold, run, average=average, zero_division=np.nan)
        assert agree(ours.precision, expected[0])
        assert agree(ours.recall, expected[1])
        assert agree(ours.f1, expected[2])


@given(st.lists(st.tuples(st.booleans(), st.booleans()), min_size=1))
def test_f1_of_rates_is_that_of_scikit_learn(pairs):
    gold, run = zip(*pairs, strict=True)
    rates = Rates(sum(g and r for g, r in pairs), sum(run), sum(gold))
    assert agree(rates.f1, f1_score(gold, run, zero_division=np.nan))


def test_hand_worked_rates():
    rates = Rates(correct=3, in_run=4, in_gold=6)
    # precision 3/4, recall 3/6, F1 = 2 * 0.75 * 0.5 / 1.25 = 0.6
    assert (rates.precision, rates.recall, rates.f1) == (0.75, 0.5, pytest.approx(0.6))


def test_a_share_of_nothing_is_none():
    assert share(0, 0) is None
    assert (Rates(0, 0, 0).precision, Rates(0, 0, 0).recall, Rates(0, 0, 0).f1) == (None, None, None)
    assert (Rates(0, 0, 5).precision, Rates(0, 0, 5).recall, Rates(0, 0, 5).f1) == (None, 0, 0)
    empty = confusion(CERTAINTY_TERMS, [])
    assert empty.macro == Macro(None, None, None)
    assert empty.micro.f1 is None


def test_unstated_labels_are_counted_apart():
    table = confusion(CERTAINTY_TERMS, [("certain", None), ("", "possible"), (None, None), ("certain", "possible")])
    assert (table.gold_only, table.run_only, table.neither, table.total) == (1, 1, 1, 1)
    assert table.counts[0][2] == 1


def test_an_unknown_label_is_refused():
    with pytest.raises(ValueError, match="'surely' is not one of certain, probable"):
        confusion(CERTAINTY_TERMS, [("certain", "surely")])


def test_tidy_sorts_and_rounds():
    assert list(tidy({"b": 1, "a": (1 / 3, None)}).items()) == [("a", [0.3333, None]), ("b", 1)]
