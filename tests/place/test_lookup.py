"""Values at moments against a plain reference that goes through all fixes one by one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.place.log import LogFile
from earwitness.pipeline.place.lookup import EVER, GAP, INTERPOLATED, NEAREST, NEVER, any_between, extremes, look_up
from earwitness.pipeline.place.tracks import Track

FILE = LogFile("log.csv", Path("log.csv"), "csv", {}, {}, within=10.0, nearest=20.0)
S = 1_000_000


def track(times: list[float], values: list[float], within: float = 10.0, nearest: float = 20.0) -> Track:
    fixes = pl.DataFrame(
        {"time": [round(t * S) for t in times], "value": values}, schema_overrides={"value": pl.Float64}
    )
    return Track("depth", replace(FILE, within=within, nearest=nearest), fixes, np.array([], dtype=np.int64))


def asked(*moments: tuple[float, float | None, float | None]) -> pl.DataFrame:
    rows = [
        (round(t * S), NEVER if low is None else round(low * S), EVER if high is None else round(high * S))
        for t, low, high in moments
    ]
    return pl.DataFrame(rows, schema={"time": pl.Int64, "low": pl.Int64, "high": pl.Int64}, orient="row")


def one(made: Track, moment: float, low: float | None = None, high: float | None = None) -> dict[str, Any]:
    return look_up(made, asked((moment, low, high))).row(0, named=True)


def test_between_two_fixes() -> None:
    told = one(track([0, 8], [100, 108]), 2)
    assert (told["method"], told["value"], told["gap"]) == (INTERPOLATED, 102, 2)


def test_at_a_fix() -> None:
    told = one(track([0, 100], [100, 108]), 100)
    assert (told["method"], told["value"], told["gap"]) == (INTERPOLATED, 108, 0)


def test_over_a_gap_the_nearest_fix_is_used_and_marked() -> None:
    told = one(track([0, 30], [100, 130]), 18)
    assert (told["method"], told["value"], told["gap"]) == (NEAREST, 130, 12)


def test_beyond_both_ends() -> None:
    made = track([0, 5], [100, 105])
    assert one(made, -6)["value"] == 100
    assert (one(made, 25)["method"], one(made, 25)["gap"]) == (NEAREST, 20)
    assert (one(made, 25.001)["method"], one(made, 25.001)["value"]) == (GAP, None)


def test_never_across_a_cut() -> None:
    """Fixes on both sides 2 s away: the one of the own side is used alone."""
    made = track([0, 4], [100, 200])
    before, after = one(made, 2, None, 3), one(made, 2, 1, None)
    assert (before["method"], before["value"], before["crossed"]) == (NEAREST, 100, False)
    assert (after["method"], after["value"], after["crossed"]) == (NEAREST, 200, False)


def test_a_further_fix_of_the_own_side_comes_before_a_nearer_one_beyond_the_cut() -> None:
    assert one(track([0, 4], [100, 200]), 3, None, 3.5)["value"] == 100


def test_a_fix_beyond_the_cut_is_used_where_there_is_no_other_and_told() -> None:
    told = one(track([0, 4], [100, 200]), 5, 4.5, None)
    assert (told["method"], told["value"], told["crossed"]) == (NEAREST, 200, True)


def reference(made: Track, moment: int, low: int, high: int) -> tuple[str, float | None]:
    """The rule, in words of a loop."""
    fixes = list(zip(made.fixes["time"].to_list(), made.fixes["value"].to_list(), strict=True))
    before = [fix for fix in fixes if fix[0] <= moment][-1:]
    after = [fix for fix in fixes if fix[0] >= moment][:1]
    if before and after and before[0][0] >= low and after[0][0] <= high:
        (t0, v0), (t1, v1) = before[0], after[0]
        if t1 - t0 <= made.log.within * S:
            return INTERPOLATED, v0 if t1 == t0 else v0 + (v1 - v0) * (moment - t0) / (t1 - t0)
    near = [fix for fix in before + after if abs(fix[0] - moment) <= made.log.nearest * S]
    own = [fix for fix in near if low <= fix[0] <= high]
    if not near:
        return GAP, None
    return NEAREST, min(own or near, key=lambda fix: abs(fix[0] - moment))[1]


whole = st.integers(-60, 60)


@given(
    st.dictionaries(whole, st.integers(0, 1000), min_size=1, max_size=12),
    st.lists(st.tuples(whole, st.integers(0, 30), st.integers(0, 30)), min_size=1, max_size=12),
    st.integers(0, 20),
    st.integers(0, 20),
)
def test_as_the_reference_says(
    fixes: dict[int, int], moments: list[tuple[int, int, int]], within: int, nearest: int
) -> None:
    times = sorted(fixes)
    made = track([float(t) for t in times], [float(fixes[t]) for t in times], within, nearest)
    given_ = asked(*((t, t - before, t + after) for t, before, after in moments))
    told = look_up(made, given_)
    for row, moment in zip(told.iter_rows(named=True), given_.iter_rows(), strict=True):
        method, value = reference(made, *moment)
        assert row["method"] == method
        assert row["value"] == (None if value is None else pytest.approx(value))


@given(st.lists(st.integers(0, 50), min_size=1, max_size=20, unique=True), st.data())
def test_extremes_are_those_of_a_loop(times: list[int], data: st.DataObject) -> None:
    at = np.array(sorted(times), dtype=np.int64)
    values = np.array(data.draw(st.lists(st.floats(-5, 5), min_size=len(at), max_size=len(at))))
    spans = data.draw(st.lists(st.tuples(st.integers(-5, 55), st.integers(0, 20)), min_size=1, max_size=8))
    low = np.array([start for start, _ in spans], dtype=np.int64)
    high = low + np.array([length for _, length in spans], dtype=np.int64)
    least, largest = extremes(at, values, low, high)
    for number, (begin, end) in enumerate(zip(low, high, strict=True)):
        within = values[(at >= begin) & (at <= end)]
        assert bool(any_between(at, low, high)[number]) == bool(len(within))
        if len(within):
            assert (least[number], largest[number]) == (within.min(), within.max())
        else:
            assert np.isnan(least[number])
            assert np.isnan(largest[number])
