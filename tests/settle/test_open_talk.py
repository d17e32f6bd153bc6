"""Invented talk: what answers an open question, what is pointed at besides, and how many are counted aloud."""

from __future__ import annotations

import pytest

from earwitness.pipeline.settle.pointing import points_elsewhere
from earwitness.pipeline.settle.roles import FUNCTION_ROLES, words_for
from earwitness.pipeline.words import word_rows
from tests.judge.talk import Listener
from tests.settle.test_dialogues import Left, left, said


@pytest.mark.parametrize(
    ("talk", "sightings"),
    [
        # A name behind a mere question answers it, however unlike.
        ("Is that a snail? | B: Tail's curled under. A squat lobster.", [("Munididae", "1")]),
        ("A sponge? | B: Anemone, with its arms drawn in.", [("Actiniaria", "1")]),
        # Not if it is shown, counted or placed by itself, or added.
        ("A sponge? | B: There is an anemone.", [("Porifera", "1"), ("Actiniaria", "1")]),
        ("A sponge? | B: Two anemones.", [("Porifera", "1"), ("Actiniaria", "2")]),
        ("A sponge? | B: And an anemone.", [("Porifera", "1"), ("Actiniaria", "1")]),
        ("A sponge? | B: Anemone on the ledge.", [("Porifera", "1"), ("Actiniaria", "1")]),
        ("A sponge. | B: Anemone.", [("Porifera", "1"), ("Actiniaria", "1")]),
        # Talk that points at the next thing.
        ("A fish. | B: Further on there is a grey one. | A: Rattail.", [("Actinopterygii", "1"), ("Macrouridae", "1")]),
        ("A sea star. | B: It has a lot of arms. | A: Brisingid.", [("Brisingidae", "1")]),
        ("A sea star. | B: There is a furrow on it. | A: Brisingid.", [("Brisingidae", "1")]),
        # Carried, not named.
        ("A crab. | B: It's carrying a sponge.", [("Brachyura", "1"), ("Porifera", "1")]),
        # Empty ones are others than those that were stated to be there.
        ("Urchins all over the rock. | B: Dead urchins further down.", [("Echinoidea", "many abundance")]),
        # One animal refused by somebody else.
        ("An urchin. | B: No urchin, that. A sea star.", [("Asteroidea", "1")]),
        # What is known is not seen again by what is done to it.
        ("A crab on the mud. | B: Nothing else for a while.@60 | A: An octopus. It's after the crab.@60",
         [("Brachyura", "1"), ("Octopoda", "1")]),
        # Fewer under a finer name are a part of them.
        ("Three sea stars. One brisingid.", [("Asteroidea", "3"), ("Brisingidae", "1")]),
    ],
)  # fmt: skip
def test_what_is_one_animal_and_what_another(hear: Listener, talk: str, sightings: Left) -> None:
    assert left(hear(*said(talk))) == sightings


@pytest.mark.parametrize(
    ("talk", "sightings"),
    [
        ("Anemones. | B: Four? | A: Five of the beauties.", [("Actiniaria", "5")]),
        ("Anemones. | B: How many? | A: Nine on this slope.", [("Actiniaria", "9")]),
        ("Anemones. | A: Three, and the last one is huge.", [("Actiniaria", "3")]),
        ("Anemones. | A: Six, seven, no, eight in frame.", [("Actiniaria", "8")]),
        ("An isopod. | B: Seven? | A: Seven pairs of legs.", [("Isopoda", "1")]),
        ("munida one", [("Munida", "1")]),
        ("Sample number? | B: Three, and hurry.", []),
    ],
)
def test_how_many_the_talk_left(hear: Listener, talk: str, sightings: Left) -> None:
    assert left(hear(*said(talk))) == sightings


@pytest.mark.parametrize(
    ("talk", "name"),
    [
        # A gloss takes nothing back; what follows from an open offer does.
        ("Munida sarsi. | B: Munida, then.", "Munida sarsi"),
        ("Munida sarsi? | B: Squat lobster in the log.", "Munididae"),
        # What was a name of its own is not the group of two offers.
        ("Munida, perhaps sarsi. | B: A shrimp? | A: Not a shrimp.", "Munida"),
        # An offer that was asked and then stated is as sure as the statement.
        ("An urchin. | B: Or Cidaris cidaris? | A: It is Cidaris cidaris.", "Cidaris cidaris"),
    ],
)
def test_the_name_the_talk_left(hear: Listener, talk: str, name: str) -> None:
    assert [row for row, _ in left(hear(*said(talk)))] == [name]


@pytest.mark.parametrize(
    ("words", "elsewhere"),
    [
        ("and the red one", True),
        ("what is that", True),
        ("what is that thing behind it", True),
        ("under the ledge a pale thing", True),
        ("there is something on it", True),
        ("there is a shine on it", False),
        ("it has something next to it", False),
        ("on a long stalk", False),
        ("so there is a seep", False),
        ("and the species", False),
        ("", False),
    ],
)
def test_pointing(words: str, elsewhere: bool) -> None:
    assert points_elsewhere(words.split()) is elsewhere


def test_small_words_have_a_known_role_and_a_source() -> None:
    for row in word_rows("function_words"):
        assert row["source"]
        assert row.some_of("roles", FUNCTION_ROLES)
    assert all(words_for(role) for role in FUNCTION_ROLES)


def test_every_pointer_has_a_source_and_stands_once() -> None:
    rows = word_rows("pointing")
    assert all(row["source"] for row in rows)
    assert len({row["phrase"] for row in rows}) == len(rows)
