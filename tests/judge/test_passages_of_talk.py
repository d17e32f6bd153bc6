"""Talk around names, as the learned reader takes it in."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earwitness.pipeline.judge.passages import (
    AROUND,
    MARKS,
    NAMES,
    PAUSE,
    RULED,
    TOGETHER,
    TURN,
    UNKNOWN,
    Vocabulary,
    passages,
)
from tests.judge.talk import Listener

PIECES = [*MARKS, *"abcdefghijklmnopqrstuvwxyz", "##s", "##ing", "look", "a", "there", ".", "not", "e", "##e"]


@pytest.fixture(scope="module")
def known() -> Vocabulary:
    return Vocabulary(PIECES)


def said(pieces: tuple[int, ...]) -> str:
    return " ".join(PIECES[piece] for piece in pieces)


def test_words_are_cut_into_the_longest_pieces(known: Vocabulary) -> None:
    assert said(known.word("Looking")) == "look ##ing"
    assert said(known.word("looks.")) == "look ##s ."
    assert said(known.word("éé")) == "e ##e"


def test_a_word_without_pieces_is_one_unknown(known: Vocabulary) -> None:
    assert said(known.word("look7")) == UNKNOWN
    assert said(known.word("лок")) == UNKNOWN
    assert known.word("") == ()


def test_a_name_is_a_mark_with_what_the_rules_made_of_it(hear: Listener, known: Vocabulary) -> None:
    doc, mentions, judgements = hear.judged("look there, not a crab", ("B", "look a crab", 9.0))
    (passage,) = passages(doc, mentions, judgements, known)
    told = said(passage.pieces)
    assert f"not a {NAMES['singular']} {RULED['denied']}" in told
    assert f"{TURN} {PAUSE} look a {NAMES['singular']} {RULED['observed']}" in told
    assert [passage.pieces[place] for place, _ in passage.places] == [known[NAMES["singular"]]] * 2


@given(gaps=st.lists(st.integers(0, 120), max_size=8))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_every_name_is_read_once_in_passages_of_bounded_length(
    hear: Listener, known: Vocabulary, gaps: list[int]
) -> None:
    talk = " ".join(f"{'look ' * gap} a crab." for gap in gaps)
    doc, mentions, judgements = hear.judged(talk)
    found = list(passages(doc, mentions, judgements, known))
    assert sorted(number for passage in found for _, number in passage.places) == list(range(len(mentions)))
    assert all(len(passage.pieces) <= TOGETHER + 2 * AROUND + 2 for passage in found)
