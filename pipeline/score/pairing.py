"""One-to-one pairing of a run's rows with gold rows.

In: which pairs are allowed, and whole-number gains in order of importance. Out: pairs of row numbers.
Refuses negative gains: leaving a row alone counts as nothing gained, so an allowed pair may never cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import linear_sum_assignment
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

Grid = npt.NDArray[np.int64]
Mask = npt.NDArray[np.bool_]

FINE = 1_000_000
"""Steps in which nearness in time is counted, so that sums stay whole and exact."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A stretch of a recording in whole milliseconds, so that the edge of a tolerance is exact."""

    start: int
    end: int

    @classmethod
    def of_seconds(cls, start: float, end: float | None) -> Interval:
        """From seconds; a missing end makes a moment, an end before the start is read the other way round."""
        first, last = sorted((round(start * 1000), round((start if end is None else end) * 1000)))
        return cls(first, last)

    def shared(self, other: Interval) -> int:
        """Milliseconds that both cover; negative: the gap between them."""
        return min(self.end, other.end) - max(self.start, other.start)

    def within(self, other: Interval, tolerance: float) -> bool:
        """Whether the two overlap or touch once one of them is widened by `tolerance` seconds each way."""
        return self.shared(other) >= -round(tolerance * 1000)

    def nearness(self, other: Interval) -> float:
        """Shared time over the time from first start to last end: 1 the same, 0 touching, negative apart."""
        span = max(self.end, other.end) - min(self.start, other.start)
        return self.shared(other) / span if span else 1.0


def nearness_grid(run: Sequence[Interval], gold: Sequence[Interval]) -> Grid:
    """`Interval.nearness` of every pair, moved to 0..2 and counted in millionths."""
    steps = [[round((1 + one.nearness(other)) * FINE) for other in gold] for one in run]
    return np.array(steps, dtype=np.int64).reshape(len(run), len(gold))


def within_mask(run: Sequence[Interval], gold: Sequence[Interval], tolerance: float) -> Mask:
    """Which pairs are near enough in time (`Interval.within`)."""
    near = [[one.within(other, tolerance) for other in gold] for one in run]
    return np.array(near, dtype=np.bool_).reshape(len(run), len(gold))


def pair_up(allowed: Mask, gains: Sequence[Grid]) -> tuple[tuple[int, int], ...]:
    """The best one-to-one pairing: greatest sum of `gains[0]`, among those the greatest of `gains[1]`, and so
    on.

    Truly lexicographic whatever the sizes: the gains are never mixed into one weight. Each is solved as an
    optimal assignment, and the next may choose only among the pairings that are optimal so far. Those are, by
    the complementary slackness of linear programming, exactly the pairings that use cells which are tight
    under one optimal set of prices. Whole numbers far below 2**53 make every step exact in double precision.

    Args:
        allowed: rows of the run by rows of the gold.
        gains: grids of the same shape, whole numbers of at least 0; cells that are not allowed are ignored.

    Returns:
        Pairs (row of the run, row of the gold), in order. Remaining ties fall by row order, the same every
        time.

    Raises:
        ValueError: a gain is negative or of another shape.
    """
    if any(gain.shape != allowed.shape or (gain < 0).any() for gain in gains):
        raise ValueError("gains need the shape of `allowed` and no negative cell")
    pairs: list[tuple[int, int]] = []
    for rows, columns in _islands(allowed):
        cell = np.ix_(rows, columns)
        for i, j in _best(allowed[cell], [gain[cell] for gain in gains]):
            pairs.append((int(rows[i]), int(columns[j])))
    return tuple(sorted(pairs))


def _islands(allowed: Mask) -> list[tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]]:
    """Groups of rows and columns that no allowed pair connects: solved apart, a long dive stays cheap."""
    run, gold = allowed.shape
    i, j = np.nonzero(allowed)
    links = coo_array((np.ones(len(i)), (i, j + run)), shape=(run + gold, run + gold))
    count, label = connected_components(links, directed=False) if run + gold else (0, np.array([], dtype=int))
    members: list[tuple[list[int], list[int]]] = [([], []) for _ in range(count)]
    for node, island in enumerate(label):
        members[island][node >= run].append(node if node < run else node - run)
    return [
        (np.array(rows, dtype=np.intp), np.array(columns, dtype=np.intp))
        for rows, columns in members
        if rows and columns
    ]


def _best(allowed: Mask, gains: Sequence[Grid]) -> list[tuple[int, int]]:
    size = max(allowed.shape)
    room = [(0, size - allowed.shape[0]), (0, size - allowed.shape[1])]
    open_cells = np.ones((size, size), dtype=np.bool_)
    chosen = np.arange(size)
    for gain in gains:
        weight = np.pad(np.where(allowed, gain, 0), room).astype(np.float64)
        if not weight.any():
            continue
        # One closed cell costs more than all open cells together can bring.
        weight[~open_cells] = -(size * weight.max() + 1)
        _, chosen = linear_sum_assignment(weight, maximize=True)
        open_cells &= _tight(weight, chosen)
    pad = np.pad(allowed, room)
    return [(i, int(j)) for i, j in enumerate(chosen) if pad[i, j]]


def _tight(weight: npt.NDArray[np.float64], chosen: npt.NDArray[np.intp]) -> Mask:
    """The cells that any optimal assignment may use.

    Prices v of columns with w[i, chosen[i]] - v[chosen[i]] >= w[i, j] - v[j] for all cells exist because
    `chosen` is optimal; they are found as longest paths (Bellman and Ford), and cells with equality are the
    tight ones.
    """
    regret = weight - weight[np.arange(len(chosen)), chosen][:, None]
    price = np.zeros(len(chosen))
    while True:
        raised = np.maximum(price, (regret + price[chosen][:, None]).max(axis=0))
        if np.array_equal(raised, price):
            break
        price = raised
    tight: Mask = regret + price[chosen][:, None] == price[None, :]
    return tight
