"""The word lists of the mention stage: every row can act, and says where it comes from."""

from __future__ import annotations

import pytest

from earwitness.pipeline.words import word_rows
from earwitness.taxonomy.fold import spoken_key

LISTS = {
    "ordinary_words": "word",
    "before_animals": "word",
    "neighbours": "word",
    "not_names": "phrase",
    "qualifiers": "phrase",
}


@pytest.mark.parametrize(("name", "column"), LISTS.items())
def test_every_row_is_a_spoken_key_with_a_source_and_stands_once(name: str, column: str) -> None:
    rows = word_rows(name)
    said = [row[column] for row in rows]
    assert len(set(said)) == len(said) > 0
    # Words are compared by their spoken keys, so a row that is none could never be met.
    assert [spoken_key(word) for word in said] == said
    assert all(row["source"].strip() for row in rows)


def test_barred_phrases_have_several_words_and_fit_the_look_up() -> None:
    assert all(2 <= len(row["phrase"].split()) <= 5 for row in word_rows("not_names"))


def test_qualifiers_stand_before_or_after() -> None:
    assert {row["place"] for row in word_rows("qualifiers")} == {"before", "after"}
    assert all(row["sign"].endswith(".") for row in word_rows("qualifiers"))
