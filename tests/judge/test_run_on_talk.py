"""Scope in captions that have no punctuation at all, and what only a question mark, a comma or a stop can tell."""

from __future__ import annotations

import pytest

from .talk import Listener

RUN_ON = [
    ("denied observed", "okay so i don't think that is a sponge it is an anemone"),
    ("observed hedged observed", "there is a squid and that might be an isopod now here is a crab"),
    ("recalled observed", "yesterday we found a chimaera here now this is a rattail"),
    ("observed recalled", "this is a sea urchin we saw a crinoid earlier"),
    ("elsewhere observed", "we hope to see an octopus later okay there is a brittle star on the left"),
    ("observed asked", "that is a coffinfish is that an isopod next to it"),
    ("general observed", "crinoids feed on what drifts by and that is a glass sponge"),
    ("compared observed", "it has arms like a squid but that is a basket star"),
    ("denied denied observed", "no crabs no shrimp just one sea cucumber"),
    ("hedged denied", "i think it is a brisingid and not a basket star"),
    ("observed denied", "so it is a lobster not a squat lobster"),
    ("denied observed", "not a crab a squat lobster"),
    ("observed observed", "do you see the anemone and the crab right beside it"),
    ("hedged observed", "looks like a snail to me and there is an urchin"),
    ("observed observed", "okay zoom in on the sponge there is a shrimp on it"),
    ("observed observed", "one rattail two rattails not moving much"),
    ("observed", "what is that crab doing with its claws"),
    ("observed elsewhere", "one cup coral and the squid is out of frame"),
    ("hedged", "um i mean it could be an octopus i guess"),
    ("denied", "no it is not an octopus it has fins"),
    ("observed hedged", "a sponge and on it possibly a brittle star"),
    ("observed", "and a sea star right there lovely"),
    ("asked hedged", "is it a crab or maybe it is a squat lobster"),
    ("general", "these feed mostly on small shrimp"),
    ("observed hedged", "a rattail but a small one and beside it maybe an isopod"),
]

PUNCTUATED = [
    ("asked", "A brisingid?"),
    ("asked", "And this, Walteria?"),
    ("observed", "And the crab?"),
    ("observed", "That isopod?"),
    ("asked observed", "A sponge? No, it is an anemone."),
    ("asked", "Did you see a squid?"),
    ("observed", "Did you see the squid?"),
    ("general", "Do crinoids at this size spawn?"),
    ("observed", "Which Actinoscyphia?"),
    ("observed", "What about that sea star's arms, how many are there?"),
    ("asked", "What about a chimaera?"),
    ("observed", "Can you get closer to the crab?"),
    ("asked", "The purple thing, an Enypniastes?"),
    ("observed", "Who can tell me how old this sponge is?"),
    ("denied", "No, no isopods here."),
    ("observed", "No, no, it's an isopod."),
    ("observed", "No. A squid."),
    ("hedged", "That could be... an octopus."),
    ("hedged", "I think. Maybe. A squid."),
    ("hedged", "Sea star. Correct me if I'm wrong."),
    ("hedged hedged", "Munida sarsi or Munida rugosa. Can't separate them from up here."),
    ("observed", "Crab. Lovely light today."),
    ("asked", "Could you zoom in, is that an isopod?"),
    ("observed asked", "Look at the anemone, is that a shrimp on it?"),
]


@pytest.mark.parametrize(("said", "text"), RUN_ON + PUNCTUATED)
def test_scope(hear: Listener, said: str, text: str) -> None:
    _, _, judgements = hear.judged(text)
    assert " ".join(judgement.status for judgement in judgements) == said
