"""Text that a spreadsheet runs is defused, and comes back as it was."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.schemas.spreadsheet import FORMULA_STARTS, guarded, guarded_throughout, unguarded

BITING = st.text(st.sampled_from("=+-@＝＋－＠\t\r\n\0;,'\" a1"), max_size=12)


@given(BITING)
def test_every_text_comes_back_as_it_was(text: str) -> None:
    assert unguarded(guarded_throughout(text)) == text


@given(BITING)
def test_no_part_that_a_spreadsheet_may_cut_out_starts_a_formula(text: str) -> None:
    told = guarded_throughout(text)
    assert not told.startswith(FORMULA_STARTS)
    for part in re.split("[;\t\r\n]", told)[1:]:
        assert not part.lstrip("'\"").startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠")) or part.startswith("'")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("=1+1", "'=1+1"),
        ("＝1", "'＝1"),
        ("\n=1", "'\n'=1"),
        ("\0=1", "'\0=1"),
        ("mud;=1", "mud;'=1"),
        ('mud;"=1"', 'mud;\'"=1"'),
        ("mud; -1", "mud; -1"),
        ("a - b = c", "a - b = c"),
        ("'tis", "'tis"),
        ("", ""),
    ],
)
def test_what_is_guarded(text: str, told: str) -> None:
    assert guarded_throughout(text) == told
    if told.startswith("'") and not text.startswith("'"):
        assert guarded(text).startswith("'")
