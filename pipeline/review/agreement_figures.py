"""How far several people agree beyond chance: values by event and person come in, coefficients with intervals go out.

Cohen's kappa (1960; weights 1968) for two people, Krippendorff's alpha (2011, "Computing Krippendorff's
alpha-reliability") for any number with gaps. Intervals are of the bootstrap over events: percentiles of resamples drawn
with a fixed seed, so that the same decisions give the same figures. Refuses nothing: what is not defined is None.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite, sqrt
from typing import Literal

import numpy as np
import numpy.typing as npt

Level = Literal["nominal", "ordinal", "interval"]
Floats = npt.NDArray[np.float64]

RESAMPLES = 500
_SEED = 6
_NORMAL_95 = 1.959964
"""Half-width of the middle 95% of the normal distribution."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A coefficient and the bounds of its 95% interval; None where not defined (everybody says the same always)."""

    value: float | None = None
    low: float | None = None
    high: float | None = None


def kappa(one: Sequence[str], other: Sequence[str], scale: Sequence[str] | None = None) -> Estimate:
    """Cohen's kappa of two people's values for the same events.

    Args:
        one, other: values by event.
        scale: the values in order where they have one: disagreement is then weighed by steps between them (linear).
    """
    values = list(scale) if scale else sorted({*one, *other})
    at = {value: place for place, value in enumerate(values)}
    a, b = (np.array([at[value] for value in side], dtype=np.int64) for side in (one, other))
    apart = np.abs(a - b) if scale else (a != b)
    size = len(values)

    def coefficient(weights: Floats) -> float:
        whole = weights.sum()
        here, there = (np.bincount(side, weights, size) / whole for side in (a, b))
        if scale:
            places = np.arange(size)
            expected = float(here @ np.abs(places[:, None] - places) @ there)
        else:
            expected = 1 - float(here @ there)
        return _beyond_chance(float(weights @ apart) / whole, expected)

    return _estimate(coefficient, len(a))


def alpha(told: Sequence[Sequence[str | float | None]], level: Level, scale: Sequence[str] = ()) -> Estimate:
    """Krippendorff's alpha of any number of people.

    Args:
        told: by event, what each person said; None where they said nothing.
        level: what differences between values mean.
        scale: for "ordinal", all values in order.
    """
    said = [[value for value in values if value is not None] for values in told]
    said = [values for values in said if len(values) > 1]
    values = list(scale) if level == "ordinal" else sorted({value for unit in said for value in unit}, key=_order)
    at = {value: place for place, value in enumerate(values)}
    counts = np.zeros((len(said), len(values)))
    for unit, there in enumerate(said):
        for value in there:
            counts[unit, at[value]] += 1
    many = counts.sum(axis=1)
    numbers = np.array(values, dtype=float) if level == "interval" else np.zeros(len(values))

    def coefficient(weights: Floats) -> float:
        sums = weights @ counts
        whole = sums.sum()
        if level == "nominal":
            within = (many**2 - (counts**2).sum(axis=1)) / (many - 1)
            return _beyond_chance(float(weights @ within) / whole, float(whole**2 - sums @ sums) / whole / (whole - 1))
        # The ordinal metric is the square of the distance between the values' middle ranks.
        x = np.cumsum(sums) - sums / 2 if level == "ordinal" else numbers
        within = 2 * (many * (counts @ x**2) - (counts @ x) ** 2) / (many - 1)
        expected = 2 * float(whole * (sums @ x**2) - (sums @ x) ** 2)
        return _beyond_chance(float(weights @ within) / whole, expected / whole / (whole - 1))

    return _estimate(coefficient, len(said))


def _order(value: str | float) -> tuple[bool, str | float]:
    return (isinstance(value, str), value)


def _beyond_chance(observed: float, expected: float) -> float:
    # Differences of large sums leave crumbs where they should leave nothing.
    return 1 - observed / expected if expected > 1e-12 else float("nan")


def _estimate(coefficient: Callable[[Floats], float], events: int) -> Estimate:
    """The coefficient, and its interval over resampled events."""
    if not events:
        return Estimate()
    value = coefficient(np.ones(events))
    if not isfinite(value):
        return Estimate()
    drawn = np.random.default_rng(_SEED).multinomial(events, np.full(events, 1 / events), RESAMPLES).astype(float)
    found = np.array([coefficient(weights) for weights in drawn])
    found = found[np.isfinite(found)]
    if len(found) < RESAMPLES / 2:
        return Estimate(round(value, 4))
    low, high = np.percentile(found, [2.5, 97.5]).tolist()
    return Estimate(round(value, 4), round(low, 4), round(high, 4))


def share_interval(right: int, events: int) -> tuple[float, float]:
    """The 95% interval of a share (Wilson 1927); 0 to 1 where there are no events."""
    if not events:
        return 0.0, 1.0
    z = _NORMAL_95
    share, scale = right / events, 1 + z * z / events
    middle = (share + z * z / (2 * events)) / scale
    half = z * sqrt(share * (1 - share) / events + z * z / (4 * events * events)) / scale
    return round(max(0.0, middle - half), 4), round(min(1.0, middle + half), 4)
