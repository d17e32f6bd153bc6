"""Sex, life stage, behaviour, vitality, colour, position, habitat: whose they are, and when nothing is said."""

from __future__ import annotations

import pytest

from .talk import Line, Listener, Said


@pytest.mark.parametrize(
    ("talk", "said"),
    [
        # Sex, eggs and brooding.
        (["A female Tanner crab."], {"Chionoecetes": {"sex": "female"}}),
        (["That king crab is a male."], {"Lithodidae": {"sex": "male"}}),
        (["Spot prawn, female, with eggs."], {"Pandalus platyceros": {"sex": "female", "behavior": "brooding"}}),
        (["A shrimp. Berried."], {"Caridea": {"behavior": "brooding"}}),
        (["A shrimp.", ("B", "She's got eggs.")], {"Caridea": {"sex": "female", "behavior": "brooding"}}),
        (["A shrimp. Ovigerous female."], {"Caridea": {"sex": "female", "behavior": "brooding"}}),
        (
            ["Two Tanner crabs. The male is holding the female."],
            {"Chionoecetes": {"sex": "male | female", "behavior": "mate guarding"}},
        ),
        (["A pearl octopus brooding its eggs."], {"Muusoctopus robustus": {"behavior": "brooding"}}),
        # Life stage.
        (["A juvenile rockfish."], {"Sebastes": {"life_stage": "juvenile"}}),
        (["A thornyhead. Juvenile, maybe."], {"Sebastolobus": {"life_stage": "juvenile"}}),
        (["that is an adult sablefish"], {"Anoplopoma fimbria": {"life_stage": "adult"}}),
        (["A skate egg case."], {"Rajiformes": {"life_stage": "egg"}}),
        (["Baby octopus!"], {"Octopoda": {"life_stage": "juvenile"}}),
        # Behaviour.
        (["A sea pig walking over the mud."], {"Scotoplanes": {"behavior": "walking"}}),
        (["A gummy squirrel. It's feeding."], {"Psychropotes": {"behavior": "feeding"}}),
        (["swimming sea cucumber"], {"Holothuroidea": {"behavior": "swimming"}}),
        (["An eelpout. Swimming away."], {"Zoarcidae": {"behavior": "swimming"}}),
        (
            ["A vampire squid hovering in front of us."],
            {"Vampyroteuthis infernalis": {"behavior": "hovering", "position": "foreground"}},
        ),
        (["There's a flatfish half buried."], {"Pleuronectiformes": {"behavior": "buried"}}),
        (["A basket star, all curled up."], {"Gorgonocephalidae": {"behavior": "curled up"}}),
        (["Squid. It's inking!"], {"Decapodiformes": {"behavior": "inking"}}),
        (["A snailfish. It is drifting."], {"Liparidae": {"behavior": "drifting"}}),
        (
            ["a hagfish resting and a skate swimming"],
            {"Myxinidae": {"behavior": "resting"}, "Rajiformes": {"behavior": "swimming"}},
        ),
        (["A sea star.", ("P", "We're moving left, slowly.")], {}),
        (["A sea star.", ("P", "Moving. Turning left now.")], {}),
        (["A sea star. I'm feeding out some cable."], {}),
        # Vitality.
        (["A dead crab."], {"Brachyura": {"vitality": "dead"}}),
        (["A glass sponge. It's dead."], {"Hexactinellida": {"vitality": "dead"}}),
        (["A clam, empty shell."], {"Bivalvia": {"vitality": "dead"}}),
        (["A glass sponge. It's dead, I think."], {"Hexactinellida": {"vitality": "uncertain"}}),
        (["A bamboo coral, partly dead."], {"Keratoisididae": {"vitality": "mixedLot"}}),
        (["A bamboo coral. Still alive."], {"Keratoisididae": {"vitality": "alive"}}),
        (["A sea pen.", ("B", "Is it dead?"), "Yes."], {"Pennatuloidea": {"vitality": "dead"}}),
        (["A sea pen.", ("B", "Is it dead?"), "No."], {}),
        (["A crab. Rock outcrop dead ahead."], {}),
        (["A crab on dead coral."], {}),
        # Colour.
        (["A red crab next to a white sponge."], {"Brachyura": {"colour": "red"}, "Porifera": {"colour": "white"}}),
        (
            ["a purple sea star and an orange anemone"],
            {"Asteroidea": {"colour": "purple"}, "Actiniaria": {"colour": "orange"}},
        ),
        (["A shrimp, red and white."], {"Caridea": {"colour": "red | white"}}),
        (["One anemone, deep red."], {"Actiniaria": {"colour": "deep red"}}),
        (["A mushroom coral. Pale pink."], {"Heteropolypus ritteri": {"colour": "pale pink"}}),
        (["A sea cucumber, see-through."], {"Holothuroidea": {"colour": "transparent"}}),
        (["A bubblegum coral, the white morph."], {"Paragorgia": {"colour": "white morph"}}),
        (
            ["The rattail is grey the skate is brown"],
            {"Macrouridae": {"colour": "grey"}, "Rajiformes": {"colour": "brown"}},
        ),
        (["A brittle star on white sand."], {}),
        (["A brittle star under the red light."], {}),
        (["A sea star. White balance, please."], {}),
        (["A sea star. Black smoke over there."], {}),
        (["An octopus with white claws in its way."], {}),
        # Position.
        (["A skate on the left."], {"Rajiformes": {"position": "left"}}),
        (["On the right, a hagfish."], {"Myxinidae": {"position": "right"}}),
        (["Bottom right corner, a sea spider."], {"Pycnogonida": {"position": "bottom right"}}),
        (
            ["A snail in the upper left corner and an urchin in the foreground."],
            {"Gastropoda": {"position": "top left"}, "Echinoidea": {"position": "foreground"}},
        ),
        (["Sea lily! There. In the background."], {"Hyocrinida": {"position": "background"}}),
        (["A skate.", ("P", "Turning to the left.")], {}),
        (["A skate to the left of the boulder."], {}),
        # Habitat.
        (["Bone worms on the whale fall."], {"Osedax": {"habitat": "whale fall"}}),
        (["Seep clams at the cold seep."], {"Vesicomyidae": {"habitat": "cold seep"}}),
        (["An anemone growing on the wreck."], {"Actiniaria": {"habitat": "wreck"}}),
        (["Limpets around the hydrothermal vent."], {"Patellogastropoda": {"habitat": "hydrothermal vent"}}),
        (["An octopus. It's in a crevice."], {"Octopoda": {"habitat": "crevice"}}),
        (["A rattail.", ("P", "We're heading for the seamount.")], {}),
        # Nothing is said by denials, questions, wishes, talk of the kind, of other times and places.
        (["A crab, not dead."], {}),
        (["A shrimp. No eggs."], {}),
        (["A shrimp without eggs."], {}),
        (["A crab. Female?"], {}),
        (["A crab.", ("B", "Is it a female?")], {}),
        (["A crab. I can't tell if it's dead."], {}),
        (["A rockfish. I don't think it's a juvenile."], {}),
        (["A king crab. They usually swim in the summer and are red."], {}),
        (["A skate. Yesterday we saw a white octopus swimming."], {}),
        (["That's not a red sponge, it's a tunicate."], {}),
        (["A sea star shaped like a dead crab."], {}),
        (["A dumbo octopus. Let's see if it's swimming."], {}),
        (["a sea star it's not moving"], {"Asteroidea": {"behavior": "resting"}}),
        # Behind a denied name the talk is of the animal that is there.
        (["A tunicate. Not a sponge, it's white."], {"Ascidiacea": {"colour": "white"}}),
        # Time: what is said long after a name is not of that animal.
        (["A tunicate.", ("B", "It's white.", 30.0)], {}),
        (["A tunicate.", ("B", "It's white.", 3.0)], {"Ascidiacea": {"colour": "white"}}),
        # Another speaker, no punctuation.
        (
            ["there's a helmet jelly", ("B", "oh it's red"), ("A", "and swimming away")],
            {"Periphylla periphylla": {"colour": "red", "behavior": "swimming"}},
        ),
        (
            ["a red crab a white sponge a dead sea pen"],
            {"Brachyura": {"colour": "red"}, "Porifera": {"colour": "white"}, "Pennatuloidea": {"vitality": "dead"}},
        ),
        (
            ["so we have a small orange sea star on the left and it's feeding"],
            {"Asteroidea": {"colour": "orange", "position": "left", "behavior": "feeding"}},
        ),
        # Described first, named next.
        (["Second colony, yellow. Bamboo coral."], {"Keratoisididae": {"colour": "yellow"}}),
        # Litter is no animal, and its colour nobody's.
        (["A crab. There's a plastic bag, white."], {}),
        (["A blue glass bottle next to a crab."], {}),
    ],
)
def test_traits(hear: Listener, talk: list[Line], said: dict[str, Said]) -> None:
    told = hear(*talk).said()
    assert {
        name: {k: v for k, v in one.items() if k != "relations"}
        for name, one in told.items()
        if set(one) - {"relations"}
    } == said
