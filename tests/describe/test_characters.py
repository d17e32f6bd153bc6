"""Characters given as reasons for a name."""

from __future__ import annotations

import pytest

from .talk import Line, Listener


@pytest.mark.parametrize(
    ("talk", "name", "characters"),
    [
        (["It's a feather star, you can tell by the pinnules."], "Comatulida", ["the pinnules"]),
        (
            ["A sea star. Look at the branching on the arms. A basket star."],
            "Asteroidea",
            ["the branching on the arms"],
        ),
        (["That's a longspine thornyhead because of the long spines."], "Sebastolobus altivelis", ["the long spines"]),
        (["It's an eelpout judging by the tail"], "Zoarcidae", ["the tail"]),
        (["A king crab, based on the spines on the front."], "Lithodidae", ["the spines on the front"]),
        (["The lyre shape gives it away, harp sponge."], "Chondrocladia lyra", ["The lyre shape"]),
        (["Rattail. Big eyes."], "Macrouridae", ["Big eyes"]),
        (["A shrimp, very long antennae."], "Caridea", ["very long antennae"]),
        (["You can see the ear fins. Dumbo octopus."], "Grimpoteuthis", []),
        (["Grimpoteuthis. You can see the ear fins."], "Grimpoteuthis", ["the ear fins"]),
        (["I can't see the eyes. An eelpout."], "Zoarcidae", []),
        (["An eelpout. I can't see the fins."], "Zoarcidae", []),
        (["An eelpout. Is it the shape of the fins?"], "Zoarcidae", []),
        (["An eelpout. Look at the time."], "Zoarcidae", []),
        (["An eelpout. Look at that crab with the claws."], "Zoarcidae", []),
        (["An eelpout because we are on the mud."], "Zoarcidae", []),
    ],
)
def test_characters(hear: Listener, talk: list[Line], name: str, characters: list[str]) -> None:
    heard = hear(*talk)
    assert list(heard.descriptions[heard.names.index(name)].characters) == characters
