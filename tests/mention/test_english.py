"""The model of English talk: what it says of windows, and that it holds on any words."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pocketsphinx import NGramModel, get_model_path

from earwitness.pipeline.mention.english import ENGLISH, EnglishTalk, log_probability
from earwitness.pipeline.mention.spoken_words import SpokenWord

WORDS = st.lists(
    st.tuples(
        st.one_of(st.sampled_from(["the", "a", "crab", "zyzzx", "看", "0", "is"]), st.text(min_size=1)), st.booleans()
    ),
    max_size=20,
)


def talk(text: str) -> list[SpokenWord]:
    """Words of one sentence."""
    return [SpokenWord(at, at + 1, key, at == 0, at == 0, False, key) for at, key in enumerate(text.split())]


def told(text: str, *window: str) -> dict[str, float]:
    """What is told of the window with these words."""
    words = text.split()
    first = words.index(window[0])
    (row,) = EnglishTalk(talk(text)).features([(first, first + len(window))])
    return dict(zip(ENGLISH, row.tolist(), strict=True))


def test_probabilities_are_those_of_the_library() -> None:
    """The library's own answer, in its own logarithms (base 1.0001)."""
    model = NGramModel.readfile(get_model_path("en-us/en-us.lm.bin"))
    for word, before in (("crab", ()), ("a", ("is", "there")), ("view", ("nice", "a"))):
        assert log_probability(word, *before) == pytest.approx(model.prob([word, *before]) * np.log(1.0001))
    assert log_probability("a", "is", "there") > log_probability("a", "there", "is")


def test_words_after_an_unknown_one_are_judged_without_it() -> None:
    assert log_probability("crab", "zyzzxq", "the") == log_probability("crab")
    assert log_probability("crab", "the", "zyzzxq") == log_probability("crab", "the")


@pytest.mark.parametrize(
    ("bent", "plain"),
    [
        (("mew", "needle"), ("nice", "view")),
        (("gravel", "annex"), ("lovely", "morning")),
        (("cough", "ease", "bolt"), ("lot", "of", "them")),
    ],
)
def test_bent_names_surprise_where_ordinary_words_do_not(bent: tuple[str, ...], plain: tuple[str, ...]) -> None:
    names = told(f"there is a {' '.join(bent)} on the rock", *bent)
    words = told(f"there is a {' '.join(plain)} on the rock", *plain)
    for feature in ("talkReplaced", "talkReplacedEach", "talkTogether", "talkOddest"):
        assert names[feature] < words[feature]


def test_a_noun_fits_behind_an_article_and_not_behind_a_pronoun() -> None:
    assert told("look at the blob here", "blob")["talkNounBefore"] > told("she blob here", "blob")["talkNounBefore"]


def test_unknown_words_are_counted() -> None:
    assert told("a zyzzxq vorblatt", "a", "zyzzxq", "vorblatt")["talkUnknown"] == 2


@given(WORDS, st.data())
def test_any_words_give_finite_numbers_and_sentences_do_not_mix(
    said: list[tuple[str, bool]], data: st.DataObject
) -> None:
    words = [SpokenWord(at, at + 1, key, op, op or at == 0, False, key) for at, (key, op) in enumerate(said)]
    every = [(i, j) for i in range(len(words)) for j in range(i + 1, min(i + 3, len(words)) + 1)]
    features = EnglishTalk(words).features(every)
    assert features.shape == (len(every), len(ENGLISH))
    assert np.isfinite(features).all()
    if every:
        at = data.draw(st.integers(0, len(every) - 1))
        before = [*talk("we saw nothing"), *words]
        first, last = every[at]
        again = EnglishTalk(before).features([(first + 3, last + 3)])
        assert np.allclose(again[0], features[at])
