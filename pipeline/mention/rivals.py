"""What windows that share words say of each other: of two readings of the same words the better one stands."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from earwitness.pipeline.mention.windows import WIDEST, Window
from earwitness.taxonomy.heard_names import FEATURES, HeardName

Matrix = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.int64]

RIVALS = (
    "evidence",
    "evidenceReplaced",
    "evidenceOverRivals",
    "evidenceReplacedOverRivals",
    "evidenceOverInner",
    "evidenceOverOuter",
    "fitOverInner",
    "fitOverOuter",
    "innerShare",
    "outerShare",
    "sameNameShare",
    "sameNameRivals",
)
"""What is told of a window: nats by which its best name explains the words better than ordinary English does (as they
stand, and with the words behind, beside a noun in their place); by how much that is more than of the best window that
shares words with it, lies inside it, or holds it, and the same of the fit; log shares of the best names of those
inside, around it, and with the same name; which part of the windows that share words have the same name.
"""
_FAR = 30.0
"""Nats at which differences are cut, and the difference to no rival at all."""
_NO_SHARE = -15.0


def rivals(of: Sequence[Window], names: Sequence[Sequence[HeardName]], talk: Matrix, replaced: Matrix) -> Matrix:
    """How each window stands beside those that share words with it, (windows, RIVALS).

    Args:
        of: windows, none twice.
        names: names heard for each, best first, at least one.
        talk, replaced: `talk` and `talkReplaced` of each (see `earwitness.pipeline.mention.english`).
    """
    sounds = FEATURES.index("sounds")
    cost = np.array([some[0].features[sounds] for some in names])
    fit = np.array([some[0].fit for some in names])
    share = np.log(np.maximum([some[0].share for some in names], np.exp(_NO_SHARE)))
    row = np.array([some[0].row for some in names], dtype=np.int64)
    first, last = np.array(of, dtype=np.int64).reshape(len(of), 2).T
    one, other = _sharing(first, last)
    inner = (first[other] >= first[one]) & (last[other] <= last[one])
    outer = (first[other] <= first[one]) & (last[other] >= last[one])
    same = row[one] == row[other]
    evidence, with_noun = -talk - cost, -replaced - cost

    def best(values: Matrix, where: npt.NDArray[np.bool_]) -> Matrix:
        result = np.full(len(of), -np.inf)
        np.maximum.at(result, one[where], values[other[where]])
        return result

    def over(values: Matrix, where: npt.NDArray[np.bool_]) -> Matrix:
        return np.clip(values - best(values, where), -_FAR, _FAR)

    def shares(where: npt.NDArray[np.bool_]) -> Matrix:
        return np.maximum(best(share, where), _NO_SHARE)

    every = np.ones(len(one), dtype=np.bool_)
    number = np.bincount(one, minlength=len(of))
    alike = np.bincount(one[same], minlength=len(of))
    return np.stack(
        [
            evidence,
            with_noun,
            over(evidence, every),
            over(with_noun, every),
            over(evidence, inner),
            over(evidence, outer),
            over(fit, inner),
            over(fit, outer),
            shares(inner),
            shares(outer),
            shares(same),
            alike / np.maximum(number, 1),
        ],
        axis=1,
    )


def _sharing(first: Numbers, last: Numbers) -> tuple[Numbers, Numbers]:
    """Numbers of all pairs of windows that share a word, each pair both ways round."""
    order = np.argsort(first, kind="stable")
    begins = first[order]
    low = np.searchsorted(begins, first - WIDEST, side="right")
    high = np.searchsorted(begins, last, side="left")
    one = np.repeat(np.arange(len(first)), high - low)
    offset = np.arange(len(one)) - np.repeat(np.cumsum(high - low) - (high - low), high - low)
    other = order[np.repeat(low, high - low) + offset]
    shares = (last[other] > first[one]) & (one != other)
    return one[shares], other[shares]
