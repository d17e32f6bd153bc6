"""Counts and qualifiers in one form."""

from __future__ import annotations

import pytest

from earwitness.pipeline.score.counts import agrees, canonical, count_of, number_in, qualifier_of, within


@pytest.mark.parametrize(
    ("written", "form"),
    [
        ("3", "3"),
        (" 12 ", "12"),
        ("3.0", "3"),
        ("12345678", "12345678"),
        ("~20", "~20"),
        ("~ 20", "~20"),
        ("3+", "≥3"),
        (">=3", "≥3"),
        ("Many", "many"),
        ("a  few", "a few"),
        ("", None),
        (None, None),
        ("3-5", "3-5"),
    ],
)
def test_canonical(written, form):
    assert canonical(written) == form


@pytest.mark.parametrize(
    ("row", "form"),
    [
        ({"individualCount": 3}, "3"),
        ({"individualCount": 0}, "0"),
        ({"organismQuantity": "20", "organismQuantityType": "individuals, approximate"}, "~20"),
        ({"organismQuantity": "3", "organismQuantityType": "individuals, at least"}, "≥3"),
        ({"organismQuantity": "many", "organismQuantityType": "abundance as spoken"}, "many"),
        ({"organismQuantity": "20", "organismQuantityType": "% cover"}, "20 % cover"),
        ({"individualCount": None, "organismQuantity": None}, None),
        ({}, None),
    ],
)
def test_count_of_an_event_row(row, form):
    assert count_of(row) == form


def test_the_number_in_a_count():
    assert [number_in(count) for count in ("3", "~20", "≥3", "many", "20 % cover", None)] == [
        3,
        20,
        3,
        None,
        None,
        None,
    ]


@pytest.mark.parametrize(
    ("gold", "run", "same"),
    [
        ("many", "many", True),
        # The gold writes "many" for every word of abundance.
        ("many", "hundreds", True),
        ("many", "several", True),
        ("many", "dozens", True),
        ("many", "few", False),
        ("many", "~40", False),
        ("many", None, False),
        ("hundreds", "many", False),
        ("~40", "dozens", False),
        ("3", "~3", False),
        (None, None, True),
    ],
)
def test_abundance_as_the_gold_writes_it(gold, run, same):
    assert agrees(gold, run) is same


def test_within_a_fifth_at_the_edge():
    # 0.2 * 15 = 3 and 18 - 15 = 3: the edge counts, although 0.2 * 15 is not exact in binary.
    assert within(18, 15, 0.2)
    assert within(12, 15, 0.2)
    assert not within(19, 15, 0.2)
    assert not within(11, 15, 0.2)


@pytest.mark.parametrize(
    ("text", "sign"),
    [("cf.", "cf."), ("cf. dianthus", "cf."), ("CF", "cf."), ("sp.", "sp."), ("", None), (None, None)],
)
def test_qualifier(text, sign):
    assert qualifier_of(text) == sign
