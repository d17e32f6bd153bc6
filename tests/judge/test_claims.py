"""What is claimed of an animal on the screen: observed, hedged, asked; each sentence also as raw captions have it."""

from __future__ import annotations

import re

import pytest

from .talk import Listener

SAID = [
    ("observed", "We have a glass sponge at the top of the frame."),
    ("observed", "This one has to be looked at twice, a chimaera."),
    ("observed", "I can see a sea cucumber beside the laser dots."),
    ("observed", "And there goes the rattail."),
    ("observed", "No wonder it hides, that is an octopus."),
    ("observed", "Zoom in on the anemone, please."),
    ("observed", "Nothing but brittle stars for a whole minute."),
    ("observed", "Not a bad day, three squid."),
    ("observed", "We will not collect that crinoid."),
    ("observed", "Do not touch the black coral with the arm."),
    ("observed", "I did not get the lobster in focus."),
    ("observed", "That is a sea urchin, they often hide by day."),
    ("observed", "This is the same anemone we saw yesterday."),
    ("observed", "That crab eats whatever drifts past."),
    ("observed", "Other than the isopod it is quiet down here."),
    ("observed", "A squat lobster to your right."),
    ("observed", "It is a sponge, or at least we log it so."),
    ("observed", "Here comes another rattail."),
    ("observed", "Turn right at the cup coral."),
    ("observed", "The fish is not moving."),
    ("observed", "Those shrimp are not alone."),
    ("observed", "A crab appears from under the ledge."),
    ("observed", "Without question a chimaera."),
    ("observed", "That is positively an anglerfish."),
    ("observed", "I am dead certain it is a coffinfish."),
    ("observed", "A textbook basket star."),
    ("hedged", "Pretty sure it might be a brisingid."),
    ("hedged", "I think it's probably a cup coral."),
    ("hedged", "I want to say Enypniastes."),
    ("hedged", "We've been calling these Parantipathes."),
    ("hedged", "It has to be a coffinfish."),
    ("hedged", "I'd go with Bathypathes."),
    ("hedged", "Whatever the expert says, a demosponge for me."),
    ("hedged", "Munida, with a question mark."),
    ("hedged", "Provisional name, Walteria."),
    ("hedged", "On form alone, Actinoscyphia."),
    ("hedged", "A siphonophore, but I could be wrong."),
    ("hedged", "That's a crinoid but don't quote me."),
    ("hedged", "It is a snail, though hard to tell."),
    ("hedged", "Correct me if I'm wrong, a sea cucumber."),
    ("hedged", "Not definitely a shrimp."),
    ("hedged", "Very possibly an isopod."),
    ("hedged", "Quite likely a brittle star."),
    ("hedged", "Not unlikely a squid."),
    ("hedged", "Some kind of sponge."),
    ("hedged", "I'm eighty percent sure that's a chimaera."),
    ("hedged", "Looks like a coffinfish."),
    ("hedged", "It looks a lot like a Norway lobster."),
    ("hedged", "It looks like a squid but I'm not sure."),
    ("hedged", "Resembles a flytrap anemone."),
    ("hedged", "My money is on Cidaris."),
    ("hedged", "There's a good chance that is a lobster."),
    ("hedged", "A rattail, as far as I can tell."),
    ("observed hedged", "Munida cf. sarsi."),
    ("hedged", "An anglerfish, going by the shape."),
    ("hedged", "Judging by the arms, a brisingid."),
    ("hedged", "At first glance an isopod."),
    ("hedged", "It's an octopus, innit."),
    ("hedged", "These are crinoids, aren't they?"),
    ("hedged hedged", "A crab or a squat lobster."),
    ("hedged hedged", "Munida sarsi or Munida rugosa, can't tell which."),
    ("hedged", "Or a squid."),
    ("hedged observed", "Possibly a snail on the black coral."),
    ("hedged observed", "I think a brittle star next to the sponge."),
    ("hedged observed", "That could be an isopod. There is a crab."),
    ("observed hedged", "There's a sponge and maybe a shrimp."),
    ("hedged", "It can only be, an octopus."),
    ("hedged", "Subject to confirmation, Coryphaenoides."),
    ("hedged", "If I remember rightly that is Walteria leuckarti."),
    ("hedged", "I would put it down as a demosponge."),
    ("hedged", "Let's call it a sea cucumber."),
    ("hedged", "Best guess, a siphonophore."),
    ("asked", "Is that a chimaera?"),
    ("asked", "Are those crinoids?"),
    ("asked", "How about a flytrap anemone?"),
    ("asked", "Do you reckon that's a cup coral?"),
    ("asked", "What if it is an isopod?"),
    ("asked", "Could those be shrimp?"),
    ("asked", "Any chance that is a coffinfish?"),
    ("asked", "Is it a sea star or not?"),
    ("asked asked", "Is that a squid or an octopus?"),
    ("asked observed", "Is that a brittle star on the sponge?"),
    ("asked", "What is it, a rattail?"),
    ("asked", "Are we calling this a demosponge?"),
    ("asked", "Isn't that a basket star?"),
    ("observed", "How big is that octopus?"),
    ("observed", "Which sea urchin is that?"),
    ("observed", "Do you see the squat lobster?"),
    ("observed", "Can we zoom in on the anglerfish?"),
    ("observed", "Did you get the sea star as well?"),
    ("observed", "What size is the sponge?"),
    ("observed", "And how many isopods are there?"),
    ("observed", "What is that crab holding?"),
    ("observed", "Is that lobster dead?"),
    ("observed", "Are those shrimp still moving?"),
    ("observed", "Where did the chimaera go?"),
    ("observed", "What do you make of this sea cucumber?"),
    ("observed", "Shall we collect this crinoid?"),
    ("observed", "How old is that black coral?"),
    ("observed", "Have you got the rattail on camera?"),
    ("observed", "So which species of Munida is it?"),
    ("observed denied", "A crinoid rather than a sea star."),
    ("observed denied", "Call it a squat lobster instead of a crab."),
]


def statuses(hear: Listener, text: str) -> str:
    _, _, judgements = hear.judged(text)
    return " ".join(judgement.status for judgement in judgements)


@pytest.mark.parametrize(("said", "text"), SAID)
def test_as_written(hear: Listener, said: str, text: str) -> None:
    assert statuses(hear, text) == said


@pytest.mark.parametrize(("said", "text"), SAID)
def test_without_punctuation_and_capitals(hear: Listener, said: str, text: str) -> None:
    assert statuses(hear, re.sub(r"[^\w\s'-]", "", text).lower()) == said
