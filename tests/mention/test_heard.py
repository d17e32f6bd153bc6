"""Misspelt and misheard names in running text, and ordinary English that must not become any."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earwitness.pipeline.mention import find_mentions
from earwitness.pipeline.mention.heard import ACCEPTED, ALTERNATIVES, HeardNames, Offer
from earwitness.pipeline.mention.rivals import RIVALS
from earwitness.pipeline.mention.span_model import LOOK
from earwitness.pipeline.mention.spans import Found
from earwitness.pipeline.mention.spoken_words import spoken_words
from earwitness.taxonomy import exact_score
from earwitness.taxonomy.heard_names import FEATURES, HeardName, NameEar

from .listed import Listener, listen

BENT = [
    ("we see chasey on a finneys walking", "chasey on a finneys", "Chaceon affinis"),
    ("that is leopathies glabberima", "leopathies glabberima", "Leiopathes glaberrima"),
    ("that is lofelia pertoosa", "lofelia pertoosa", "Desmophyllum pertusum"),
    ("a hexactinelid on the wall", "hexactinelid", "Hexactinellida"),
    ("some ofiuroids below", "ofiuroids", "Ophiuroidea"),
    ("moonida sarsey again", "moonida sarsey", "Munida sarsi"),
    ("mew nidopsis serracornis", "nidopsis serracornis", "Munidopsis serricornis"),
    ("dezmofilum pertussum", "dezmofilum pertussum", "Desmophyllum pertusum"),
]


@pytest.mark.parametrize(("text", "words", "name"), BENT)
def test_a_bent_name_is_found(sea: Listener, text: str, words: str, name: str) -> None:
    mention = sea.one(text)
    assert words in mention.text
    assert (sea.name(mention.best), mention.best.how) == (name, "similar")
    assert ACCEPTED <= mention.best.score <= exact_score("exact")


def test_a_bent_synonym_says_which_name_it_was(sea: Listener) -> None:
    best = sea.one("that is lofelia pertoosa").best
    assert sea.said(best) == "Lophelia pertusa"


@pytest.mark.parametrize("text", [text for text, _, _ in BENT])
def test_alternatives_are_ranked_and_each_another_taxon(sea: Listener, text: str) -> None:
    mention = sea.one(text)
    scores = [candidate.score for candidate in mention.candidates]
    rows = [candidate.row for candidate in mention.candidates]
    assert 1 < len(scores) <= ALTERNATIVES
    assert scores == sorted(scores, reverse=True)
    assert all(0 <= score <= 1 for score in scores)
    assert len(set(rows)) == len(rows)
    assert mention.best is mention.candidates[0]


def test_a_clearly_bent_name_scores_higher_than_a_vague_one(sea: Listener) -> None:
    clear, vague = sea.one("that is leopathies glabberima"), sea.one("two erina on it")
    assert clear.best.score > vague.best.score


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("that is chaceon afinis there", ("chaceon afinis", "Chaceon affinis")),
        ("a munida sarsie here", ("munida sarsie", "Munida sarsi")),
        ("munidopsis seracornis", ("munidopsis seracornis", "Munidopsis serricornis")),
        ("an electrona antartica", ("electrona antartica", "Electrona antarctica")),
        ("an errina antartica", ("errina antartica", "Errina antarctica")),
    ],
)
def test_a_longer_span_that_names_the_species_takes_the_place_of_the_genus(
    sea: Listener, text: str, found: tuple[str, str]
) -> None:
    assert sea.names(text) == [found]


def test_a_name_of_another_group_stays_where_it_is(sea: Listener) -> None:
    assert sea.names("the crab leopathies glabberima") == [
        ("crab", "Brachyura"),
        ("leopathies glabberima", "Leiopathes glaberrima"),
    ]
    assert sea.names("the crab, hexactinelid") == [("crab", "Brachyura"), ("hexactinelid", "Hexactinellida")]


def test_a_name_as_the_list_has_it_is_never_made_less_of(sea: Listener) -> None:
    for text in ("chaceon affinis", "munida sarsi here", "a glass sponge", "Lophelia pertusa"):
        assert sea.one(text).best.how == "exact"


def test_no_name_reaches_over_the_end_of_a_sentence(sea: Listener) -> None:
    for text in ("Look at moonida. Sarsey is over there.", "That is leopathies. Glabberima he said."):
        doc = sea.doc(text)
        ends = [sentence.end for sentence in doc.sents]
        assert len(ends) == 2
        for mention in find_mentions(doc, sea.index):
            assert not any(mention.start < end < mention.end for end in ends)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("dead coral", []),
        ("dead coral lofelia pertoosa", ["lofelia pertoosa"]),
        ("leiopathes glabberima on dead coral", ["leiopathes glabberima"]),
    ],
)
def test_barred_phrases_are_in_no_name(sea: Listener, text: str, found: list[str]) -> None:
    assert [mention.text for mention in sea.hear(text)] == found


def test_a_barred_word_keeps_a_genus_from_growing(sea: Listener) -> None:
    words = spoken_words(sea.doc("a munida sarsie here"))
    genus = Found(1, 2, HeardNames(sea.index).candidates(offer(sea, [("Munida", 0.9)])))
    grown = HeardNames(sea.index).find(words, [genus])
    assert [(span.first, span.last) for span in grown] == [(1, 3)]
    barred = Found(2, 3, ())
    assert HeardNames(sea.index).find(words, [genus, barred]) == [genus, barred]


def test_offers_that_overlap_are_settled_for_the_likeliest(sea: Listener) -> None:
    words = spoken_words(
        sea.doc("so the hexactinelid and then chasey on a finneys by the wall, leopathies glabberima too")
    )
    found = sorted(HeardNames(sea.index).find(words, []), key=lambda span: span.first)
    names = [sea.name(span.candidates[0]) for span in found]
    assert names == ["Hexactinellida", "Chaceon affinis", "Leiopathes glaberrima"]
    assert all(one.last <= other.first for one, other in pairwise(found))


def offer(sea: Listener, shares: Sequence[tuple[str, float]], log_odds: float = 1.0) -> Offer:
    """An offer of names of the list with these shares."""
    entries = {entry.text: number for number, entry in reversed(list(enumerate(sea.index.entries)))}
    names = [
        HeardName(sea.index.checklist.accepted(sea.index.entry(entries[name]).row), entries[name], 0.0, share, blank)
        for (name, share), blank in zip(shares, np.zeros((len(shares), len(FEATURES))), strict=True)
    ]
    return Offer((0, 2), np.zeros(len(LOOK)), np.zeros(len(RIVALS)), names, log_odds)


def test_species_that_cannot_be_told_apart_give_their_genus_once(sea: Listener) -> None:
    heard = HeardNames(sea.index)
    candidates = heard.candidates(offer(sea, [("Munida sarsi", 0.45), ("Munida rugosa", 0.44), ("Munida", 0.02)]))
    assert [(sea.name(c), c.how) for c in candidates] == [
        ("Munida", "group"),
        ("Munida sarsi", "similar"),
        ("Munida rugosa", "similar"),
    ]
    assert candidates[0].score >= candidates[1].score


@pytest.mark.parametrize(
    "shares",
    [
        [("Munida sarsi", 0.9), ("Munida rugosa", 0.05)],
        [("Munida sarsi", 0.45), ("Munidopsis serricornis", 0.44)],
        [("Munida sarsi", 0.45), ("Munida", 0.44)],
        [("Munida sarsi", 0.45)],
    ],
)
def test_no_genus_where_it_would_say_nothing_of_both(sea: Listener, shares: list[tuple[str, float]]) -> None:
    candidates = HeardNames(sea.index).candidates(offer(sea, shares))
    assert [sea.name(c) for c in candidates] == [name for name, _ in shares]
    assert {c.how for c in candidates} == {"similar"}


@pytest.mark.parametrize("log_odds", [-1e9, -30.0, -0.5, 0.0, 2.0, 30.0, 1e9])
def test_scores_lie_between_0_and_1_whatever_the_odds(sea: Listener, log_odds: float) -> None:
    one = offer(sea, [("Munida sarsi", 0.5), ("Munida rugosa", 0.3)], log_odds)
    assert 0 <= one.score <= 1
    assert one.score == pytest.approx(1 / (1 + np.exp(-np.clip(log_odds, -30, 30))))
    for candidate in HeardNames(sea.index).candidates(one):
        assert 0 <= candidate.score <= exact_score("exact")
    assert replace(one, log_odds=log_odds + 1).score >= one.score


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
It is about eighty centimetres across.
Depth one three nine zero metres, heading zero four five.
Depth 1390 metres, heading 270, altitude 2.5 metres.
That is 48.2113 north and 127.0457 west at 15:42:07.
"""


@pytest.mark.parametrize("sentence", ENGLISH.strip().split("\n"))
def test_ordinary_english_and_numbers_name_nothing(sea: Listener, sentence: str) -> None:
    assert sea.hear(sentence) == ()
    assert sea.hear(sentence.lower().translate(str.maketrans("", "", ".,?'"))) == ()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "ß … — ?!",
        "a" * 10_000,
        f"there is {'munida' * 2_000} here",
        "海 海星 です 深海",
        "морская звезда мунида сарси",
        "\u0645\u0648\u0646\u064a\u062f\u0627",
        "🦀 🦑",
        "munida\u0301\u0301 \u200b",
    ],
)
def test_text_without_any_name_of_ours_is_no_failure(sea: Listener, text: str) -> None:
    doc = sea.doc(text)
    assert all(mention.best.how == "exact" for mention in find_mentions(doc, sea.index))


def test_a_bent_name_beside_a_token_of_10000_letters_is_found(sea: Listener) -> None:
    assert ("leopathies glabberima", "Leiopathes glaberrima") in sea.names(f"{'x' * 10_000}. A leopathies glabberima.")


@settings(max_examples=80)
@given(st.text(max_size=120))
def test_any_text_gives_ordered_mentions_with_scores(sea: Listener, text: str) -> None:
    doc = sea.doc(text)
    end = 0
    for mention in find_mentions(doc, sea.index):
        assert end <= mention.start < mention.end <= len(doc)
        end = mention.end
        assert all(0 <= candidate.score <= 1 for candidate in mention.candidates)


def checklist_of(folder: Path, *names: str) -> Listener:
    """A listener over a checklist of a few species."""
    path = folder / "few.csv"
    rows = "".join(f"{number},{name},species\n" for number, name in enumerate(names))
    path.write_text(f"taxonID,scientificName,taxonRank\n{rows}", encoding="utf-8")
    return listen(path)


def test_a_checklist_of_one_name(tmp_path: Path) -> None:
    one = checklist_of(tmp_path, "Munida sarsi")
    mention = one.one("that is moonida sarsey here")
    assert [one.name(c) for c in mention.candidates] == ["Munida sarsi"]
    assert one.hear("the manipulator is stowed and the sample drawer is closed") == ()


def test_a_checklist_whose_names_cannot_be_said_in_latin_letters(tmp_path: Path) -> None:
    none = checklist_of(tmp_path, "海星")
    assert len(none.index.entries) == 0
    assert none.hear("that is moonida sarsey on a finneys here") == ()


class CountingEar(NameEar):
    """Counts the keys it is asked for."""

    looked_up = heard = 0

    def nearest(self, keys: Sequence[str], near: int) -> Any:
        self.looked_up += len(keys)
        return super().nearest(keys, near)

    def hear(self, keys: Sequence[str], *limits: int) -> Any:
        self.heard += len(keys)
        return super().hear(keys, *limits)


def test_work_grows_with_the_words_and_no_faster(sea: Listener) -> None:
    """Counted, not timed: every further copy of a talk asks for as many windows as the first."""
    talk = "Over there a chaceon afinis, and some ofiuroids. We see chasey on a finneys walking on the basalt. "
    counts = []
    for copies in (1, 2, 8):
        ear = CountingEar(sea.index)
        words = spoken_words(sea.doc(talk * copies))
        found = HeardNames(sea.index, ear=ear).find(words, [])
        assert len(found) == 3 * copies
        counts.append((ear.looked_up / copies, ear.heard / copies))
    assert counts[0][0] > counts[0][1] > 0
    assert len(set(counts)) == 1
