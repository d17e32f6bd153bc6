"""How doubtful a row is: every point raises it, none hides another; and the measure of how well it orders the pile."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.review import Desk, views
from earwitness.pipeline.review.queues import doubt
from tests.bench.doubt import Judged, auc, found_first
from tests.review import made

LONG = "Paragorgia arborea"
"""Heard words of more letters than are short."""


def row(**told: Any) -> dict[str, Any]:
    """A sighting in which no point applies."""
    return made.occurrence(
        "saddle_01", 1.0, "t4", **({"nameScore": 1.0, "certainty": 1.0, "verbatimIdentification": LONG} | told)
    )


def rival(score: float) -> list[dict[str, Any]]:
    return [{"scientificName": "Callogorgia", "taxonID": "t8", "taxonRank": "genus", "nameScore": score}]


def steps(*names: str) -> list[dict[str, Any]]:
    return [{"step": name} for name in names]


@pytest.mark.parametrize(
    ("told", "mentions", "expected"),
    [
        ({}, 0, 0.0),
        ({}, 1, 0.6),
        ({}, 3, 0.2),
        ({"nameScore": 0.4}, 0, 0.3),
        ({"certainty": 0.5}, 0, 0.3),
        ({"verbatimIdentification": "crab"}, 0, 0.375),
        # Figures, blanks and strokes are no letters; what people added without words is not short.
        ({"verbatimIdentification": "cr-ab 7 8 9 0 1 2"}, 0, 0.375),
        ({"verbatimIdentification": None}, 0, 0.0),
        ({"alternatives": rival(0.25), "nameScore": 1.0}, 0, 0.2),
        ({"alternatives": rival(1.0)}, 0, 0.5),
        ({"determinations": steps("named", "refined", "confirmed")}, 0, 0.0),
        ({"determinations": steps("named", "offered", "confirmed")}, 0, 0.2),
        # Two points are more than either: 1 - 0.7 * 0.4.
        ({"nameScore": 0.4}, 1, 0.72),
        ({"nameScore": None, "certainty": None}, 0, 0.8),
    ],
)
def test_doubt_is_what_the_points_leave_of_trust(told: dict[str, Any], mentions: int, expected: float) -> None:
    assert doubt(row(**told), mentions=mentions) == pytest.approx(expected)


def test_what_somebody_asks_about_comes_first() -> None:
    assert doubt(row(), asked=True) == 1.0


def test_rows_without_a_name_are_little_in_doubt() -> None:
    assert doubt(made.blank("saddle_01", "marker", 1.0, markerType="image")) == 0.2


parts = st.floats(0, 1)


@given(parts, parts, parts, st.integers(0, 9), st.text(max_size=30), st.sampled_from(["refined", "corrected"]))
def test_more_doubt_in_one_point_is_never_less_in_all(
    score: float, certainty: float, other: float, mentions: int, heard: str, step: str
) -> None:
    told = {"nameScore": score, "certainty": certainty, "verbatimIdentification": heard}
    told |= {"alternatives": rival(other), "determinations": steps("named", step)}
    whole = doubt(row(**told), mentions=mentions)
    assert 0 <= whole <= 1
    better: list[tuple[dict[str, Any], int]] = [
        ({"certainty": min(1.0, certainty + 0.1)}, mentions),
        ({"nameScore": min(1.0, score + 0.1)}, mentions),
        ({"alternatives": rival(max(0.0, other - 0.1))}, mentions),
        ({"verbatimIdentification": (heard or LONG) + "letters"}, mentions),
        ({"determinations": steps("named", "refined")}, mentions),
        ({}, mentions + 1 if mentions else 0),
    ]
    for change, number in better:
        assert doubt(row(**told | change), mentions=number) <= whole


def test_the_desk_knows_on_how_many_mentions_a_row_rests(desk: Desk) -> None:
    def shown(name: str) -> Any:
        return dict(zip(views.COLUMNS, views.compact(desk, name), strict=True))["doubt"]

    assert len(desk.talk.mentions_of(made.LOBSTER)) == 1
    assert shown(made.LOBSTER) == doubt(desk.row(made.LOBSTER), mentions=1) > doubt(desk.row(made.LOBSTER), mentions=2)


def test_auc_is_the_share_of_pairs_in_the_right_order() -> None:
    """By hand: 0.9 and 0.4 are wrong, 0.5, 0.4 and 0.1 right; of six pairs four are in order, one is even."""
    values = [(0.9, True), (0.5, False), (0.4, True), (0.4, False), (0.1, False)]
    assert auc(values) == pytest.approx((3 + 1 + 0.5) / 6)
    assert auc([(1.0, True)]) is None


def test_what_is_found_first_is_counted_in_the_most_doubtful_third() -> None:
    pile = [Judged(row(certainty=n / 6), 0, n in (0, 4)) for n in range(6)]
    assert found_first(pile) == 0.5
    assert found_first(pile, 1.0) == 1.0
