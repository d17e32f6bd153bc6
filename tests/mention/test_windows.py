"""Windows of words: against the plain definition, and what is told of them before any name is looked at."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from wordfreq import zipf_frequency

from earwitness.pipeline.mention.heard import may_say_more
from earwitness.pipeline.mention.mentions import Candidate
from earwitness.pipeline.mention.spans import Found, spans_at
from earwitness.pipeline.mention.spoken_words import SpokenWord, spoken_words
from earwitness.pipeline.mention.windows import (
    COMMON,
    FEWEST_LETTERS,
    LOOKS,
    NEIGHBOUR_CLASSES,
    UNUSUAL,
    WIDEST,
    Window,
    english_nats,
    is_small,
    looks,
    neighbour_class,
    windows,
    zipf,
)

from .listed import Listener

KEYS = st.one_of(
    st.sampled_from(
        ["the", "a", "on", "sea", "wall", "basalt", "chasey", "finneys", "munida", "270", "x", "glabberima"]
    ),
    st.text("abcdefghijklmnopqrstuvwxyz0123456789", min_size=1, max_size=12),
)


@st.composite
def talk(draw: st.DrawFn) -> tuple[list[SpokenWord], list[bool]]:
    """Words, some of which open a sentence or follow a comma, and which of them are free."""
    words, free = [], []
    for at, key in enumerate(draw(st.lists(KEYS, max_size=25))):
        opens = at == 0 or draw(st.integers(0, 6)) == 0
        parted = opens or draw(st.integers(0, 5)) == 0
        words.append(SpokenWord(at, at + 1, key, parted, opens, draw(st.booleans()), key))
        free.append(draw(st.integers(0, 6)) > 0)
    return words, free


def may_be_a_window(words: list[SpokenWord], free: list[bool], first: int, last: int) -> bool:
    """The definition, word for word."""
    inside = words[first:last]
    rarest = min(zipf_frequency(word.key, "en") for word in inside)
    return (
        last - first <= WIDEST
        and all(free[first:last])
        and not any(word.opens for word in inside[1:])
        and sum(len(word.key) for word in inside) >= FEWEST_LETTERS
        and rarest < (UNUSUAL if len(inside) == 1 else COMMON)
    )


@given(talk())
def test_windows_are_what_the_definition_says(said: tuple[list[SpokenWord], list[bool]]) -> None:
    words, free = said
    size = len(words)
    every = [(first, last) for first in range(size) for last in range(first + 1, size + 1)]
    found = list(windows(words, free))
    assert found == [window for window in every if may_be_a_window(words, free, *window)]
    assert len(found) <= WIDEST * size


def runs(sea: Listener, text: str) -> list[str]:
    words = spoken_words(sea.doc(text))
    return [" ".join(word.key for word in words[a:b]) for a, b in windows(words, [True] * len(words))]


def test_a_window_runs_over_a_comma_and_not_over_the_end_of_a_sentence(sea: Listener) -> None:
    assert "chasey on a finneys" in runs(sea, "the chasey, on a finneys")
    ended = runs(sea, "That is chasey. On a finneys it is.")
    assert "chasey" in ended
    assert not [run for run in ended if "chasey on" in run]


def test_a_common_word_alone_and_runs_of_very_common_words_are_no_windows(sea: Listener) -> None:
    assert zipf("wall") > UNUSUAL
    assert runs(sea, "wall") == []
    assert runs(sea, "we are going to have to do that") == []
    assert runs(sea, "ox") == []
    assert runs(sea, "finneys") == ["finneys"]


@pytest.mark.parametrize("words_per_sentence", [1, 5, 12])
def test_windows_grow_with_the_words(words_per_sentence: int) -> None:
    """Counted, not timed: a sentence more is as many windows more, and a word more at most WIDEST more."""

    def count(sentences: int) -> int:
        words = [
            SpokenWord(at, at + 1, "finneys", at % words_per_sentence == 0, at % words_per_sentence == 0, False, "")
            for at in range(sentences * words_per_sentence)
        ]
        return sum(1 for _ in windows(words, [True] * len(words)))

    assert count(1) > 0
    assert count(50) == 50 * count(1) <= WIDEST * 50 * words_per_sentence
    assert count(400) == 8 * count(50)


@given(talk())
def test_looks_are_finite_and_one_row_a_window(said: tuple[list[SpokenWord], list[bool]]) -> None:
    words, free = said
    of = list(windows(words, free))
    told = looks(words, of)
    assert told.shape == (len(of), len(LOOKS))
    assert np.isfinite(told).all()
    for row, (first, last) in zip(told, of, strict=True):
        by_name = dict(zip(LOOKS, row.tolist(), strict=True))
        assert by_name["words"] == last - first
        assert by_name["letters"] == sum(len(word.key) for word in words[first:last])
        assert by_name["rarestWord"] <= min(by_name["firstWord"], by_name["lastWord"])
        assert by_name["rarity"] >= by_name["greatRarity"] >= 0
        assert 0 <= by_name["commas"] < last - first


def test_a_capital_counts_only_inside_a_sentence(sea: Listener) -> None:
    words = spoken_words(sea.doc("Finneys there. That is Finneys"))
    first, second = (at for at, word in enumerate(words) if word.key == "finneys")
    told = looks(words, [(first, first + 1), (second, second + 1)])
    assert told[:, LOOKS.index("capital")].tolist() == [0, 1]


def test_english_nats_are_the_log_of_word_probabilities(sea: Listener) -> None:
    """A Zipf value is the base-10 logarithm of occurrences per billion words (package wordfreq)."""
    words = spoken_words(sea.doc("the wall"))
    expected = sum(math.log(10 ** zipf_frequency(word, "en") / 1e9) for word in ("the", "wall"))
    assert english_nats(words, (0, 2)) == pytest.approx(expected)
    assert english_nats(words, (0, 1)) > english_nats(words, (0, 2))


@pytest.mark.parametrize(
    ("text", "window", "before", "after"),
    [
        ("the finneys is", (1, 2), "determiner", "copula"),
        ("on finneys it", (1, 2), "preposition", "pronoun"),
        ("basalt finneys basalt", (1, 2), "other", "other"),
        ("finneys", (0, 1), "none", "none"),
        ("That is the. Finneys. On it.", (3, 4), "none", "none"),
    ],
)
def test_the_classes_of_the_words_beside(sea: Listener, text: str, window: Window, before: str, after: str) -> None:
    words = spoken_words(sea.doc(text))
    first, last = window
    assert words[first].key == "finneys"
    assert neighbour_class(words, first - 1, first) == before
    assert neighbour_class(words, last, last) == after
    assert {before, after} <= set(NEIGHBOUR_CLASSES)


def test_small_words_are_those_of_closed_classes(sea: Listener) -> None:
    small = [word.key for word in spoken_words(sea.doc("the finneys is on it basalt")) if is_small(word)]
    assert small == ["the", "is", "on", "it"]


def test_a_word_longer_than_any_has_no_frequency() -> None:
    assert zipf("a" * 10_000) == zipf("qzxqzxqzx") == 0
    assert zipf("the") == zipf_frequency("the", "en") > 7


@pytest.mark.parametrize(
    ("window", "may"),
    [
        ((3, 4), True),  # touches no name
        ((1, 2), False),  # the name itself
        ((1, 3), True),  # the name and an unusual word
        ((0, 2), False),  # the name and a small word
        ((1, 4), False),  # a small word at the end
        ((1, 5), True),  # the small word inside
        ((5, 7), False),  # half of a name of two words
        ((4, 6), False),
        ((4, 8), True),
        ((4, 7), True),
    ],
)
def test_windows_that_touch_a_name_hold_it_and_an_unusual_word(window: Window, may: bool) -> None:
    keys = ["the", "munida", "sarsie", "on", "finneys", "glass", "sponge", "basalt"]
    words = [SpokenWord(at, at + 1, key, at == 0, at == 0, False, key) for at, key in enumerate(keys)]
    candidates = (Candidate(0, 0, "a name", "exact", 0.9),)
    named = [Found(1, 2, candidates), Found(5, 7, candidates)]
    assert may_say_more(words, window, spans_at(named)) is may
