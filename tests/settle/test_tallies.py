"""Invented talk: how many, as it is built up over turns; what is one more, and what is another animal."""

from __future__ import annotations

import pytest

from earwitness.pipeline.settle.pointing import asks_what, points_elsewhere, shows_others
from tests.judge.talk import Listener
from tests.settle.test_dialogues import Left, left, said


@pytest.mark.parametrize(
    ("talk", "sightings"),
    [
        # One more at every naming, in one breath.
        ("On the pipe an isopod, an isopod, an isopod.", [("Isopoda", "3")]),
        ("Urchin, urchin, both with hats on.", [("Echinoidea", "2")]),
        ("snail and a snail and a crab", [("Gastropoda", "2"), ("Brachyura", "1")]),
        ("It's a crab, a crab, I tell you.", [("Brachyura", "1")]),
        ("An octopus! An octopus!", [("Octopoda", "1")]),
        # So many more, with the name or where they are.
        ("A crinoid, and two metres on another crinoid.", [("Crinoidea", "2")]),
        ("A crab. | B: Another two crabs.", [("Brachyura", "3")]),
        ("A crab. | B: A second big crab.", [("Brachyura", "2")]),
        ("A shrimp, with another clinging to it.", [("Caridea", "2")]),
        ("A sponge. | And three more in the crack above!", [("Porifera", "4")]),
        ("Four crabs. | B: In the far corner there's a fifth.", [("Brachyura", "5")]),
        ("A snail. There's a second, there's a third.", [("Gastropoda", "3")]),
        # What is no count of them.
        ("An isopod. | B: Bottom's another five hundred.", [("Isopoda", "1")]),
        ("The first colony is a sponge. Second colony, a branched sponge.", [("Porifera", "1"), ("Porifera", "1")]),
    ],
)
def test_one_more(hear: Listener, talk: str, sightings: Left) -> None:
    assert left(hear(*said(talk))) == sightings


@pytest.mark.parametrize(
    ("talk", "count"),
    [
        # Told by whoever counts or writes.
        ("Crabs. | B: I get eleven of them.", "11"),
        ("Crabs. | B: How many? | A: Make it six.", "6"),
        ("A snail. | B: Only the one? | A: Put two.", "2"),
        ("Two crabs. | B: I write three crabs.", "3"),
        ("A crab. | B: Yeah, alright, two.", "2"),
        # Counted aloud, and one that was hidden.
        ("Urchins. One, two, three, with the one that's upside down.", "3"),
        ("Crinoids. Four. | B: Five, one's behind the ledge.", "5"),
        ("An urchin. | B: White ones, plural, there's four stacked up.", "4"),
        ("Rattails. Two pairs of eyes, so two of them.", "2"),
        # Nouns of many with a number, ranges, and rough numbers.
        ("Crabs, a row of eleven.", "11"),
        ("A string of six crabs.", "6"),
        ("Isopods. Chain of seven.", "7"),
        ("Crinoids, ten or a dozen.", "11 about"),
        ("Forty-odd urchins.", "40 about"),
        ("A shrimp. | B: There's a whole cloud of them.", "many abundance"),
        ("walteria oh yes dozens of them", "dozens abundance"),
        # Said before the name.
        ("Three stout bodies under the frame, grey. Rattails.", "3"),
        ("Those whelks on the rim, four, are Munida.", "4"),
        # Arms are no animals, tall is no question, and a colour no participle.
        ("A crinoid, five arms, well, six.", "1"),
        ("The tall ones are sponges. Three.", "3"),
        ("A shrimp. | B: They're both red, that's the trouble.", "1"),
        # A Latin name has no number; the pronoun has.
        ("Walteria. | B: It has a bent stalk.", "1"),
        ("Walteria. | B: Their stalks are bent.", "many abundance"),
        ("Walteria. | B: Lovely light today.", None),
    ],
)
def test_how_many_the_talk_left(hear: Listener, talk: str, count: str | None) -> None:
    assert left(hear(*said(talk)))[-1][1] == count


@pytest.mark.parametrize(
    ("talk", "sightings"),
    [
        # What is next to it, and asked for.
        ("A sea star. | What's that beside it? | B: Brisingid.", [("Asteroidea", "1"), ("Brisingidae", "1")]),
        ("A sea star. | What's that beside it? | B: It's a brisingid.", [("Asteroidea", "1"), ("Brisingidae", "1")]),
        ("A sea star. | And what's beside it? | B: A brisingid.", [("Asteroidea", "1"), ("Brisingidae", "1")]),
        ("a sea star | and whats next to it | its a brisingid", [("Asteroidea", "1"), ("Brisingidae", "1")]),
        ("A sea star. What's it doing? | B: It's a brisingid, feeding.", [("Brisingidae", "1")]),
        # It has one: on it, and not its name.
        ("A crab. | B: It's got a sponge on its back.", [("Brachyura", "1"), ("Porifera", "1")]),
        ("It's a crab.", [("Brachyura", "1")]),
        # Others, told by their looks.
        ("Walteria. | B: Are the black ones further down Euplectella?", [("Walteria", None), ("Euplectella", None)]),
        ("Walteria. | B: Are you sure? Euplectella?", [("Walteria", None)]),
        # One of each.
        ("One Munida, one squat lobster.", [("Munida", "1"), ("Munididae", "1")]),
    ],
)
def test_the_same_or_another(hear: Listener, talk: str, sightings: Left) -> None:
    assert left(hear(*said(talk))) == sightings


@pytest.mark.parametrize(
    ("talk", "name"),
    [
        # Over a guess the group stands that somebody states.
        ("Munida, maybe. | B: A squat lobster, anyhow.", "Munididae"),
        ("Munida. | B: A squat lobster, anyhow.", "Munida"),
        ("Munida, maybe. | B: A squat lobster, maybe.", "Munida"),
    ],
)
def test_the_name_over_a_guess(hear: Listener, talk: str, name: str) -> None:
    assert [row for row, _ in left(hear(*said(talk)))] == [name]


@pytest.mark.parametrize(
    ("words", "others"),
    [
        ("are the black ones lower down", True),
        ("and the small white one is", True),
        ("this one is", False),
        ("the one on the left is", False),
        ("one of", False),
    ],
)
def test_others_told_by_their_looks(words: str, others: bool) -> None:
    assert shows_others(words.split()) is others


@pytest.mark.parametrize(
    ("words", "asks"), [("what is that beside it", True), ("and what is next to it", True), ("there is a crab", False)]
)
def test_what_is_asked_for(words: str, asks: bool) -> None:
    assert asks_what(words.split()) is asks
    assert points_elsewhere(words.split())
