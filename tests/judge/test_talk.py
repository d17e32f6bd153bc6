"""Talk that claims no animal on the screen: denied, compared, general, recalled, elsewhere, figures of speech."""

from __future__ import annotations

import re

import pytest

from .talk import Listener

SAID = [
    ("denied", "That's not a jellyfish, that's not a siphonophore either."),
    ("denied", "No openings so no demosponge."),
    ("denied observed", "It's not a sea star but a brisingid."),
    ("denied", "I take back Walteria."),
    ("denied", "Strike Euplectella."),
    ("denied", "A Norway lobster would be bigger."),
    ("denied", "An empty snail shell."),
    ("denied", "One sea urchin, dead, not counted."),
    ("denied", "It's too small for a rattail."),
    ("denied", "Too round to be a sea cucumber."),
    ("denied", "There are no crinoids on this slope."),
    ("denied", "We did not see any squid."),
    ("denied denied", "I've never seen any isopods here, no isopods at all."),
    ("denied", "I would not call it a cup coral."),
    ("denied", "It looks nothing like an octopus."),
    ("denied", "No chance that is a chimaera."),
    ("denied observed", "No crab on the black coral."),
    ("denied", "Not probable, a squid."),
    ("denied", "Improbable, an anglerfish at this depth."),
    ("denied", "It can't possibly be a lobster."),
    ("denied", "Brittle stars are absent."),
    ("denied", "Hardly a sponge."),
    ("denied", "A coffinfish is out of the question."),
    ("denied", "It really can't be a lobster."),
    ("denied denied", "Neither snails nor isopods."),
    ("denied denied", "No shrimp and no crabs."),
    ("denied", "Withdraw Cidaris."),
    ("denied", "It is no sponge."),
    ("denied", "We couldn't find any brittle stars."),
    ("compared", "It has a head like a squid."),
    ("compared", "It's shaped like a basket star."),
    ("compared", "Roughly the size of a shrimp."),
    ("compared", "Compare Munida rugosa."),
    ("compared", "Unlike a crab it has no claws."),
    ("compared", "That reminds me of an octopus."),
    ("compared", "A rock shaped like a sea cucumber."),
    ("compared", "The thing is as big as a lobster."),
    ("compared", "A crab-like thing."),
    ("compared", "Some shrimp-sized blob."),
    ("compared observed", "It looks like a lobster but it's a squat lobster."),
    ("compared", "It looks like a sponge but it isn't."),
    ("compared", "Bigger than a snail."),
    ("compared", "Flat as a sea star."),
    ("compared", "Coloured like a sea urchin."),
    ("compared", "It could be mistaken for an anemone."),
    ("compared", "Easily confused with Parantipathes."),
    ("compared", "It swims like a fish."),
    ("compared observed", "Imagine a squid with wings, that is the dumbo octopus."),
    ("general", "These feed on brittle stars."),
    ("general", "Corals eat whatever drifts by, stony corals do."),
    ("general", "Crinoids filter the water."),
    ("general", "Sponges can live for hundreds of years."),
    ("general", "Sea cucumbers usually breathe through their rear."),
    ("general", "What do octopuses eat?"),
    ("general", "Do squid sleep?"),
    ("general", "They live on black corals."),
    ("general", "Sea urchins reproduce once a year."),
    ("general", "These are called basket stars."),
    ("general general", "Most dives we meet a rattail or so, sea stars too."),
    ("general", "Cidaris lives on gravel."),
    ("general", "Shrimp, mostly, that is what they eat."),
    ("general", "A snail for breakfast."),
    ("general", "We got a question about anglerfish."),
    ("general", "Siphonophores are found in every sea."),
    ("general", "In the older literature it was Cidaris cidaris."),
    ("general", "It feeds on sponges."),
    ("general", "Why do brittle stars glow?"),
    ("general", "Chimaeras evolved before the dinosaurs."),
    ("recalled", "We logged a chimaera on the last dive."),
    ("recalled", "Yesterday an octopus stole the bait."),
    ("recalled", "The lobster we saw on Tuesday was bigger."),
    ("recalled", "Like the coffinfish we saw last year."),
    ("recalled", "Earlier in the dive we had a squid."),
    ("recalled", "I once saw an anglerfish at half this depth."),
    ("recalled", "There was a crinoid two hours ago."),
    ("recalled", "Remember the isopod from lunch?"),
    ("recalled", "We came across a dumbo octopus on dive twelve."),
    ("recalled observed", "On the last dive we had a squid, here is a crab."),
    ("recalled", "Previously logged as a sponge on another dive."),
    ("recalled", "The day before it was a sea star."),
    ("elsewhere", "There should be crinoids further up."),
    ("elsewhere", "The octopus is out of frame now."),
    ("elsewhere", "We hope to see a dumbo octopus."),
    ("elsewhere", "On the other side of the ridge there is a sponge."),
    ("elsewhere", "Tomorrow we go after black corals."),
    ("elsewhere", "Keep your eyes open for squid."),
    ("elsewhere", "We are still looking for a chimaera."),
    ("elsewhere", "With luck we get a coffinfish."),
    ("elsewhere", "That lobster lives elsewhere."),
    ("elsewhere", "Fingers crossed for an anglerfish."),
    ("elsewhere", "You might see a siphonophore."),
    ("elsewhere", "Norway lobsters in shallow water."),
    ("elsewhere", "I'd love to, we want to see a basket star."),
    ("figure", "He is fishing for compliments, that old fish out of water."),
    ("figure", "We move at a snail's pace."),
    ("figure", "Bring my sponge bag."),
    ("figure", "It is a whole different kettle of fish."),
    ("figure", "I am happy as a clam with lobster bisque."),
    ("figure", "Her memory is like a sponge."),
    ("figure", "Fish and chips for everybody."),
    ("figure", "You soak it up like a sponge."),
    ("figure", "I have bigger fish to fry."),
    ("figure", "Crab cakes tonight."),
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
