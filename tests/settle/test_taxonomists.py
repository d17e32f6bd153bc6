"""Invented talk of several people who know the animals: one animal under many names, and what is written down of it."""

from __future__ import annotations

import pytest

from tests.judge.talk import Listener
from tests.settle.test_dialogues import Left, left, said


@pytest.mark.parametrize(
    ("talk", "sightings"),
    [
        # A negative question challenges what was said: no second animal.
        ("A snail on the rock. | B: Why not an octopus? | A: Not an octopus, it has a shell.", [("Gastropoda", "1")]),
        ("A rattail. | B: Couldn't it be a chimaera? | A: Rattail.", [("Macrouridae", "1")]),
        ("Bathypathes. | B: Why not Walteria? | A: Not Walteria, too many branches.", [("Bathypathes", None)]),
        ("An isopod. | B: Why is it not a shrimp? | A: Seven pairs of legs.", [("Isopoda", "1")]),
        ("A brisingid. | B: Not a basket star? | A: A brisingid.", [("Brisingidae", "1")]),
        # A plain question, or one that points, may be of another.
        ("A snail on the rock. | B: Octopus?", [("Gastropoda", "1"), ("Octopoda", "1")]),
        ("A snail on the rock. | B: Is that not an octopus on the left?", [("Gastropoda", "1"), ("Octopoda", "1")]),
        ("A snail on the rock. | A: Why not an octopus?", [("Gastropoda", "1"), ("Octopoda", "1")]),
        # Behind a guess, the name by itself from somebody who went on about it.
        ("A sponge, I suppose. | B: It has tentacles. Anemone.", [("Actiniaria", "1")]),
        ("Maybe a sea cucumber. | B: It's only curled up. Sea star.", [("Asteroidea", "1")]),
        ("Perhaps Munida sarsi. | B: Munida rugosa.", [("Munida rugosa", None)]),
        # Behind a plain statement it is another animal, as it is from nowhere.
        ("A sponge. | B: It has tentacles. Anemone.", [("Porifera", "1"), ("Actiniaria", "1")]),
        ("A sponge, I suppose. | B: Anemone.", [("Porifera", "1"), ("Actiniaria", "1")]),
        # Two names weighed are of one animal, two names added are not.
        ("I'm torn between Bathypathes and Walteria.", [("Bathypathes", None)]),
        ("It is a toss up between Munida and Projasus.", [("Decapoda", "1")]),
        ("An urchin and a snail.", [("Echinoidea", "1"), ("Gastropoda", "1")]),
        ("A squid between a sponge and an anemone.", [("Oegopsida", "1"), ("Porifera", "1"), ("Actiniaria", "1")]),
        # More of them, with another animal for the place.
        ("A chimaera. | There are two more behind the sponge, so three.", [("Chimaeriformes", "3"), ("Porifera", "1")]),
        ("An isopod. | B: One more on the crinoid.", [("Isopoda", "2"), ("Crinoidea", "1")]),
        ("Cidaris cidaris. | B: A snail. | A: A crab behind the Cidaris.@30",
         [("Cidaris cidaris", None), ("Gastropoda", "1"), ("Brachyura", "1")]),
        # "It" is none of several, unless the names are near each other.
        ("Two shrimps on the rock. | B: Can you see it? It's a snail.", [("Caridea", "2"), ("Gastropoda", "1")]),
        # A group far from the first word that holds all that was offered.
        ("Shrimp. Maybe Munida sarsi. | B: Or Munida rugosa. | A: Munida.", [("Munida", "1")]),
    ],
)  # fmt: skip
def test_one_animal_while_nobody_points_to_another(hear: Listener, talk: str, sightings: Left) -> None:
    assert left(hear(*said(talk))) == sightings


@pytest.mark.parametrize(
    ("talk", "count"),
    [
        ("A crab. | B: It should have four pairs of legs. | A: There are three.", "1"),
        ("A basket star. | B: Five arms. | A: I count six.", "1"),
        ("A rattail. | B: Two dorsal fins. | A: I count one.", "1"),
        ("Crabs. | B: Look, more. | A: There are three.", "3"),
        ("Crinoids. | B: How many? | A: I count six.", "6"),
        ("An urchin, nine centimetres across. | C: Urchin, nine, noted.", "1"),
        ("A squid, forty centimetres long. | C: Squid, forty, logged.", "1"),
        ("Urchins, a good few.", "many"),
        ("A shoal overhead. Fish.", "many"),
    ],
)
def test_numbers_of_legs_and_centimetres_count_no_animals(hear: Listener, talk: str, count: str) -> None:
    counted = hear(*said(talk)).counts()
    assert [c[0] if c else None for c in counted] == [count]


@pytest.mark.parametrize(
    ("talk", "name"),
    [
        # The sign of a name left at genus takes the species back.
        ("Munida sarsi. | B: That is a guess. | C: Munida sp., then.", "Munida"),
        ("Coryphaenoides rupestris. | C: Coryphaenoides sp.", "Coryphaenoides"),
        ("Cidaris cidaris. | C: Cidaris, noted.", "Cidaris cidaris"),
        ("Nephrops norvegicus. | B: Some lobster or other.", "Nephropidae"),
        ("Actinoscyphia. | B: Too blurred. Some anemone or other.", "Actiniaria"),
        # What was only asked is given by whoever says it next, if only as probable.
        ("Is that Munida sarsi? | A: Probably Munida sarsi.", "Munida sarsi"),
        # Of two in dispute, the one that is read back.
        ("Maybe Munida. | B: Maybe Projasus. | A: Munida, perhaps. | C: Munida, logged.", "Munida"),
        # "It is closed" is no yes.
        ("A lobster. Nephrops norvegicus, perhaps? | B: It's only resting.", "Nephropidae"),
        ("A lobster. Nephrops norvegicus, perhaps? | B: It is.", "Nephrops norvegicus"),
        ("Maybe Bathypathes. | B: Maybe Parantipathes. | A: A black coral.", "Antipatharia"),
    ],
)
def test_what_is_written_down_in_the_end(hear: Listener, talk: str, name: str) -> None:
    assert hear(*said(talk)).names == [name]
