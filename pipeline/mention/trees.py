"""Boosted decision trees, learned elsewhere (scikit-learn), read from a data file and asked with numpy alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Matrix = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.int64]
_AT_ONCE = 4096
"""Rows that are asked at once: an hour of talk has tens of thousands of windows."""


@dataclass(frozen=True)
class Trees:
    """The log odds are the sum of what each tree's leaf says.

    Args:
        feature: (trees, nodes), number of the feature a node asks for.
        threshold: (trees, nodes); up to it the way goes to `lower`, above to `higher`. A leaf leads to itself.
        lower, higher: (trees, nodes), numbers of nodes of the same tree.
        value: (trees, nodes), what a leaf says.
        bias: log odds before any tree.
        least: log odds from which on a row passes.
        depth: steps from a root to the farthest leaf.
    """

    feature: Numbers
    threshold: Matrix
    lower: Numbers
    higher: Numbers
    value: Matrix
    bias: float
    least: float
    depth: int

    def log_odds(self, features: Matrix) -> Matrix:
        """Natural log odds, one a row."""
        parts = [self._log_odds(features[begin : begin + _AT_ONCE]) for begin in range(0, len(features), _AT_ONCE)]
        return np.concatenate(parts) if parts else np.zeros(0)

    def _log_odds(self, features: Matrix) -> Matrix:
        tree = np.arange(len(self.feature))[None, :]
        at = np.zeros((len(features), len(self.feature)), dtype=np.int64)
        row = np.arange(len(features))[:, None]
        for _ in range(self.depth):
            low = features[row, self.feature[tree, at]] <= self.threshold[tree, at]
            at = np.where(low, self.lower[tree, at], self.higher[tree, at])
        return np.asarray(self.bias + self.value[tree, at].sum(axis=1))


def read_trees(
    rows: Sequence[Mapping[str, str]], features: tuple[str, ...], bias: float, least: float = -np.inf
) -> Trees:
    """The trees of a data file: a row a node (tree, feature, value, lower, higher), parents before children.

    A node with a feature has its threshold for a value, a leaf what it says; `features` gives them their numbers.
    """
    nodes: dict[int, list[Mapping[str, str]]] = {}
    for row in rows:
        nodes.setdefault(int(row["tree"]), []).append(row)
    shape = (len(nodes), max(map(len, nodes.values())))
    feature, lower, higher = (np.zeros(shape, dtype=np.int64) for _ in range(3))
    threshold, value = np.zeros(shape), np.zeros(shape)
    depth = 0
    for tree, own in enumerate(nodes.values()):
        steps = [0] * len(own)
        for number, row in enumerate(own):
            if row["feature"]:
                feature[tree, number] = features.index(row["feature"])
                threshold[tree, number] = float(row["value"])
                for children, name in ((lower, "lower"), (higher, "higher")):
                    child = int(row[name])
                    children[tree, number], steps[child] = child, steps[number] + 1
            else:
                lower[tree, number] = higher[tree, number] = number
                value[tree, number] = float(row["value"])
        depth = max(depth, *steps)
    return Trees(feature, threshold, lower, higher, value, bias, least, depth)
