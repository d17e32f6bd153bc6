"""Dialogues in which a question about kinds leads away from the picture, and what leads back to it."""

from __future__ import annotations

import pytest

from .talk import Listener, raw, statuses

DIALOGUES = [
    # A question that names no kind asks for kinds: names alone answer it.
    ("general general", ["What lives in mud like that?", "Brittle stars, urchins, mostly what you can't see."]),
    ("general general general", ["Who eats a leftover whale?", "Isopods, rattails, and squat lobsters in the end."]),
    ("general", ["Which animals glow?", "A siphonophore does."]),
    ("general", ["What feeds on falling crumbs?", "Sea cucumbers."]),
    ("general", ["So if you were a creature of the deep?", "A dumbo octopus. No meetings."]),
    ("general", ["What is your favourite?", "A basket star, every time."]),
    ("general general", ["Would anybody eat those eggs?", "A snail would, a sea star would."]),
    ("general", ["What hunts down here?", "Well, an anglerfish, if it is patient."]),
    ("general general", ["Class Four asks what lives under the ice.", "Anemones, sponges."]),
    ("general", ["What lives here?", "Much less than up top.", "Crinoids, if the current is good."]),
    # A question about a kind: the same kind in the answer, until somebody is back at the picture.
    ("general general", ["Can octopuses hear?", "Not as you do. The octopus feels it."]),
    ("general general", ["A viewer asks if sponges sleep.", "Nobody knows. The sponge keeps pumping."]),
    ("general general", ["Do squid get lonely?", "The squid are all fine, I am told."]),
    ("general elsewhere", ["Will we see a chimaera?", "The chimaeras are all upstairs."]),
    ("elsewhere", ["The dumbo octopus? That one lives in the Southern Ocean."]),
    ("elsewhere", ["The anglerfish? It is only found off Japan."]),
]

BACK_AT_THE_PICTURE = [
    ("observed", ["What lives in mud like that?", "Look, a brittle star."]),
    ("observed", ["What lives in mud like that?", "Brittle stars!"]),
    ("observed", ["Who eats a leftover whale?", "That is an isopod."]),
    ("observed", ["What feeds on falling crumbs?", "There is a sea cucumber on the left."]),
    ("observed", ["What is your favourite?", "Here comes a basket star."]),
    ("observed", ["What is your favourite?", "Three rattails."]),
    ("observed observed", ["Which animals glow?", "Wait. Two squid.", "And a siphonophore."]),
    ("observed", ["What lives on that?", "A shrimp."]),
    ("observed", ["What eats at it, in that hole?", "A crab."]),
    ("general observed", ["Can octopuses hear?", "Octopus."]),
    ("general observed", ["Can octopuses hear?", "Look at that octopus."]),
    ("general observed", ["Do squid sleep?", "That squid is awake."]),
    ("general observed", ["Do crinoids swim?", "Rattail, one, left of frame."]),
    ("general observed observed", ["Do crinoids swim?", "There is a crinoid.", "And the crinoid is yellow."]),
    ("observed observed", ["What is that, then?", "Sea urchins, by the dozen.", "And a snail."]),
    ("observed", ["How deep are we?", "A glass sponge."]),
    ("observed", ["Where are the lasers?", "Crinoids."]),
    ("observed", ["The isopod? It is still moving."]),
    ("general observed", ["What feeds on falling crumbs?", "Sea cucumbers.", "A squat lobster."]),
    ("observed", ["What lives in mud like that?", "Hard to say.", "We keep going.", "A squat lobster."]),
]
"""With a picture to point at, a terse log or another question, an animal is a sighting."""

SENTENCES = [
    ("general", "A coffinfish would."),
    ("general", "A sea urchin could never climb without tube feet."),
    ("general", "To a hunter, a red shrimp simply isn't there."),
    ("general", "An isopod is a cousin of the woodlouse."),
    ("general", "And an isopod is what, exactly?"),
    ("general", "A sponge like that is older than this ship."),
    ("general", "An octopus like this needs a den."),
    ("general", "A crinoid does not run."),
    ("general general", "Crinoids are a sort of sea star, some people believe."),
    ("general", "He has heard that those squat lobsters fight."),
    ("general general", "She read that those sponges shelter isopods."),
    ("general", "It sits there, waiting for a rattail to drop by."),
    ("general", "Your old Gorgonocephalus is in the books under that."),
    ("general", "Munida rugosa, it was, when I started."),
    ("general", "Will we see an octopus?"),
    ("general", "Are we likely to meet a squid?"),
    ("compared", "It folds as if an octopus had shut an umbrella."),
    ("elsewhere", "The sea pens aside, the black corals are on the next knoll along."),
    ("elsewhere", "The coffinfish, but that lives far deeper than this."),
    ("elsewhere", "The lobsters are all ashore."),
    ("general", "Cidaris is a bluer red than its cousin."),
    ("general", "The parents want to know if lobsters scream."),
    ("elsewhere", "The museum has a lobster from the eighteen nineties."),
    ("elsewhere", "In the collection, labelled in ink, is a crinoid."),
    ("general", "My student is sequencing squat lobsters at the moment."),
    ("elsewhere", "Our main goal is a glass sponge."),
    ("elsewhere", "Our target today is black corals."),
    ("general", "The word lobster is much older."),
    ("compared", "It has the colour of a boiled lobster."),
    ("general", "Most leftovers end up inside octopuses."),
    ("general general", "The difference between a crab and a squat lobster is in the legs."),
    ("general", "There are more species of sea cucumber than you think."),
    ("general", "Imagine being a shrimp down there."),
    ("general", "You would need a squid to fight that."),
    ("general", "Its stomach was full of brittle stars."),
    ("general", "Larvae settle on sponges."),
    ("general", "The parents of a squid never meet it."),
    ("general", "Think of a squid with a balloon."),
    ("general", "Its relatives are the sea cucumbers."),
    ("general", "Good ground for sea cucumbers."),
    ("general", "That is how a squid hides."),
    ("general", "I wrote a song about an octopus."),
    ("figure", "The cook promised squid on Friday night."),
    ("figure", "Supper is octopus again."),
    ("figure", "I am practically a squid by now."),
    ("figure", "Squid in white sauce, then."),
]

STILL_SEEN = [
    "A crab is moving along the ledge.",
    "A sponge is a bit further up.",
    "A snail is not far from it.",
    "A shrimp can just be made out.",
    "An urchin is half buried.",
    "A rattail is really digging.",
    "A squat lobster like that one, two claws up.",
    "Our old friend the anglerfish.",
    "Those sponges are full of brittle stars.",
    "We are on the next ledge up, with a crinoid.",
    "A basket star, but it is far off.",
    "That is why the crab moved.",
    "In the sediment a sea cucumber.",
    "All along the wall, two species of sponge.",
]


def of_two(talk: list[str]) -> list[tuple[str, str]]:
    """Captions of two people in turn."""
    return [("AB"[n % 2], text) for n, text in enumerate(talk)]


@pytest.mark.parametrize(("said", "talk"), DIALOGUES)
def test_answers_about_kinds(hear: Listener, said: str, talk: list[str]) -> None:
    assert statuses(hear, *of_two(talk)) == said


@pytest.mark.parametrize(("said", "talk"), BACK_AT_THE_PICTURE)
def test_back_at_the_picture(hear: Listener, said: str, talk: list[str]) -> None:
    assert statuses(hear, *of_two(talk)) == said


@pytest.mark.parametrize(("said", "text"), SENTENCES)
def test_clauses_about_kinds(hear: Listener, said: str, text: str) -> None:
    assert statuses(hear, text) == said


@pytest.mark.parametrize("text", STILL_SEEN)
def test_sightings_of_like_build(hear: Listener, text: str) -> None:
    assert set(statuses(hear, text).split()) == {"observed"}


@pytest.mark.parametrize("text", STILL_SEEN)
def test_sightings_without_punctuation(hear: Listener, text: str) -> None:
    assert set(statuses(hear, raw(text)).split()) == {"observed"}
