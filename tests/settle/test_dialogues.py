"""Invented dialogues: what several people left an animal with, how many, and under which sign of open nomenclature."""

from __future__ import annotations

import pytest

from earwitness.pipeline.words.terms import certainty_term
from tests.judge.talk import Heard, Listener

Talk = list[str | tuple[str, str] | tuple[str, str, float]]
Left = list[tuple[str, str | None]]


def said(text: str) -> Talk:
    """ "A crab. | B: A shrimp?": captions parted by a bar, a letter before a colon is who speaks, "@20" a silence."""
    talk: Talk = []
    for part in text.split("|"):
        words, who, silence = part.strip(), "A", 1.0
        if words[1:3] == ": ":
            who, words = words[0], words[3:]
        if "@" in words:
            words, seconds = words.rsplit("@", 1)
            silence = float(seconds)
        talk.append((who, words, silence))
    return talk


def left(heard: Heard) -> Left:
    """Name and number of each sighting; a number that is not exact bears its kind."""
    names = zip(heard.names, heard.counts(), strict=True)
    return [(name, count and (count[0] if count[1] == "exact" else " ".join(count))) for name, count in names]


@pytest.mark.parametrize(
    ("talk", "sightings"),
    [
        # More of the same, without a name.
        ("An isopod. | And another one. | Another. | So three of them.", [("Isopoda", "3")]),
        ("A cup coral. | There's another one over there. | Two more on the left.", [("Caryophylliidae", "4")]),
        ("A snail. | B: One more. | And one more behind it.", [("Gastropoda", "3")]),
        ("a brisingid | and another one | and another one so that's three", [("Brisingidae", "3")]),
        ("Two chimaeras. | B: Same again on the right.", [("Chimaeriformes", "3")]),
        ("About ten crinoids. | Two more of those up there.", [("Crinoidea", "12 about")]),
        ("An octopus. | There's another one.@20", [("Octopoda", "2")]),
        ("An octopus. | There's another one.@50", [("Octopoda", "1")]),
        # Another of something else is none.
        ("A snail. | B: Another minute, please.", [("Gastropoda", "1")]),
        ("A snail. | B: Another dropstone.", [("Gastropoda", "1")]),
        ("A snail. | We are on basalt now. | And another one.", [("Gastropoda", "1")]),
        ("A snail. | B: Another one?", [("Gastropoda", "1")]),
        # With its name it is one more, too, unless that was long ago, asked, or is of another sort.
        ("A snail. | B: Another snail, on the rock.", [("Gastropoda", "2")]),
        ("A snail. | A: Another snail. | And another one.", [("Gastropoda", "3")]),
        ("A snail. | A: Another small snail.@50", [("Gastropoda", "1"), ("Gastropoda", "1")]),
        ("A snail. | A: Is that another snail?", [("Gastropoda", "1"), ("Gastropoda", "1")]),
        ("A snail. | A: Another kind of snail.", [("Gastropoda", "1"), ("Gastropoda", "1")]),
        # One of several.
        (
            "Two squat lobsters. | The one on the left is Munida sarsi. | The one on the right is Munida rugosa.",
            [("Munida rugosa", "1"), ("Munida sarsi", "1")],
        ),
        ("Three crabs. | B: The one on the left is a squat lobster.", [("Brachyura", "3"), ("Munididae", "1")]),
        ("Crabs. | B: That one's not a crab, it's a snail.", [("Brachyura", "many abundance"), ("Gastropoda", "1")]),
        # A read-back counts nothing twice.
        ("One urchin. | B: One urchin, copy.", [("Echinoidea", "1")]),
        ("Two octopuses. | B: Octopuses, two. Got it.", [("Octopoda", "2")]),
        ("One urchin. | A: One urchin.", [("Echinoidea", "1"), ("Echinoidea", "1")]),
        ("Look, a squid! | B: Where? | A: There. | B: Oh yes, squid. | C: Squid, logged.", [("Oegopsida", "1")]),
        # A name that refers back to what is sat on.
        ("A tall Walteria. | B: A shrimp on the Walteria.", [("Walteria", "1"), ("Caridea", "1")]),
        (
            "Bathypathes. | B: There's a squat lobster in it. | A: In the Bathypathes, yes.",
            [("Bathypathes", None), ("Munididae", "1")],
        ),
        ("An isopod. | B: Sample that. | A: Got it. | B: The isopod is in the box.@40", [("Isopoda", "1")]),
    ],
)  # fmt: skip
def test_how_many_sightings_of_how_many(hear: Listener, talk: str, sightings: Left) -> None:
    assert left(hear(*said(talk))) == sightings


@pytest.mark.parametrize(
    ("talk", "name"),
    [
        # Confirmed.
        ("A lobster. | B: Nephrops norvegicus? | A: Agreed.", "Nephrops norvegicus"),
        ("A lobster. | B: Maybe Nephrops norvegicus. | A: I'd go along with that.", "Nephrops norvegicus"),
        ("A lobster. | B: Possibly Nephrops norvegicus. | A: Yes.", "Nephrops norvegicus"),
        ("A lobster. | B: Possibly Nephrops norvegicus. | B: Yes.", "Nephropidae"),
        ("A lobster. | B: Is it Nephrops norvegicus? | A: Fair, yes.", "Nephrops norvegicus"),
        ("A lobster. | B: Nephrops norvegicus? | A: Make that species.", "Nephrops norvegicus"),
        ("is that a squid | yes that is it", "Oegopsida"),
        # Refused.
        ("A lobster. | B: Maybe Nephrops norvegicus. | A: It isn't.", "Nephropidae"),
        ("A lobster. | B: Maybe Nephrops norvegicus. | A: Not convinced.", "Nephropidae"),
        ("A lobster. | B: Nephrops norvegicus? | A: No, the claws are too thin.", "Nephropidae"),
        ("A lobster. | B: Nephrops norvegicus? | A: No idea.", "Nephropidae"),
        ("A black coral. | B: Bathypathes? | A: Too bushy. Parantipathes.", "Parantipathes"),
        # Corrected, by whoever falls silent.
        ("A coffinfish. | B: No, that's a rattail. | A: You're right.", "Macrouridae"),
        ("A coffinfish. | B: Nope, rattail. | A: Look at the tail.", "Macrouridae"),
        ("A coffinfish. | B: It isn't, it's a rattail.", "Macrouridae"),
        ("that is a coffinfish | no it is a rattail | yes you are right", "Macrouridae"),
        ("A coffinfish. | B: I thought rattail. | A: No, it's a coffinfish. | B: OK.", "Chaunacidae"),
        ("A coffinfish. Scratch that, it's a rattail.", "Macrouridae"),
        ("A coffinfish. | Change of mind, rattail.", "Macrouridae"),
        ("Is that a crab? | B: That's a squat lobster.", "Munididae"),
        ("Maybe a sponge. | B: It's a sea cucumber.", "Holothuroidea"),
        ("Hydrozoans? Or a sponge. | B: It's a sponge.", "Porifera"),
        ("is that a squid | no its an octopus | agreed octopus | grimpoteuthis i would say", "Grimpoteuthis"),
        # Taken back.
        ("A sea star. A brisingid. | Strike it.", "Asteroidea"),
        ("A sponge. | B: No, a sea cucumber. | B: Scratch that.", "Porifera"),
        ("A crab. | B: That's a rock. | A: No, it's a crab, it moved.", "Brachyura"),
        ("A crab. | B: No, it's a rock. | A: No, it's a crab, it moved.", "Brachyura"),
        # Refined and retreated.
        ("An octopus. | B: A dumbo octopus. | A: Right, a dumbo octopus.", "Grimpoteuthis"),
        ("Munida sarsi. | B: I'd be happier with family.", "Munididae"),
        ("Munida sarsi. | B: Order is as far as I will go.", "Decapoda"),
        ("Munida sarsi. | B: Which family is that?", "Munida sarsi"),
        ("Munida sarsi. | B: The whole family is common here.", "Munida sarsi"),
        ("Munida sarsi. Hard to say.", "Munida"),
        ("Munida sarsi. | B: I can't tell which species.", "Munida"),
        ("A squat lobster. Munida sarsi or Munida rugosa. | B: Genus.", "Munida"),
        ("a squat lobster munida sarsi leave it at genus", "Munida"),
        ("Walteria leuckarti. | B: I'm happy with Walteria.", "Walteria"),
        ("Walteria leuckarti. | B: No, just say glass sponge.", "Hexactinellida"),
        # A word for the group in passing is no retreat.
        ("Walteria leuckarti. | B: So thirty centimetres. Nice glass sponge.", "Walteria leuckarti"),
        # Chosen of two.
        ("Is it Munida sarsi or Munida rugosa? | B: The latter.", "Munida rugosa"),
        ("Is it Munida sarsi or Munida rugosa? | B: The former.", "Munida sarsi"),
        ("Bathypathes or Parantipathes. | B: No, the other one.", "Bathypathes"),
        # Never agreed: the group both accept, or what the logger is told, or the last word.
        ("Munida sarsi. | B: No, Munida rugosa. | A: It is Munida sarsi. | B: It is Munida rugosa.", "Munida"),
        ("Walteria. | B: I'd have said Euplectella. | A: Walteria. | B: I still say Euplectella.", "Euplectellidae"),
        ("Walteria. | B: I'd have said Euplectella. | C: What do I write? | A: Euplectellidae.", "Euplectellidae"),
        ("A crab. | B: No, a snail. | A: It is a crab. | B: It is a snail.", "Gastropoda"),
        ("A crab. | B: I would have said snail. | C: What shall I put? | A: Snail, then.", "Gastropoda"),
        # The same animal named again and again.
        (
            "Sea cucumber. | B: It's moving. | A: Enypniastes eximia. | C: Pelagothuriidae? | A: Enypniastes eximia.",
            "Enypniastes eximia",
        ),
    ],
)  # fmt: skip
def test_the_name_that_the_talk_left(hear: Listener, talk: str, name: str) -> None:
    assert hear(*said(talk)).names == [name]


@pytest.mark.parametrize(
    "talk",
    [
        "A sponge? | B: No wait, it's a rock.",
        "Is that a squid? | B: Just a shadow.",
        "Maybe an octopus. | B: It's a bag.",
        "Maybe an octopus. | B: That's a plastic bag.",
        "A sea cucumber. | B: That's not alive.",
        "An anemone? | It was a fold in the mat.",
        "A snail. Empty, don't count it.",
        "A snail. | B: Forget it, it's an empty shell.",
        "A crab. | B: Don't log that.",
        "A crab. | B: Scratch that.",
        "a crab no wait its a rock",
        "is that a sponge | no thats a lump of clay",
        "Could that be a brittle star? | B: No, it's only a bit of rope.",
        "Munida sarsi. | B: False alarm.",
    ],
)
def test_what_was_no_animal_leaves_no_sighting(hear: Listener, talk: str) -> None:
    heard = hear(*said(talk))
    assert heard.mentions
    assert heard.names == []


@pytest.mark.parametrize(
    ("talk", "name"),
    [
        ("A crab on the left. | It's on a rock.", "Brachyura"),
        ("A crab. | Underneath it is rock.", "Brachyura"),
        ("A crab. | B: That's a rock.", "Brachyura"),
        ("A crab. | B: No rock here, so it walks on sand.", "Brachyura"),
        ("A crab. | The open ones are only shells, don't count those.", "Brachyura"),
        ("A crab. | B: No problem.", "Brachyura"),
    ],
)
def test_a_thing_beside_an_animal_takes_nothing_away(hear: Listener, talk: str, name: str) -> None:
    assert hear(*said(talk)).names == [name]


@pytest.mark.parametrize(
    ("talk", "name", "sign"),
    [
        # Chose to go no lower (stet.), cannot (indet.): Horton et al. 2021.
        ("Munida sarsi. | B: Leave it at genus.", "Munida", "stet."),
        ("Munida. | B: I would not go further.", "Munida", "stet."),
        ("A rattail. | B: Family only.", "Macrouridae", "stet."),
        ("An octopus. | B: Grimpoteuthis? | A: Leave it octopus.", "Octopoda", "stet."),
        ("Munida sarsi. Can't tell which species.", "Munida", "sp. indet."),
        ("Munida. | Species not determined.", "Munida", "sp. indet."),
        ("A rattail. | B: Coryphaenoides rupestris? | A: I can't see the species.", "Macrouridae", "gen. indet."),
        ("A black coral. I can't go lower.", "Antipatharia", "fam. indet."),
        # Named with doubt: the genus stands, the doubted name in the qualifier.
        ("Munida. | Maybe Munida sarsi.", "Munida", "Munida sarsi sp. inc."),
        ("Maybe Munida sarsi.", "Munida", "Munida sarsi sp. inc."),
        ("A glass sponge, Walteria possibly.", "Walteria", "gen. inc."),
        ("Munida. | Maybe Munida sarsi. | B: No.", "Munida", None),
        ("Munida. | Maybe Munida sarsi. | B: Agreed.", "Munida sarsi", None),
        # As said.
        ("Munida sp.", "Munida", "sp."),
        ("Munida sp. | B: Species not determined.", "Munida", "sp. indet."),
        ("Munida sp. indet.", "Munida", "sp. indet."),
        ("Munida cf. sarsi.", "Munida sarsi", "cf."),
        ("Munida aff. sarsi.", "Munida sarsi", "aff."),
        # What was settled later outlives no sign.
        ("Munida. | I can't tell which species. | B: It's Munida sarsi.", "Munida sarsi", None),
        ("Munida sarsi.", "Munida sarsi", None),
        ("Munida.", "Munida", None),
    ],
)
def test_open_nomenclature(hear: Listener, talk: str, name: str, sign: str | None) -> None:
    heard = hear(*said(talk))
    assert [(heard.name(s.row), s.qualifier) for s in heard.sightings] == [(name, sign)]


@pytest.mark.parametrize(
    ("talk", "term"),
    [
        ("A crab. | B: No, a snail. | A: It is a crab. | B: It is a snail.", "possible"),
        ("Munida sarsi. | B: No, Munida rugosa. | A: It is Munida sarsi. | B: It is Munida rugosa.", "certain"),
        ("Munida. | B: I doubt it.", "possible"),
        ("Is that a squid? | B: Exactly.", "certain"),
        ("Probably a squid. | B: Same thing I had.", "certain"),
        ("Is that a squid? | A: You're right, it is close.", "possible"),
    ],
)
def test_how_sure_the_talk_left_it(hear: Listener, talk: str, term: str) -> None:
    assert [certainty_term(s.certainty) for s in hear(*said(talk)).sightings] == [term]


def test_the_chain_of_names_is_kept_in_order(hear: Listener) -> None:
    heard = hear(
        *said(
            "An octopus. | B: Maybe a squid. | A: No, look at the fins. | C: Grimpoteuthis. | B: I'd stop at order.",
        )
    )
    assert heard.steps() == [
        ("named", "Octopoda"),
        ("refined", "Grimpoteuthis"),
        ("retreated", "Octopoda"),
    ]
    assert [d.mention for d in heard.sightings[0].determinations] == [0, 2, 2]


def test_the_last_words_about_it_end_a_sighting(hear: Listener) -> None:
    heard = hear(*said("A snail. | B: And another one. | A: We are moving on."))
    (sighting,) = heard.sightings
    assert heard.doc[sighting.first : sighting.last].text == "snail. And another one."
