"""Sizes: by eye and by lasers, with what is no size of an animal."""

from __future__ import annotations

import pytest

from .talk import Line, Listener, Said

EYE = "estimated by eye"
LASERS = "lasers 10 cm apart"


def of(name: str, size: str, **more: object) -> dict[str, Said]:
    return {name: {"size": size, **more}}


@pytest.mark.parametrize(
    ("talk", "said"),
    [
        # By eye.
        (["A hagfish, about forty centimetres long."], of("Myxinidae", f"40 cm, {EYE}")),
        (["There's a skate. It's about a metre across."], of("Rajiformes", f"1 m, {EYE}")),
        (["Grimpoteuthis. Maybe twenty centimetres."], of("Grimpoteuthis", f"20 cm, {EYE}")),
        (["sablefish roughly sixty centimeters long"], of("Anoplopoma fimbria", f"60 cm, {EYE}")),
        (["A chiton, three to four centimetres."], of("Polyplacophora", f"3.5 cm, {EYE}, 3-4 cm")),
        (
            ["That sea spider is between ten and twelve centimetres across."],
            of("Pycnogonida", f"11 cm, {EYE}, 10-12 cm"),
        ),
        (["An isopod ten fifteen centimetres"], of("Isopoda", f"12.5 cm, {EYE}, 10-15 cm")),
        (["An isopod, 10-15 cm."], of("Isopoda", f"12.5 cm, {EYE}, 10-15 cm")),
        (["Sleeper shark. Two and a half metres long, I'd say."], of("Somniosidae", f"2.5 m, {EYE}")),
        (["A giant grenadier, a metre and a half long."], of("Albatrossia pectoralis", f"1.5 m, {EYE}")),
        (["The bamboo coral stands one metre forty."], of("Keratoisididae", f"1.4 m, {EYE}")),
        (["The sea pen is one metre and twenty centimetres tall."], of("Pennatuloidea", f"1.2 m, {EYE}")),
        (["A black coral, height two metres ten."], of("Antipatharia", f"2.1 m, {EYE}")),
        (["A siphonophore, at least five metres long."], of("Siphonophorae", f"5 m, {EYE}, at least")),
        (["A copepod, no more than three millimetres."], of("Copepoda", f"3 mm, {EYE}, at most")),
        (["A ten centimetre whelk."], of("Buccinidae", f"10 cm, {EYE}")),
        (["I see a two-metre sleeper shark."], of("Somniosidae", f"2 m, {EYE}")),
        (["a snailfish half a metre long"], of("Liparidae", f"0.5 m, {EYE}")),
        (["An octopus, a hundred and twenty centimetres arm span."], of("Octopoda", f"120 cm, {EYE}")),
        (["A sea lily.", ("B", "How tall?"), "Two metres."], of("Hyocrinida", f"2 m, {EYE}")),
        (["Two point five metres of shark, look at that, a sleeper shark."], {}),
        (["A sea cucumber measuring 12.5 cm."], of("Holothuroidea", f"12.5 cm, {EYE}")),
        # Other units: in centimetres, and the method says so.
        (["A rattail, about a foot long."], of("Macrouridae", f"30.48 cm, {EYE}, converted from 1 foot")),
        (["A king crab, ten inches across."], of("Lithodidae", f"25.4 cm, {EYE}, converted from 10 inches")),
        (["An eelpout two feet long"], of("Zoarcidae", f"60.96 cm, {EYE}, converted from 2 feet")),
        # The last size said stands.
        (["A whelk, ten centimetres.", ("B", "No, more like fifteen centimetres.")], of("Buccinidae", f"15 cm, {EYE}")),
        # By lasers.
        (
            ["That sea star is three or four of the ten-centimetre lasers."],
            of("Asteroidea", f"35 cm, {LASERS}, 30-40 cm"),
        ),
        (["The skate is five times the dots, so fifty centimetres."], of("Rajiformes", f"50 cm, {LASERS}")),
        (["The flatfish measures two and a half laser widths."], of("Pleuronectiformes", f"25 cm, {LASERS}")),
        (["Lasers are on. The urchin is eight centimetres by the lasers."], of("Echinoidea", f"8 cm, {LASERS}")),
        (["A basket star, twice the laser spacing."], of("Gorgonocephalidae", f"20 cm, {LASERS}")),
        (["The anemone is about three lasers across"], of("Actiniaria", f"30 cm, {LASERS}")),
        (["The clam just fits between the lasers."], of("Bivalvia", f"10 cm, {LASERS}")),
        (["Half a laser width, that nudibranch."], of("Nudibranchia", f"5 cm, {LASERS}")),
        # The spacing said in the talk comes before the setting; it holds for what was said before, too.
        (
            ["The two dots are thirty centimetres apart.", "The skate is twice the laser spacing."],
            of("Rajiformes", "60 cm, lasers 30 cm apart"),
        ),
        (
            ["The skate is two laser widths.", ("B", "And the lasers are six centimetres apart, by the way.")],
            of("Rajiformes", "12 cm, lasers 6 cm apart"),
        ),
        (
            ["The sea star is three of the five-centimetre lasers."],
            of("Asteroidea", "15 cm, lasers 5 cm apart"),
        ),
    ],
)
def test_sizes(hear: Listener, talk: list[Line], said: dict[str, Said]) -> None:
    assert hear(*talk).said() == said


@pytest.mark.parametrize(
    "talk",
    [
        ["A crab. Depth six hundred and ten metres."],
        ["A crab at eight hundred metres."],
        ["A rattail, two metres off the bottom."],
        ["A rattail about three metres away."],
        ["Snailfish ahead, ten metres."],
        ["An octopus.", ("P", "Coming up two metres.")],
        ["An octopus.", ("P", "Forty metres of tether out.")],
        ["A sponge.", ("P", "There's a wall on the sonar, fifty metres.")],
        ["A sponge on a boulder two metres high."],
        ["The sponge is in ten centimetres of sediment."],
        ["A brisingid. Its arms are thirty centimetres long."],
        ["A sea star the size of a dinner plate."],
        ["An urchin. As big as my fist."],
        ["Is that crab ten centimetres?"],
        ["A crab.", "Is it ten centimetres?"],
        ["It's a crab.", "Not ten centimetres, anyway."],
        ["A sea spider. They can grow to fifty centimetres."],
        ["A sablefish. They grow up to a metre long."],
        ["A crab. Heading two seven zero."],
        ["A crab.", "The two lasers are ten centimetres apart."],
        ["Two crabs and three dots."],
        ["A crab beside a ten centimetre pipe."],
        ["An isopod, a few centimetres."],
        ["Crab. We are at two point five degrees and ten metres from the ship."],
        ["There was a two metre shark here yesterday. A crab."],
    ],
)
def test_no_sizes(hear: Listener, talk: list[Line]) -> None:
    assert [d.size for d in hear(*talk).descriptions] == [None] * len(hear(*talk).descriptions)


def test_sizes_of_two_animals_in_a_sentence(hear: Listener) -> None:
    assert hear("A sea star ten centimetres across next to a twenty centimetre whelk.").said() == {
        "Asteroidea": {"size": f"10 cm, {EYE}"},
        "Buccinidae": {"size": f"20 cm, {EYE}"},
    }


def test_laser_spacing_is_a_setting(hear: Listener) -> None:
    told = hear("The skate is two laser widths.", laser_cm=6.2).said()
    assert told == of("Rajiformes", "12.4 cm, lasers 6.2 cm apart")
