"""Talk of kinds, doubt, memory and food in sentences of every build, and as many that claim an animal on the screen."""

from __future__ import annotations

from pathlib import Path

import pytest

from .talk import Listener, raw

FAMILIES: dict[str, str] = {
    "general": """
Crinoids lose an arm now and then.
Sea urchins chew with five teeth.
Isopods shed their skin in two halves.
Brittle stars regrow what they drop.
Octopuses see very well.
Cup corals build one skeleton each.
Glass sponges pump a thousand litres a day.
Anemones sting with tiny harpoons.
Snails drill through shells.
Rattails smell a carcass from afar.
Squid change colour in a blink.
Fish sense pressure along their flanks.
Sea cucumbers breathe through their rear end.
Squat lobsters clean themselves with the last pair of legs.
True crabs can hardly walk forwards.
Sponges can also squeeze themselves clean.
Black corals can easily outlive a tree.
Siphonophores do not have a brain.
Dumbo octopuses never spit ink.
Basket stars mostly feed at night.
Lobsters actually taste with their feet.
Chimaeras really go deep.
Sea stars turn up everywhere.
Urchins come in many shapes.
Stony corals need hard ground.
Brisingids have many arms.
Anglerfish have no scales.
Sponges have pores all over.
Munida has long claws.
Bathypathes has short branches.
Cidaris has thick spines.
Coryphaenoides rupestris grows slowly.
Desmophyllum dianthus lives for centuries.
Enypniastes eximia glows when touched.
A sponge needs a steady current.
An octopus lays its eggs once.
A sea cucumber digests mud.
Every crinoid starts on a stalk.
A snail lives slowly.
Sponges are animals.
Anemones are cousins of jellies.
Crinoids are echinoderms.
Sea urchins are predators too.
Black corals are colonial.
Barnacles aside, isopods are crustaceans.
Munida is a squat lobster.
Bathypathes is a black coral.
Cidaris is an urchin.
Brittle stars are not sea stars.
Siphonophores are hydrozoans.
Munida rugosa is larger.
Desmophyllum is the commonest of all.
And so do most sea stars.
Neither do squid.
In the older handbooks it stands under Munida sarsi.
Walteria is spelled with a W.
How do you pronounce Coryphaenoides?
Gorgonocephalus is named after the Gorgon's head.
Bo asks whether squid sleep.
Ada wants to know how anemones catch things.
Lin wonders why urchins have spines.
Can octopuses see colours?
Do snails hear?
Are sponges animals?
Are anemones really alive?
Do all crabs walk sideways?
What is an isopod?
What is a chimaera?
Are there lobsters down this deep?
Is there any difference between crabs and lobsters?
Is that the same as the sponges in a shop?
There are several species, Munida rugosa for one.
""",
    "hedged": """
I'd hazard Munida.
I'd only sign for Brisingidae.
I would venture Cidaris.
I'd settle for Euplectella.
I'd plump for Bathypathes.
We'd lean towards a chimaera.
I'd still write Walteria.
I'd just put it at Macrouridae.
I would be happy with Macrouridae.
I'd be tempted to say Parantipathes.
I might go with Grimpoteuthis.
I would have guessed a squid.
I'd have gone for an isopod.
It could pass for a cup coral.
This could easily pass for Munida sarsi.
That may equally be Parantipathes.
It might conceivably be an octopus.
It might turn out to be a brisingid.
It could also prove to be a snail.
It may belong to Macrouridae.
Something in the neighbourhood of Cidaris.
Somewhere near Munida.
Gorgonocephalus, give or take.
Grimpoteuthis, with a pinch of salt.
With a grain of salt, Walteria.
On balance a demosponge.
Munida rugosa is one candidate.
A chimaera is another possibility.
Cidaris is the obvious candidate.
Munida sarsi would be a stretch.
All I can offer is Antipatharia.
I would put it down as Brisingidae, with a pinch of salt.
Schizopathidae is as much as I'd sign.
If I'm honest, a squid.
I venture Bathypathes.
I'd like to call it Walteria.
I want to call this Euplectella.
I'd bet my house on Cidaris.
By elimination, an isopod.
I daresay a sea cucumber.
I'm half inclined to Munida.
Munida was your first guess.
Sixty per cent Grimpoteuthis.
Without touching it, a demosponge.
I'd vote Munida.
I'd label it Enypniastes.
I'd stick with Actinoscyphia.
I'd pick Desmophyllum.
I would say Nephrops, and only just.
I'd opt for Caridea.
I'd lean more towards Brisingidae.
I'd take it for a rattail.
I'd file it under Macrouridae.
I'd accept Isopoda.
I'd offer Cidaridae.
I'd leave it at Munididae.
I could live with Caryophylliidae.
I'd suggest a siphonophore.
We'd still say crinoid.
I would wager a coffinfish.
It could well turn out to be a sponge.
""",
    "recalled": """
The year before that it was a chimaera.
The cruise before we filmed Walteria.
Last station had a dumbo octopus.
On the previous haul, a lobster.
In the nineties we dredged Cidaris here.
Back in two thousand someone got a coffinfish.
We once caught a squid in a bucket.
I once met a chimaera in a net.
We met a brisingid at the last site.
Yesterday evening brought a siphonophore.
On Tuesday morning it was all urchins.
Before the storm there was a big anemone.
On your first dive you had a Cidaris.
When we were last here, an octopus lived on that wall.
During our earlier trip, basket stars by the hundred.
On my previous expedition we dredged a Norway lobster.
We trawled up a coffinfish the season before.
They filmed an isopod the month before.
We brought up a glass sponge once, the week before.
From your last trip I remember Munida.
The trip before was all sea cucumbers.
Until the eighties people dredged Desmophyllum pertusum.
Yesterday afternoon an octopus.
Last survey had Enypniastes.
First tow, last year, a rattail.
At the last mooring there was a crab.
At the other vent we had snails.
At the previous wreck, lobsters.
Last spring, urchins.
Last autumn I drew a brittle star.
""",
    "elsewhere": """
You won't find a chimaera here.
We will never see a dumbo octopus at this depth.
We haven't come to that, but you would never find a lobster.
The crinoids are two days north.
The lobsters live three hundred miles south.
Basket stars are in the next canyon.
The big sponges sit two ridges over.
Squid hunt in warmer seas.
A lobster would be lovely.
A chimaera would be a first.
A squid would be nice.
I'm still waiting for a coffinfish.
I have yet to see a chimaera.
One day we find a dumbo octopus.
She wants to see a squid.
He hopes to find an octopus.
They dreamed of seeing a basket star.
If we meet a squid, stop.
When you spot an octopus, shout.
Should we run into a lobster, we stop.
Let's find a crab.
We are off to find sponges.
We're on the hunt for chimaeras.
No hope of a lobster.
Any hope of squid?
We will soon see a sponge.
There are urchins in the tropics.
On tropical reefs the anemones are bigger.
At the harbour the crabs are green.
A brisingid much deeper than this.
""",
    "figure": """
The shrimp trawl passed here.
A squid farm is planned.
He is our fish man.
The squid lady sends her love.
Sponge spicules everywhere.
We need the octopus expert.
That was in the sponge paper.
Lobster bisque on Friday.
A lobster creel, broken.
Fishing for shrimp market prices.
Her squid tattoo is new.
A fish sandwich at noon.
My crab costume is ready.
A nice fat lobster, with garlic butter.
Squid in batter.
A crab on toast.
Octopus, with lemon.
A plate of shrimps.
A bucket of squid, please.
I could murder a crab.
A class called the Squid.
The Octopus team won.
A song called Lobster.
The shrimp fishery closed.
Squid and chips.
Lobster thermidor.
The crab survey ends today.
An octopus toy on the dashboard.
Snail jokes, always.
The sponge census is due.
""",
    "observed": """
Coryphaenoides, one, passing left.
Munida, three.
Squid, lower left, leaving.
Crabs on the left.
Brittle stars all over the ledge.
Brittle stars cover the slope.
Anemones dot the wall.
Crinoids everywhere.
Sponges, lots of them.
Two sponges and a crab.
A crab walks past the laser.
A squid swims by.
An octopus hides under the ledge.
A rattail drifts through.
Shrimps around the anemone.
Fish coming in from the right.
There are urchins on the rock.
There are crabs here.
Here are sea stars.
I see squat lobsters.
We have brisingids.
A cup coral with its polyps out.
That crab has long claws.
This sponge needs a closer look.
That octopus lives under the rock.
The squid has its arms folded.
Cidaris cidaris, on gravel.
Enypniastes eximia, swimming off.
Gorgonocephalus has its arms open.
Bathypathes has moved.
The glass sponge is a Walteria.
That one is a Munida rugosa.
It's a black coral, Bathypathes.
Those are sea cucumbers.
These are stony corals.
Now crinoids on the crest.
Crinoids can be seen on the crest.
Snails can just be made out.
A chimaera, look at it go.
One isopod on the cable.
A snail on a sponge.
Five urchins in a row.
Many squat lobsters in the cracks.
Good, Desmophyllum pertusum.
Big lobster, both claws.
Lobster, red, in its hole.
A sea cucumber, feeding.
Small white anemones on the boulder.
A brisingid with its arms up.
Grimpoteuthis over the mud.
Yes, Munida sarsi.
Hexactinellida, stalked.
Siphonophore, two metres.
Black coral, tall as the frame.
And another crab.
A second squid.
Same urchin again.
The crinoid is still there.
Sea star on the move.
Here comes a rattail.
Crab crab crab, on the cable.
It's definitely a coffinfish.
""",
}
SENTENCES = [(status, line) for status, text in FAMILIES.items() for line in text.strip().splitlines()]


@pytest.mark.parametrize(("status", "text"), SENTENCES)
def test_status_by_the_build_of_the_sentence(hear: Listener, status: str, text: str) -> None:
    _, _, judgements = hear.judged(text)
    assert status in {judgement.status for judgement in judgements}, text
    if status != "observed":
        assert "observed" not in {judgement.status for judgement in judgements}, text
    else:
        assert {judgement.status for judgement in judgements} == {"observed"}, text


TALKS: list[tuple[list[str], list[str]]] = [
    (["What eats urchins?", "Oh, crabs, sea stars, lobsters."], ["general"] * 4),
    (["Who preys on crinoids?", "Fish, snails, urchins."], ["general"] * 4),
    (["What eats urchins?", "Crab on the left."], ["general", "observed"]),
    (["What eats urchins?", "Two crabs and a squid."], ["general", "observed", "observed"]),
    (["Do anemones sleep?", "Crabs, and a squid."], ["general", "observed", "observed"]),
    (["Crabs, sea stars, lobsters."], ["observed"] * 3),
    (["Last year we had a dumbo octopus. Grimpoteuthis."], ["recalled", "recalled"]),
    (["Last year it was a chimaera.", "Bathypathes, yes, the tall one."], ["recalled", "recalled"]),
    (["Last year we had a dumbo octopus.", "Grimpoteuthis on the left."], ["recalled", "observed"]),
    (["Last year we had a dumbo octopus. Squid ahead."], ["recalled", "observed"]),
]


@pytest.mark.parametrize(("talk", "said"), TALKS)
def test_talk_that_goes_on_from_talk(hear: Listener, talk: list[str], said: list[str]) -> None:
    _, _, judgements = hear.judged(*talk)
    assert [judgement.status for judgement in judgements] == said


@pytest.mark.parametrize("text", [line for status, line in SENTENCES if status == "general"])
def test_talk_of_kinds_without_punctuation(hear: Listener, text: str) -> None:
    _, _, judgements = hear.judged(raw(text))
    assert "observed" not in {judgement.status for judgement in judgements}


def test_a_colour_is_not_parted_by_a_comma(hear: Listener) -> None:
    assert hear("Lobster, red, in its hole.").statuses == ["observed"]


def test_own_kind_words_are_added(hear: Listener, tmp_path: Path) -> None:
    text = "Crabs yodel at dusk."
    assert hear(text).statuses == ["observed"]
    (tmp_path / "kind_words.csv").write_text("phrase,class,source\nyodel,habit verb,ours\n", encoding="utf-8")
    assert hear(text, own_words=tmp_path).statuses == ["general"]


def test_own_heads_are_added(hear: Listener, tmp_path: Path) -> None:
    text = "The squid lantern is lit."
    assert hear(text).statuses == ["observed"]
    (tmp_path / "name_heads.csv").write_text("word,source\nlantern,ours\n", encoding="utf-8")
    assert hear(text, own_words=tmp_path).statuses == ["figure"]
