"""The rule for spikes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.place.spikes import find_spikes, plane


def spiked(values: list[float], jump: float = 10.0, rate: float = 1.0) -> list[int]:
    seconds = np.arange(len(values), dtype=np.float64)
    return list(np.flatnonzero(find_spikes(seconds, np.array(values), jump, rate)))


@pytest.mark.parametrize("run", [1, 2, 3])
@pytest.mark.parametrize("place", [0, 1, 5, 12, 17])
def test_up_to_three_in_a_row_are_found_wherever_they_are(place: int, run: int) -> None:
    values = [100.0] * 20
    values[place : place + run] = [300.0] * run
    assert spiked(values) == list(range(place, place + run))


def test_a_step_that_stays_is_none() -> None:
    assert spiked([100.0] * 8 + [300.0] * 8) == []


def test_too_few_fixes_tell_nothing() -> None:
    assert spiked([0.0, 900.0]) == []
    assert spiked([]) == []


@given(st.integers(0, 1000), st.lists(st.floats(-0.99, 0.99), min_size=3, max_size=40))
def test_a_vehicle_that_moves_as_it_can_has_none(start: int, steps: list[float]) -> None:
    """Every second by less than the rate, and noise of less than the jump."""
    assert spiked(list(start + np.cumsum(steps))) == []


def test_positions_are_compared_in_metres() -> None:
    """At 60 degrees north a degree of longitude is half as long."""
    metres = plane(np.array([60.0, 60.0]), np.array([0.0, 0.001]))
    assert float(np.hypot(*(metres[1] - metres[0]))) == pytest.approx(55.6, abs=0.1)
