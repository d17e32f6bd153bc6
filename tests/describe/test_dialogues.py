"""Longer talk: everything that is said of every animal in it."""

from __future__ import annotations

import pytest

from .talk import Line, Listener, Said

EYE = "estimated by eye"


@pytest.mark.parametrize(
    ("talk", "said"),
    [
        (
            [
                "Oh, a skate! On the left, resting on the sand.",
                ("B", "Roughtail skate, I think. A metre long at least."),
            ],
            {"Bathyraja trachura": {"position": "left", "behavior": "resting", "size": f"1 m, {EYE}, at least"}},
        ),
        (
            ["Here's a glass sponge, white, about thirty centimetres tall.", "With a shrimp inside. Red one, berried."],
            {
                "Hexactinellida": {
                    "colour": "white",
                    "size": f"30 cm, {EYE}",
                    "relations": ["host of Caridea"],
                },
                "Caridea": {"colour": "red", "behavior": "brooding", "relations": ["in Hexactinellida"]},
            },
        ),
        (
            ["there's an octopus in the wreck it's white and it's guarding its eggs"],
            {"Octopoda": {"habitat": "wreck", "colour": "white", "behavior": "guarding"}},
        ),
        (
            [
                "Sleeper shark!",
                ("B", "Wow. It's huge."),
                ("C", "Three metres long, easily. A female, look, no claspers."),
            ],
            {"Somniosidae": {"size": f"3 m, {EYE}, at least", "sex": "female"}},
        ),
        (
            ["Two king crabs.", "The big one is the male.", ("P", "Depth nine hundred metres.")],
            {"Lithodidae": {"sex": "male"}},
        ),
        (
            ["A bamboo coral, dead, with anemones on it.", "The anemones are orange."],
            {
                "Keratoisididae": {"vitality": "dead", "relations": ["host of Actiniaria"]},
                "Actiniaria": {"colour": "orange", "relations": ["on Keratoisididae"]},
            },
        ),
        (
            ["A rattail swimming past the bubblegum coral.", "Grey, forty centimetres maybe."],
            {"Macrouridae": {"behavior": "swimming", "colour": "grey", "size": f"40 cm, {EYE}"}},
        ),
        (
            ["Lasers are on.", ("B", "OK so that basket star is one and a half laser widths.")],
            {"Gorgonocephalidae": {"size": "15 cm, lasers 10 cm apart"}},
        ),
        (
            ["Sea star. Looks like it's feeding on that sponge."],
            {
                "Asteroidea": {"behavior": "feeding", "relations": ["eating Porifera"]},
                "Porifera": {"relations": ["eaten by Asteroidea"]},
            },
        ),
        (
            ["A chimney with limpets. They're crawling all over it."],
            {"Patellogastropoda": {"behavior": "crawling"}},
        ),
        (
            [
                ("A", "What's that white thing?"),
                ("B", "A sea pig."),
                ("A", "Is it alive?"),
                ("B", "It's walking, so yes."),
            ],
            {"Scotoplanes": {"behavior": "walking", "colour": "white"}},
        ),
        (
            ["a hermit crab crawling to the right with an anemone on its back"],
            {
                "Paguroidea": {"relations": ["host of Actiniaria"], "behavior": "crawling"},
                "Actiniaria": {"relations": ["on Paguroidea"]},
            },
        ),
        (
            [
                "A predatory tunicate in the top left, closed up.",
                "And on the right a sea lily, maybe half a metre tall, yellow.",
            ],
            {
                "Megalodicopia hians": {"position": "top left", "behavior": "retracting"},
                "Hyocrinida": {"position": "right", "size": f"0.5 m, {EYE}", "colour": "yellow"},
            },
        ),
        (
            ["We have bone worms on the whale skull, red plumes.", "And a squat lobster among the bone worms."],
            {
                "Osedax": {"habitat": "whale fall", "relations": ["host of Galatheoidea"]},
                "Galatheoidea": {"relations": ["in Osedax"]},
            },
        ),
        (
            ["Snailfish, pink, juvenile probably, ten centimetres, swimming along the bottom."],
            {
                "Liparidae": {
                    "colour": "pink",
                    "life_stage": "juvenile",
                    "size": f"10 cm, {EYE}",
                    "behavior": "swimming",
                }
            },
        ),
        (
            ["That's a dead one.", "A sea urchin I mean."],
            {"Echinoidea": {"vitality": "dead"}},
        ),
        (
            ["Pom-pom anemone, being rolled along by the current.", ("B", "It's pink. The current is two knots.")],
            {"Liponema brevicorne": {"colour": "pink"}},
        ),
        (
            ["An eelpout.", ("B", "Those usually lay their eggs in sponges."), ("A", "This one is brown.")],
            {"Zoarcidae": {"colour": "brown"}},
        ),
        (
            ["A crab, no, two crabs, mating."],
            {"Brachyura": {"behavior": "mating"}},
        ),
        (
            ["Sablefish in the background, a metre long, and a hagfish in front, half that."],
            {"Anoplopoma fimbria": {"position": "background", "size": f"1 m, {EYE}"}},
        ),
        (
            ["Crab pot on the left. With a crab in it, alive."],
            {"Brachyura": {"vitality": "alive"}},
        ),
        (
            ["There's a cup coral on the overhang, two dots wide."],
            {"Caryophylliidae": {"size": "20 cm, lasers 10 cm apart"}},
        ),
        (
            [
                "Harp sponge. You can tell by the vanes.",
                ("B", "And there's an amphipod clinging to one of the branches."),
            ],
            {
                "Chondrocladia lyra": {"relations": ["host of Amphipoda"]},
                "Amphipoda": {"behavior": "attached", "relations": ["on Chondrocladia lyra"]},
            },
        ),
        (
            ["Not a squid, an octopus. White, swimming off."],
            {"Octopoda": {"colour": "white", "behavior": "swimming"}},
        ),
        (
            ["A sponge, maybe dead."],
            {"Porifera": {"vitality": "uncertain"}},
        ),
        (
            ["the urchins are purple the sea stars are orange and the sponge is white"],
            {"Echinoidea": {"colour": "purple"}, "Asteroidea": {"colour": "orange"}, "Porifera": {"colour": "white"}},
        ),
        (
            ["A sea cucumber, swimming", ("B", "with a white belly")],
            {"Holothuroidea": {"behavior": "swimming"}},
        ),
        (
            ["An isopod crawling up the sea whip.", "Fifteen centimetres. The isopod, I mean."],
            {
                "Isopoda": {
                    "behavior": "crawling",
                    "size": f"15 cm, {EYE}",
                    "relations": ["on Balticina willemoesi"],
                },
                "Balticina willemoesi": {"relations": ["host of Isopoda"]},
            },
        ),
        (
            [
                "ok so there's a thornyhead just sitting there",
                ("B", "he's about twenty five centimetres i'd say bright orange"),
            ],
            {"Sebastolobus": {"behavior": "resting", "size": f"25 cm, {EYE}", "colour": "bright orange"}},
        ),
        (
            ["A king crab, huge, leg span of almost a metre, walking away from us."],
            {"Lithodidae": {"size": f"1 m, {EYE}", "behavior": "walking"}},
        ),
        (
            [
                "There's something pink on the rock to the right.",
                ("B", "An anemone. Polyps retracted."),
            ],
            {"Actiniaria": {"colour": "pink", "position": "right", "behavior": "retracting"}},
        ),
        (
            ["Two snailfish, one swimming, the other one resting on the sponge."],
            {
                "Liparidae": {"behavior": "swimming | resting", "relations": ["on Porifera"]},
                "Porifera": {"relations": ["host of Liparidae"]},
            },
        ),
        (
            ["A jellyfish above us. Transparent, pulsing."],
            {"Scyphozoa": {"colour": "transparent", "behavior": "pumping"}},
        ),
        (
            ["How big is that skate?", ("B", "I'd say eighty centimetres wing tip to wing tip.")],
            {"Rajiformes": {"size": f"80 cm, {EYE}"}},
        ),
        (["A squid. Is it dead? No, it's alive, it just moved."], {"Decapodiformes": {"vitality": "alive"}}),
        (
            ["It's a cat shark egg case on a sea whip."],
            {
                "Selachii": {"life_stage": "egg", "relations": ["on Balticina willemoesi"]},
                "Balticina willemoesi": {"relations": ["host of Selachii"]},
            },
        ),
        (["Vesicomyid clams, some alive, some empty shells."], {"Vesicomyidae": {"vitality": "mixedLot"}}),
        (["I'm not sure whether that sea star is feeding."], {}),
    ],
)
def test_dialogues(hear: Listener, talk: list[Line], said: dict[str, Said]) -> None:
    told = hear(*talk).said()
    for one in told.values():
        one.pop("characters", None)
    assert {name: one for name, one in told.items() if one} == said
