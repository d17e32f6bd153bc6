"""How doubtful a row is: as its weakest point, whatever the others say."""

from __future__ import annotations

from typing import Any

import pytest

from earwitness.pipeline.review.queues import doubt
from tests.review import made


def row(**told: Any) -> dict[str, Any]:
    return made.occurrence("saddle_01", 1.0, "t4", **({"nameScore": 0.96, "certainty": 0.95} | told))


def rival(score: float) -> list[dict[str, Any]]:
    return [{"scientificName": "Callogorgia", "taxonID": "t8", "taxonRank": "genus", "nameScore": score}]


def steps(*names: str) -> list[dict[str, Any]]:
    return [{"step": name} for name in names]


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        ({}, 0.05),
        ({"nameScore": 0.3}, 0.7),
        ({"certainty": 0.2}, 0.8),
        # Not multiplied: one weak point is as bad as it is, and two are no worse than the worse of them.
        ({"nameScore": 0.3, "certainty": 0.2}, 0.8),
        ({"alternatives": rival(0.04)}, 0.08),
        ({"nameScore": 0.5, "alternatives": rival(0.5)}, 0.9),
        ({"nameScore": 0.75, "alternatives": rival(0.25)}, 0.5),
        ({"determinations": steps("named", "refined")}, 0.05),
        ({"determinations": steps("named", "corrected")}, 0.6),
        ({"determinations": steps("named", "offered", "confirmed")}, 0.4),
    ],
)
def test_doubt_is_that_of_the_weakest_point(told: dict[str, Any], expected: float) -> None:
    assert doubt(row(**told)) == pytest.approx(expected)


def test_what_somebody_asks_about_comes_first() -> None:
    assert doubt(row(), asked=True) == 1.0


def test_rows_without_a_name_are_little_in_doubt() -> None:
    assert doubt(made.blank("saddle_01", "marker", 1.0, markerType="image")) == 0.2


def test_more_doubt_in_one_point_is_never_less_in_all() -> None:
    scores = [doubt(row(nameScore=score / 20, alternatives=rival(0.1))) for score in range(21)]
    assert scores == sorted(scores, reverse=True)
    sure = [doubt(row(certainty=certainty / 20)) for certainty in range(21)]
    assert sure == sorted(sure, reverse=True)
