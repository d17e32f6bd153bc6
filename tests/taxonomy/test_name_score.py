"""nameScore of names that are not heard: a share, and the measured ones with where they came from."""

from __future__ import annotations

import pytest

from earwitness.taxonomy import exact_score
from earwitness.taxonomy.tables import data_rows

HOW = ("exact", "group", "abbreviated", "epithet", "corrected")


@pytest.mark.parametrize("how", HOW)
def test_exact_scores_are_shares(how: str) -> None:
    assert 0.5 < exact_score(how) <= 1


def test_no_other_name_scores_higher_than_an_exact_one() -> None:
    assert max(map(exact_score, HOW)) == exact_score("exact")


def test_every_score_has_a_source_and_stands_once() -> None:
    rows = data_rows("name_scores.csv")
    assert [row["term"] for row in rows] == list(HOW)
    assert all(row["source"] and row["source"] != "placeholder" for row in rows)
