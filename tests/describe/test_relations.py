"""Hosts and associates: relations between two sightings, noted on both."""

from __future__ import annotations

import pytest

from .talk import Line, Listener

A = tuple[str, str, str]


@pytest.mark.parametrize(
    ("talk", "relations"),
    [
        (["A squat lobster in the black coral."], [("Galatheoidea", "in", "Antipatharia")]),
        (
            ["There's a brittle star sitting in the branches of the bamboo coral."],
            [("Ophiuroidea", "in", "Keratoisididae")],
        ),
        (["A basket star on top of the sponge."], [("Gorgonocephalidae", "on", "Porifera")]),
        (["A snailfish hiding under a sea star."], [("Liparidae", "under", "Asteroidea")]),
        (["a shrimp clinging to a sea pen"], [("Caridea", "on", "Pennatuloidea")]),
        (["Glass sponge. There's a shrimp on it."], [("Caridea", "on", "Hexactinellida")]),
        (["Glass sponge.", ("B", "And two crabs in it.")], [("Brachyura", "in", "Hexactinellida")]),
        (["A sea fan with its brittle star."], [("Octocorallia", "with", "Ophiuroidea")]),
        (["A sea fan. With its brittle star."], [("Octocorallia", "with", "Ophiuroidea")]),
        (["A black coral. Nestled in the base, one squat lobster."], [("Galatheoidea", "in", "Antipatharia")]),
        (["One amphipod associated with the harp sponge."], [("Amphipoda", "with", "Chondrocladia lyra")]),
        (["Associated with the harp sponge, one amphipod."], [("Amphipoda", "with", "Chondrocladia lyra")]),
        (["A jellyfish. It's got a passenger.", ("B", "That's an amphipod.")], [("Amphipoda", "on", "Scyphozoa")]),
        (["A sea pen.", ("B", "What's that on the stalk?"), "A brisingid."], [("Brisingida", "on", "Pennatuloidea")]),
        (["A primnoid. Something in the branches. A snail."], [("Gastropoda", "in", "Primnoidae")]),
        (["On the bubblegum coral, a basket star."], [("Gorgonocephalidae", "on", "Paragorgia")]),
        (["On the bubblegum coral there is a basket star."], [("Gorgonocephalidae", "on", "Paragorgia")]),
        (["A crab and a shrimp on the sponge."], [("Brachyura", "on", "Porifera"), ("Caridea", "on", "Porifera")]),
        (["A hermit crab carrying an anemone."], [("Paguroidea", "holding", "Actiniaria")]),
        (["A sunflower star eating an urchin."], [("Pycnopodia helianthoides", "eating", "Echinoidea")]),
        (["A sponge covered in brittle stars."], [("Porifera", "host of", "Ophiuroidea")]),
        (["Mussels with scale worms inside."], [("Polynoidae", "in", "Mytilidae")]),
        (["A sponge. A hydroid. It's on the sponge."], [("Hydrozoa", "on", "Porifera")]),
        (["A basket star. It's on a bubblegum coral."], [("Gorgonocephalidae", "on", "Paragorgia")]),
        (["Feather stars, three, on the fan of the primnoid."], [("Comatulida", "on", "Primnoidae")]),
        (["bamboo coral and a snail on it"], [("Gastropoda", "on", "Keratoisididae")]),
        # Neighbours are no associates.
        (["A red crab next to a white sponge."], []),
        (["A crab on the rock behind a sponge."], []),
        (["A skate above a sea cucumber."], []),
        (["A crab on the left and a sponge on the right."], []),
        (["A crab on the sand. A sponge."], []),
        (["A crab and then on the wall a sponge"], []),
        # Not said, not so.
        (["Is there a shrimp on that sponge?"], []),
        (["A crab, not on the sponge."], []),
        (["Brittle stars live on sea fans. A crab."], []),
        (["A crab like the one on the sponge yesterday."], []),
        (["A sponge.", ("B", "A shrimp on it.", 40.0)], []),
        (["A sponge. No passengers. A shrimp."], []),
    ],
)
def test_relations(hear: Listener, talk: list[Line], relations: list[A]) -> None:
    inverse = {
        "on": "host of",
        "in": "host of",
        "with": "with",
        "under": "over",
        "holding": "held by",
        "eating": "eaten by",
        "host of": "on",
    }
    heard = hear(*talk)
    told = {
        (name, relation.kind, heard.names[relation.other])
        for name, description in zip(heard.names, heard.descriptions, strict=True)
        for relation in description.relations
    }
    assert told == {*relations, *((other, inverse[kind], name) for name, kind, other in relations)}
