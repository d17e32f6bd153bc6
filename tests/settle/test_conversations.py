"""Invented conversations: what belongs to one animal and what to another, and how many the talk left."""

from __future__ import annotations

import pytest

from earwitness.pipeline.describe import describe
from earwitness.pipeline.table import RecordingTalk, event_rows
from tests.judge.talk import Listener
from tests.settle.test_dialogues import Left, left, said


@pytest.mark.parametrize(
    ("talk", "sightings"),
    [
        # A group word and a finer name in one breath are one animal.
        ("A sea star. A brisingid.", [("Brisingidae", "1")]),
        ("Urchin on the sand, purple spines. Cidaris cidaris.", [("Cidaris cidaris", "1")]),
        ("sea cucumber over there enypniastes eximia", [("Enypniastes eximia", "1")]),
        ("A fish, long tail. Rattail. | B: Coryphaenoides rupestris.", [("Coryphaenoides rupestris", "1")]),
        # One of another name beside many is an animal of its own, unless it says what they are.
        (
            "Brittle stars all over the wall. | B: And on the ledge, a basket star.",
            [("Ophiuroidea", "many abundance"), ("Gorgonocephalidae", "1")],
        ),
        (
            "About thirty fish. | B: Behind them, a coffinfish.",
            [("Actinopterygii", "30 about"), ("Chaunacidae", "1")],
        ),
        ("Lots of urchins. | B: Cidaris cidaris.", [("Cidaris cidaris", "many abundance")]),
        ("Lots of urchins. | B: They are Cidaris cidaris.", [("Cidaris cidaris", "many abundance")]),
        # An animal on another: each keeps what is said of it.
        (
            "A basket star on a black coral. | B: Gorgonocephalus?",
            [("Gorgonocephalidae", "1"), ("Antipatharia", "1")],
        ),
        (
            "A basket star on a black coral. | B: It's Gorgonocephalus.",
            [("Gorgonocephalus", "1"), ("Antipatharia", "1")],
        ),
        (
            "A squat lobster on a glass sponge. | B: Not Munida, I take it? | A: No. | B: And the sponge is Walteria.",
            [("Munididae", "1"), ("Walteria", "1")],
        ),
        # Two opinions right behind each other are of one animal; with no group for both the last is kept as possible.
        ("Probably a sponge. | B: Probably a sea cucumber.", [("Holothuroidea", "1")]),
        ("Anemones, I'd say, six of them. | B: Cup corals, I'd say.", [("Caryophylliidae", "6")]),
        ("Probably a sponge. | A: Probably a sea cucumber.", [("Porifera", "1"), ("Holothuroidea", "1")]),
        ("Probably a sponge. | B: There is probably a sea cucumber, too.", [("Porifera", "1"), ("Holothuroidea", "1")]),
        ("Probably a sponge and maybe a crab.", [("Porifera", "1"), ("Brachyura", "1")]),
        # Talk about the kind, or about "it", is no other animal, and keeps this one spoken of.
        (
            "A shrimp on the wall. | B: It hangs there like a lamp, look at it.@7 | A: It's turning its head now.@5 |"
            " B: It is a squat lobster.@5",
            [("Munididae", "1")],
        ),
        (
            "A rattail. | B: Rattails usually hang head down.@9 | A: Coryphaenoides rupestris.@9",
            [("Coryphaenoides rupestris", "1")],
        ),
        ("A rattail. | B: We change the tape now.@20 | A: Rattail.@20", [("Macrouridae", "1"), ("Macrouridae", "1")]),
        # A question offers something beside the name, and the answer takes that.
        ("Is that a live snail, or a pebble? | B: A pebble.", []),
        ("Is that an anemone or a glove? | B: A glove.", []),
        ("Is that a live snail, or a pebble? | B: A snail.", [("Gastropoda", "1")]),
        ("Is that a squid, or an octopus? | B: An octopus.", [("Octopoda", "1")]),
        # A question about several is not about the one just named.
        (
            "A crinoid. | B: And those lumps up there, are they anemones? | A: Yes.",
            [("Crinoidea", "1"), ("Actiniaria", "many abundance")],
        ),
        ("A crinoid. | B: Are you sure it's a crinoid? | A: Yes.", [("Crinoidea", "1")]),
    ],
)  # fmt: skip
def test_what_is_one_animal_and_what_another(hear: Listener, talk: str, sightings: Left) -> None:
    assert left(hear(*said(talk))) == sightings


@pytest.mark.parametrize(
    ("talk", "sightings"),
    [
        # "Second one" tells how many that makes; "the second one" is one that is known.
        ("An isopod. | B: Second one to port.", [("Isopoda", "2")]),
        ("An isopod. | B: Second one, same as before. | A: A third one behind the rock.", [("Isopoda", "3")]),
        ("An isopod. | B: And another one digging at the back, so that makes two.", [("Isopoda", "2")]),
        ("An isopod. | B: The second one was better.", [("Isopoda", "1")]),
        ("a chimaera | second one over by the wall", [("Chimaeriformes", "2")]),
        ("Holothurian, Enypniastes eximia, one. | B: Second Enypniastes.", [("Enypniastes eximia", "2")]),
        ("A shrimp. | B: A second shrimp beside it.", [("Caridea", "2")]),
        ("Two snails. | B: Three more snails below.", [("Gastropoda", "5")]),
        ("a shrimp on the rock | two more shrimp above it", [("Caridea", "3")]),
        ("A shrimp. | B: A second snail.", [("Caridea", "1"), ("Gastropoda", "1")]),
        # So many, where they are.
        ("Sea stars! | B: There must be fifty on that slab.", [("Asteroidea", "50 about")]),
        ("Sea stars! | B: There are seven on that slab.", [("Asteroidea", "7")]),
        ("Sea stars! | B: I count eleven.", [("Asteroidea", "11")]),
        ("sea stars | there must be thirty on that boulder", [("Asteroidea", "30 about")]),
        ("Squid ahead. | B: And there they are, hundreds of them.", [("Oegopsida", "hundreds abundance")]),
        ("Sea stars! | B: There are three lights on.", [("Asteroidea", "many abundance")]),
        ("Sea stars! | B: Nobody can tell, there are like six in the book.", [("Asteroidea", "many abundance")]),
        # The last number counts, and why.
        ("Two snails. | B: Three, there's one under the shell.", [("Gastropoda", "3")]),
        ("Two snails. Four, there is another pair behind.", [("Gastropoda", "4")]),
        ("Crinoids all over the wall, about a hundred.", [("Crinoidea", "100 about")]),
        # "Fish" alone says neither one nor many.
        ("Fish.", [("Actinopterygii", None)]),
        ("Fish ahead, silvery.", [("Actinopterygii", None)]),
        ("A fish.", [("Actinopterygii", "1")]),
        ("Fish, twelve of them.", [("Actinopterygii", "12")]),
        # Parts of a body, pictures and names on offer are no animals.
        ("A squid. It has eight arms. | B: Nine.", [("Oegopsida", "1")]),
        ("A squid. | B: Both on tape.", [("Oegopsida", "1")]),
        ("Maybe Walteria. Maybe Euplectella is another.", [("Euplectellidae", None)]),
    ],
)
def test_how_many_the_talk_left(hear: Listener, talk: str, sightings: Left) -> None:
    assert left(hear(*said(talk))) == sightings


@pytest.mark.parametrize(
    ("talk", "name"),
    [
        # Gone back from, by whoever named it.
        ("Munida sarsi. | B: Really? | A: Then Munida.", "Munida"),
        ("A squat lobster. Munida sarsi. | B: Possibly Munida.", "Munida"),
        ("Walteria leuckarti. | A: Maybe Walteria.", "Walteria"),
        # A name that was only asked gives way to what the answer says, but not to a yes.
        ("Is that Munida sarsi? | B: A squat lobster.", "Munididae"),
        ("Is it Enypniastes eximia? | B: Sea cucumber, too far to say.", "Holothuroidea"),
        ("Is that Munida sarsi? | B: Yes, that squat lobster again.", "Munida sarsi"),
        # In passing, or as what it is called for short: no retreat.
        ("Munida sarsi. | B: The Munida is waving at us.", "Munida sarsi"),
        ("Munida sarsi. | B: Nice squat lobster.", "Munida sarsi"),
        # An adverb changes nothing.
        ("A sponge, maybe. | B: It may equally be an anemone.", "Actiniaria"),
        ("A sponge, maybe. | B: It is clearly a sea cucumber.", "Holothuroidea"),
        # Two guesses in one breath.
        ("It could be Bathypathes, it could be Parantipathes.", "Schizopathidae"),
    ],
)
def test_the_name_the_conversation_left(hear: Listener, talk: str, name: str) -> None:
    assert hear(*said(talk)).names == [name]


def test_sentences_without_a_name_that_changed_a_sighting_are_known(hear: Listener) -> None:
    heard = hear(*said("A snail. | B: Lovely light today. | B: And another one. | A: We are moving on."))
    (sighting,) = heard.sightings
    assert [heard.doc[token].sent.text for token in sighting.answers] == ["And another one."]


def test_the_name_left_between_two_opinions_is_no_more_than_possible(hear: Listener) -> None:
    (sighting,) = hear(*said("Probably a sponge. | B: Probably a sea cucumber.")).sightings
    assert sighting.certainty < 0.5


def test_a_row_holds_the_words_that_answered_and_counted(hear: Listener) -> None:
    heard = hear(*said("A snail. | B: Lovely light today. | B: And another one. | A: We are moving on."))
    parts = heard.doc, heard.mentions, heard.judgements, heard.sightings
    described = describe(*parts, heard.checklist)
    (row,) = event_rows(RecordingTalk("r", *parts, (), heard.checklist, "0", described))
    assert row["transcriptText"] == "A snail. | And another one."
