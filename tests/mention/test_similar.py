"""Misspelt and misheard names, and ordinary English that must not become any."""

from __future__ import annotations

from itertools import pairwise

import pytest

from earwitness.pipeline.mention.similar import ACCEPTED, SimilarNames
from earwitness.pipeline.mention.spoken_words import spoken_words

from .listed import Listener


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("we see chasey on a finneys walking", "Chaceon affinis"),
        ("that is leopathies glabberima", "Leiopathes glaberrima"),
        ("that is lofelia pertoosa", "Desmophyllum pertusum"),
        ("a hexactinelid on the wall", "Hexactinellida"),
        ("some ofiuroids below", "Ophiuroidea"),
        ("moonida sarsey again", "Munida sarsi"),
        ("mew nidopsis serracornis", "Munidopsis serricornis"),
        ("dezmofilum pertussum", "Desmophyllum pertusum"),
    ],
)
def test_a_bent_name_is_found(sea: Listener, text: str, name: str) -> None:
    found = {sea.name(mention.best): mention for mention in sea.hear(text)}
    assert name in found
    best = found[name].best
    assert best.how == "similar"
    assert ACCEPTED <= best.score <= 1


def test_a_bent_synonym_says_which_name_it_was(sea: Listener) -> None:
    best = sea.one("that is lofelia pertoosa").best
    assert sea.said(best) == "Lophelia pertusa"


def test_alternatives_are_ranked_and_each_another_taxon(sea: Listener) -> None:
    mention = sea.one("we see chasey on a finneys walking")
    scores = [candidate.score for candidate in mention.candidates]
    rows = [candidate.row for candidate in mention.candidates]
    assert len(scores) > 1
    assert scores == sorted(scores, reverse=True)
    assert len(set(rows)) == len(rows)
    assert mention.best is mention.candidates[0]


def test_no_similar_name_reaches_over_a_comma_or_a_found_name(sea: Listener) -> None:
    assert all(c.matched != "Chaceon affinis" for m in sea.hear("chasey, on a finneys") for c in m.candidates[:1])
    assert [m.text for m in sea.hear("the crab, hexactinelid")] == ["crab", "hexactinelid"]


def test_spans_hold_an_unusual_word_and_no_small_word_at_an_end(sea: Listener) -> None:
    words = spoken_words(sea.doc("the chasey on a finneys is here, and gone"))
    spans = SimilarNames(sea.index).spans(words, [False] * len(words))
    runs = [" ".join(word.key for word in words[first:last]) for first, last in spans]
    assert "chasey on a finneys" in runs
    assert not [run for run in runs if run.split()[0] == "the" or run.split()[-1] in ("the", "is", "and")]
    assert not [run for run in runs if "here and" in run or "gone" in run]
    assert max(len(run.split()) for run in runs) == 4


def test_offers_that_overlap_are_settled_for_the_likeliest(sea: Listener) -> None:
    similar = SimilarNames(sea.index)
    words = spoken_words(sea.doc("so the hexactinelid and chasey on a finneys, leopathies glabberima too"))
    found = sorted(similar.find(words, []), key=lambda span: span.first)
    assert [sea.name(span.candidates[0]) for span in found] == [
        "Hexactinellida",
        "Chaceon affinis",
        "Leiopathes glaberrima",
    ]
    assert all(one.last <= other.first for one, other in pairwise(found))


def test_taken_words_are_in_no_span(sea: Listener) -> None:
    words = spoken_words(sea.doc("chasey on a finneys"))
    spans = SimilarNames(sea.index).spans(words, [False, False, True, False])
    assert spans
    assert all(not first <= 2 < last for first, last in spans)


# Invented talk of a dive with no organism in it.
ENGLISH = """
We're gonna come up ten metres and have a look around.
Copy that, moving two metres forward, heading two seven zero.
The current is picking up a little, so hold station please.
Could you zoom in and white balance again?
I don't know what that was, let's wait and see.
The manipulator is stowed and the sample drawer is closed.
Good morning everybody, and welcome to the second dive of the week.
Temperature is three point four degrees, oxygen is low.
It looks like basalt with a thin manganese crust.
There are ripples on the sediment and a few boulders.
Yeah, absolutely gorgeous, wow, look at the colours.
Thrusters are off, we're sitting on the bottom.
Can you give me a wide shot? Thank you, that's perfect.
The tether is clear and the ship is holding position.
Somebody asked whether we can hear anything down there.
That's the end of the transect, recover the vehicle.
Okay okay, hang on, I can't quite see it, gotta move left.
We lost visibility because of the silt cloud.
The lasers are ten centimetres apart.
Nothing here, nothing there, just mud for miles.
"""


@pytest.mark.parametrize("sentence", ENGLISH.strip().split("\n"))
def test_ordinary_english_names_nothing(sea: Listener, sentence: str) -> None:
    assert sea.hear(sentence) == ()
    assert sea.hear(sentence.lower().translate(str.maketrans("", "", ".,?'"))) == ()
