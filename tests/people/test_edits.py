"""Places of characters after replacements: checked against a text in which every character knows where it came from."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.people.edits import Edit, EditedText

texts = st.text(max_size=60)


@st.composite
def edited_texts(draw: st.DrawFn) -> EditedText:
    text = draw(texts)
    bounds = sorted(draw(st.sets(st.integers(0, len(text)), max_size=8)))
    pairs = [(a, b) for a, b in zip(bounds[::2], bounds[1::2], strict=False)]
    return EditedText(text, [Edit(a, b, draw(texts)) for a, b in pairs])


def test_an_example() -> None:
    edited = EditedText("ask Maud, Iver", [Edit(4, 8, "Person 1"), Edit(10, 14, "Person 22")])
    assert edited.new == "ask Person 1, Person 22"
    assert edited.cut(4, 8) == "Person 1"
    assert edited.cut(5, 7) == "Person 1"
    assert edited.cut(8, 10) == ", "
    assert edited.cut(0, 14) == edited.new
    assert (edited.begin(10), edited.end(14)) == (14, 23)


@given(edited_texts())
def test_what_is_outside_edits_is_cut_as_before(edited: EditedText) -> None:
    bounds = [0, *(place for edit in edited.edits for place in (edit.start, edit.end)), len(edited.old)]
    for start, end in zip(bounds[::2], bounds[1::2], strict=True):
        for first in range(start, end):
            assert edited.cut(first, end) == edited.old[first:end]
            assert edited.cut(first, first + 1) == edited.old[first]
    for edit in edited.edits:
        assert edited.cut(edit.start, edit.end) == edit.text


@given(edited_texts())
def test_the_new_text_is_the_old_one_piece_by_piece(edited: EditedText) -> None:
    expected, at = "", 0
    for edit in edited.edits:
        expected += edited.old[at : edit.start] + edit.text
        at = edit.end
    assert edited.new == expected + edited.old[at:]
    assert edited.cut(0, len(edited.old)) == (edited.new if edited.old else "")


@given(edited_texts())
def test_places_keep_their_order(edited: EditedText) -> None:
    begins = [edited.begin(place) for place in range(len(edited.old) + 1)]
    ends = [edited.end(place) for place in range(len(edited.old) + 1)]
    assert begins == sorted(begins)
    assert ends == sorted(ends)


@pytest.mark.parametrize("edits", [[Edit(2, 2, "x")], [Edit(0, 9, "x")], [Edit(2, 3, "a"), Edit(1, 2, "b")]])
def test_edits_that_cannot_be_made_are_refused(edits: list[Edit]) -> None:
    with pytest.raises(ValueError, match="edits out of order"):
        EditedText("abcd", edits)
