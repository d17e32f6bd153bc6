"""Pairing against trying every matching, and times at the edge of a tolerance."""

from __future__ import annotations

from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from earwitness.pipeline.score.pairing import Interval, nearness_grid, pair_up, within_mask


def every_matching(allowed):
    """All one-to-one matchings of allowed cells, the empty one included."""
    rows, columns = allowed.shape
    for size in range(min(rows, columns) + 1):
        for some in combinations(range(rows), size):
            for targets in permutations(range(columns), size):
                pairs = tuple(zip(some, targets, strict=True))
                if all(allowed[pair] for pair in pairs):
                    yield pairs


def totals(pairs, gains):
    return tuple(sum(int(gain[pair]) for pair in pairs) for gain in gains)


@st.composite
def problems(draw):
    rows, columns = draw(st.integers(0, 4)), draw(st.integers(0, 4))
    cells = rows * columns

    def grid(highest):
        values = draw(st.lists(st.integers(0, highest), min_size=cells, max_size=cells))
        return np.array(values, dtype=np.int64).reshape(rows, columns)

    allowed = grid(3) > 0
    # 0/1 tiers as the scores use them, then sums that a mixed weight would easily get wrong.
    return allowed, [grid(1), grid(1), grid(1000), grid(2_000_000)]


@settings(max_examples=300, deadline=None)
@given(problems())
def test_no_other_matching_is_better(problem):
    allowed, gains = problem
    pairs = pair_up(allowed, gains)
    assert all(allowed[pair] for pair in pairs)
    assert len({i for i, _ in pairs}) == len({j for _, j in pairs}) == len(pairs)
    assert totals(pairs, gains) == max(totals(other, gains) for other in every_matching(allowed))


def test_an_early_gain_outweighs_any_later_sum():
    # One pair worth 1 in the first gain blocks two pairs worth a million each in the second.
    allowed = np.array([[True, True], [True, False]])
    first = np.array([[1, 0], [0, 0]])
    second = np.array([[0, 1_000_000], [1_000_000, 0]])
    assert pair_up(allowed, [first, second]) == ((0, 0),)
    assert pair_up(allowed, [second, first]) == ((0, 1), (1, 0))


def test_a_large_island_keeps_the_order_where_one_mixed_weight_overflows():
    """300 rows in one island: its six gains packed into one weight need some 70 bits, and doubles hold 53."""
    random = np.random.default_rng(7)
    size = 300
    near = np.abs(np.arange(size)[:, None] - np.arange(size)[None, :]) < 12
    gains = [((random.random((size, size)) < 0.02) & near).astype(np.int64) for _ in range(4)]
    gains += [near.astype(np.int64), np.where(near, random.integers(0, 1_000_000, (size, size)), 0)]
    pairs = pair_up(near, gains)
    found = totals(pairs, gains)
    # The first gain alone is an ordinary assignment; so are the first two, with a weight doubles can hold.
    rows, columns = linear_sum_assignment(gains[0], maximize=True)
    assert found[0] == gains[0][rows, columns].sum()
    packed = gains[0] * (size + 1) + gains[1]
    rows, columns = linear_sum_assignment(packed, maximize=True)
    assert found[0] * (size + 1) + found[1] == packed[rows, columns].sum()
    # In the exact integers of Python: exchanging the partners of any two pairs gains nothing.
    for (i, j), (k, m) in combinations(pairs, 2):
        if near[i, m] and near[k, j]:
            now, then = totals(((i, j), (k, m)), gains), totals(((i, m), (k, j)), gains)
            assert now >= then


def test_pairs_do_not_depend_on_islands_elsewhere():
    block = np.array([[True, True], [True, True]])
    gain = np.array([[3, 5], [4, 1]])
    alone = pair_up(block, [gain])
    both = np.zeros((4, 4), dtype=bool)
    both[:2, :2] = both[2:, 2:] = True
    wide = np.zeros((4, 4), dtype=np.int64)
    wide[:2, :2] = wide[2:, 2:] = gain
    assert alone == ((0, 1), (1, 0))
    assert pair_up(both, [wide]) == (*alone, *((i + 2, j + 2) for i, j in alone))


def test_negative_gains_and_other_shapes_are_refused():
    allowed = np.ones((1, 1), dtype=bool)
    with pytest.raises(ValueError, match="negative"):
        pair_up(allowed, [np.array([[-1]])])
    with pytest.raises(ValueError, match="shape"):
        pair_up(allowed, [np.array([[1, 1]])])


@pytest.mark.parametrize(("rows", "columns"), [(0, 0), (0, 3), (3, 0)])
def test_nothing_to_pair(rows, columns):
    grid = np.zeros((rows, columns), dtype=np.int64)
    assert pair_up(grid.astype(bool), [grid]) == ()


@pytest.mark.parametrize(
    ("other", "tolerance", "near"),
    [
        ((25.0, 30.0), 5.0, True),  # the gap is the tolerance to the millisecond
        ((25.001, 30.0), 5.0, False),
        ((0.0, 5.0), 5.0, True),
        ((0.0, 4.999), 5.0, False),
        ((20.0, 21.0), 0.0, True),  # touching
        ((20.001, 21.0), 0.0, False),
        ((12.0, 13.0), 0.0, True),  # inside
    ],
)
def test_tolerance_to_the_millisecond(other, tolerance, near):
    one, two = Interval.of_seconds(10.0, 20.0), Interval.of_seconds(*other)
    assert one.within(two, tolerance) is near
    assert two.within(one, tolerance) is near


def test_sums_of_decimal_seconds_do_not_tip_the_edge():
    # 0.1 + 0.2 > 0.3 in binary; in milliseconds the gap of 0.2 s is what it says.
    assert 0.3 - 0.1 != 0.2
    assert Interval.of_seconds(0.0, 0.1).within(Interval.of_seconds(0.3, 1.0), 0.2)


def test_nearness():
    ten = Interval.of_seconds(0, 10)
    assert ten.nearness(ten) == 1
    assert ten.nearness(Interval.of_seconds(5, 15)) == pytest.approx(5 / 15)
    assert ten.nearness(Interval.of_seconds(10, 20)) == 0
    assert ten.nearness(Interval.of_seconds(15, 20)) == pytest.approx(-5 / 20)
    moment = Interval.of_seconds(3, None)
    assert moment.nearness(moment) == 1
    assert Interval.of_seconds(5, 2) == Interval.of_seconds(2, 5)
    assert nearness_grid([ten], [ten]).tolist() == [[2_000_000]]
    assert within_mask([], [ten], 1).shape == (0, 1)
