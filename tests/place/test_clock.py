"""Seconds of video to UTC: offsets, drift, cuts, files."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.place.clock import Clock, Pair, Seam, build_clock


def clock(start: float | None, pairs: list[Pair] | None = None, seams: list[Seam] | None = None) -> Clock:
    built = build_clock(start, pairs or [], seams or [])
    assert built is not None
    return built


def test_no_start_no_pair_no_clock() -> None:
    assert build_clock(None, [], [Seam(10.0, removed=5.0)]) is None


def test_a_start_alone() -> None:
    assert clock(1000.0).seconds(12.5) == 1012.5
    assert not clock(1000.0).corrected


def test_one_pair_is_an_offset() -> None:
    told = clock(1000.0, [Pair(60.0, 1063.0)])
    assert [told.seconds(v) for v in (0.0, 60.0, 600.0)] == [1003.0, 1063.0, 1603.0]
    assert told.corrected


def test_two_pairs_are_a_drift_that_goes_on() -> None:
    told = clock(None, [Pair(0.0, 1000.0), Pair(3600.0, 4602.0)])
    assert told.seconds(1800.0) == pytest.approx(2801.0)
    assert told.seconds(7200.0) == pytest.approx(8204.0)


def test_three_pairs_are_two_straight_lines() -> None:
    told = clock(0.0, [Pair(0.0, 0.0), Pair(100.0, 100.5), Pair(200.0, 200.0)])
    assert told.seconds(50.0) == pytest.approx(50.25)
    assert told.seconds(150.0) == pytest.approx(150.25)
    assert told.seconds(100.0) == pytest.approx(100.5)


def test_a_cut_takes_time_out() -> None:
    told = clock(1000.0, seams=[Seam(60.0, removed=300.0)])
    assert told.seconds(59.9) == pytest.approx(1059.9)
    assert told.seconds(60.0) == pytest.approx(1360.0)
    assert told.seconds(60.0, "before") == pytest.approx(1060.0)
    assert told.seconds(70.0) == pytest.approx(1370.0)


def test_no_line_runs_across_a_cut() -> None:
    """The offset is 0 s before the cut and 4 s after it: halfway there is no 2 s on either side."""
    told = clock(0.0, [Pair(0.0, 0.0), Pair(200.0, 504.0)], [Seam(100.0, removed=300.0)])
    assert told.seconds(99.0) == pytest.approx(99.0)
    assert told.seconds(101.0) == pytest.approx(405.0)


def test_a_piece_without_pairs_takes_the_correction_next_to_it() -> None:
    seams = [Seam(100.0, removed=10.0), Seam(200.0, removed=10.0)]
    told = clock(0.0, [Pair(150.0, 162.0)], seams)
    assert told.seconds(50.0) == pytest.approx(52.0)
    assert told.seconds(250.0) == pytest.approx(272.0)


def test_a_later_file_with_a_start_of_its_own() -> None:
    told = clock(0.0, [Pair(10.0, 13.0)], [Seam(100.0, resumes=160.0)])
    assert told.seconds(110.0) == pytest.approx(173.0)


def test_a_pair_after_a_cut_places_what_was_before_it() -> None:
    told = clock(None, [Pair(150.0, 1000.0)], [Seam(100.0, removed=30.0)])
    assert told.seconds(50.0) == pytest.approx(1000.0 - 30.0 - 100.0)


@pytest.mark.parametrize(
    ("pairs", "seams", "told"),
    [
        ([Pair(0.0, 0.0), Pair(0.0, 1.0)], [], "two clock pairs"),
        ([], [Seam(5.0, removed=1.0), Seam(5.0, removed=2.0)], "two cuts"),
        ([Pair(0.0, 0.0), Pair(100.0, 160.0)], [], "drift"),
        ([], [Seam(100.0, resumes=40.0)], "go back by 60.0 s"),
    ],
)
def test_what_contradicts_itself_is_refused(pairs: list[Pair], seams: list[Seam], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        build_clock(0.0, pairs, seams)


def test_a_start_that_no_pair_can_tell_is_refused() -> None:
    with pytest.raises(ValueError, match="no start"):
        build_clock(None, [Pair(150.0, 1000.0)], [Seam(100.0, resumes=940.0)])


@st.composite
def clocks(draw: st.DrawFn) -> tuple[Clock, list[Pair]]:
    cuts = draw(st.sets(st.integers(1, 900), max_size=4))
    seams = [Seam(float(at), removed=draw(st.integers(0, 5000)) / 10) for at in cuts]
    plain = clock(1e9, seams=seams)
    moments = draw(st.sets(st.integers(0, 1000), max_size=5))
    pairs = [Pair(v, plain.seconds(v) + draw(st.integers(-2, 2)) / 100) for v in map(float, moments)]
    return clock(1e9, pairs, seams), pairs


@given(clocks(), st.floats(0, 1000), st.floats(0, 1000))
def test_time_never_runs_back(made: tuple[Clock, list[Pair]], one: float, two: float) -> None:
    """Within a piece; from piece to piece by no more than corrections may differ."""
    told, (low, high) = made[0], sorted((one, two))
    assert told.seconds(low) <= told.seconds(high) + (0 if told.number(low) == told.number(high) else 1.0)


@given(clocks())
def test_pairs_are_met(made: tuple[Clock, list[Pair]]) -> None:
    for pair in made[1]:
        assert made[0].seconds(pair.video) == pytest.approx(pair.utc, abs=1e-5)


@given(clocks(), st.floats(0, 1000))
def test_a_moment_lies_within_the_limits_of_its_piece(made: tuple[Clock, list[Pair]], video: float) -> None:
    low, high = made[0].limits(made[0].number(video))
    assert low - 1e-6 <= made[0].seconds(video) <= high + 1e-6


def test_near_pairs_make_no_wild_drift() -> None:
    told = clock(0.0, [Pair(0.0, 0.0), Pair(10.0, 11.0)])
    assert told.seconds(10.0) == 11.0
    assert told.seconds(1010.0) == pytest.approx(1021.0)
