"""Mentions joined into sightings: one animal, one sighting, under the name the talk left it with."""

from __future__ import annotations

import pytest

from earwitness.pipeline.settle import SettleSettings, settle
from tests.judge.talk import Listener

Said = str | tuple[str, str] | tuple[str, str, float]


def test_an_animal_named_five_times_is_one_sighting(hear: Listener) -> None:
    heard = hear("A crab.", "The crab is walking.", ("B", "That crab again."), "Nice crab.", "crab")
    (sighting,) = heard.sightings
    assert sighting.mentions == (0, 1, 2, 3, 4)
    assert (sighting.first, sighting.last) == (heard.mentions[0].start, heard.mentions[4].end)
    assert heard.steps() == [("named", "Brachyura")]
    assert heard.counts() == [("1", "exact")]


@pytest.mark.parametrize(
    ("talk", "names", "steps"),
    [
        # Refined: a finer name said as probable at least.
        (["A sea star.", "It's a brisingid."], ["Brisingidae"], [("named", "Asteroidea"), ("refined", "Brisingidae")]),
        (
            ["A sea star.", "Probably a brisingid."],
            ["Brisingidae"],
            [("named", "Asteroidea"), ("refined", "Brisingidae")],
        ),
        # A doubtful finer name is only offered.
        (
            ["A lobster.", "It might be Nephrops norvegicus."],
            ["Nephropidae"],
            [("named", "Nephropidae"), ("offered", "Nephrops norvegicus")],
        ),
        # A higher word said of it in passing changes nothing.
        (["Munida sarsi.", "Look at that squat lobster."], ["Munida sarsi"], [("named", "Munida sarsi")]),
        # Retreated.
        (["Munida sarsi.", ("B", "Put Munida.")], ["Munida"], [("named", "Munida sarsi"), ("retreated", "Munida")]),
        (["Munida sarsi.", ("B", "Genus only.")], ["Munida"], [("named", "Munida sarsi"), ("retreated", "Munida")]),
        (
            ["Desmophyllum pertusum.", ("B", "Leave it at family.")],
            ["Caryophylliidae"],
            [("named", "Desmophyllum pertusum"), ("retreated", "Caryophylliidae")],
        ),
        (["A sea star.", ("B", "Genus only.")], ["Asteroidea"], [("named", "Asteroidea")]),
        # Corrected.
        (
            ["That's a sponge.", ("B", "No, it's a sea cucumber."), "Yes."],
            ["Holothuroidea"],
            [("named", "Porifera"), ("corrected", "Holothuroidea")],
        ),
        (
            ["that's a sponge", ("B", "no it's a sea cucumber")],
            ["Holothuroidea"],
            [("named", "Porifera"), ("corrected", "Holothuroidea")],
        ),
        (["A sponge? No, a sea cucumber."], ["Holothuroidea"], [("named", "Porifera"), ("corrected", "Holothuroidea")]),
        (
            ["A sponge.", ("B", "Not a sponge, a sea cucumber.")],
            ["Holothuroidea"],
            [("named", "Porifera"), ("retracted", "Porifera"), ("corrected", "Holothuroidea")],
        ),
        # Gone back to.
        (
            ["A sponge.", ("B", "Actually a sea cucumber."), ("A", "It is a sponge.")],
            ["Porifera"],
            [("named", "Porifera"), ("corrected", "Holothuroidea"), ("corrected", "Porifera")],
        ),
        # Alternatives: the group above both stands, until one is refused.
        (
            ["That is Bathypathes or Parantipathes."],
            ["Schizopathidae"],
            [("named", "Bathypathes"), ("alternative", "Parantipathes")],
        ),
        (
            ["Could be a crab, could be a shrimp."],
            ["Decapoda"],
            [("named", "Brachyura"), ("alternative", "Caridea")],
        ),
        (
            ["Bathypathes or Parantipathes.", ("B", "Not Parantipathes.")],
            ["Bathypathes"],
            [
                ("named", "Bathypathes"),
                ("alternative", "Parantipathes"),
                ("retracted", "Parantipathes"),
                ("confirmed", "Bathypathes"),
            ],
        ),
        # A list of names says none of them for sure.
        (
            ["Munida sarsi, Munida rugosa."],
            ["Munida"],
            [("named", "Munida sarsi"), ("alternative", "Munida rugosa")],
        ),
        # A question about "it" is about the animal just named, however unlike.
        (["A sponge.", ("B", "Is it a crab?")], ["Porifera"], [("named", "Porifera"), ("offered", "Brachyura")]),
        # A less sure name beside a surer one is only offered.
        (
            ["Bathypathes.", ("B", "Or Parantipathes?")],
            ["Bathypathes"],
            [("named", "Bathypathes"), ("offered", "Parantipathes")],
        ),
        # Asked, and answered.
        (["Is it a squid?", ("B", "Yes.")], ["Oegopsida"], [("named", "Oegopsida"), ("confirmed", "Oegopsida")]),
        (["Is it a squid?", ("B", "It is.")], ["Oegopsida"], [("named", "Oegopsida"), ("confirmed", "Oegopsida")]),
        (
            ["Is it a squid?", ("B", "It is a squid.")],
            ["Oegopsida"],
            [("named", "Oegopsida"), ("confirmed", "Oegopsida")],
        ),
        (["Is it a squid?", ("B", "It is huge.")], ["Oegopsida"], [("named", "Oegopsida")]),
        (
            ["Is it a squid?", ("B", "No, it's an octopus.")],
            ["Octopoda"],
            [("named", "Oegopsida"), ("corrected", "Octopoda")],
        ),
        (
            ["A lobster.", ("B", "Is it Nephrops norvegicus?"), "Yes."],
            ["Nephrops norvegicus"],
            [("named", "Nephropidae"), ("offered", "Nephrops norvegicus"), ("confirmed", "Nephrops norvegicus")],
        ),
        (
            ["A lobster.", ("B", "Is it Nephrops norvegicus?"), "No."],
            ["Nephropidae"],
            [("named", "Nephropidae"), ("offered", "Nephrops norvegicus"), ("retracted", "Nephrops norvegicus")],
        ),
        # A species refused leaves what it was called before.
        (
            ["Munida.", "It's Munida sarsi.", ("B", "That's not Munida sarsi.")],
            ["Munida"],
            [("named", "Munida"), ("refined", "Munida sarsi"), ("retracted", "Munida sarsi")],
        ),
        # A word that ends a vernacular of one taxon and is a group elsewhere.
        (
            ["That is a lobster.", ("B", "It's a Cape jagged lobster.")],
            ["Projasus parkeri"],
            [("named", "Nephropidae"), ("refined", "Projasus parkeri")],
        ),
        (["A Cape jagged lobster.", ("B", "Nice lobster.")], ["Projasus parkeri"], [("named", "Projasus parkeri")]),
        # Absence takes back nothing that was stated.
        (["A crab.", "No other crabs here."], ["Brachyura"], [("named", "Brachyura")]),
    ],
)
def test_one_sighting(hear: Listener, talk: list[Said], names: list[str], steps: list[tuple[str, str]]) -> None:
    heard = hear(*talk)
    assert heard.names == names
    assert heard.steps() == steps


@pytest.mark.parametrize(
    ("talk", "names"),
    [
        (["A crab and a sponge."], ["Brachyura", "Porifera"]),
        (["a crab on a sponge"], ["Brachyura", "Porifera"]),
        (["A crab and a shrimp, I think."], ["Brachyura", "Caridea"]),
        (["A crab.", "Another kind of crab."], ["Brachyura", "Brachyura"]),
        (["A crab.", "The other one is a crab too."], ["Brachyura", "Brachyura"]),
        (["Not only a crab, an isopod too."], ["Brachyura", "Isopoda"]),
        (["One crinoid.", "Three crinoids."], ["Crinoidea", "Crinoidea"]),
        (["Munida sarsi.", "Munida rugosa."], ["Munida sarsi", "Munida rugosa"]),
        # A "no" corrects the name it is said of, and none of those behind.
        (
            ["A sponge.", ("B", "No, that's a crab. There is also a snail. And a fish.")],
            ["Brachyura", "Gastropoda", "Actinopterygii"],
        ),
        # A denial of one animal leaves another.
        (["A crab.", "A squid.", "That's not a squid."], ["Brachyura"]),
    ],
)
def test_several_sightings(hear: Listener, talk: list[Said], names: list[str]) -> None:
    assert hear(*talk).names == names


@pytest.mark.parametrize(
    "talk",
    [
        ["No crabs today."],
        ["That's not a sponge."],
        ["I don't think that is a crab."],
        ["It is shaped like a crab."],
        ["Yesterday we saw a squid."],
        ["Octopuses often eat crabs."],
        ["Keep an eye out for isopods."],
        ["It's a sponge.", ("B", "That's not a sponge.")],
        ["Is it a squid?", ("B", "No.")],
        ["Maybe a squid.", ("B", "I don't think so.")],
        ["Is it a squid?", ("B", "No squid.")],
        ["nothing but water"],
    ],
)
def test_no_sighting(hear: Listener, talk: list[Said]) -> None:
    assert hear(*talk).sightings == ()


def test_a_no_to_something_else_takes_back_nothing(hear: Listener) -> None:
    assert hear("Is it a squid?", "Shall we move on?", ("B", "No.")).names == ["Oegopsida"]
    assert hear("A squid.", ("B", "No.")).names == ["Oegopsida"], "a statement is not taken back by a bare no"


@pytest.mark.parametrize(
    ("talk", "certainty", "said"),
    [
        (["A crab."], 0.95, 0),
        (["Probably a crab."], 0.75, 0),
        (["Is that a crab?"], 0.4, 0),
        (["Is that a crab?", ("B", "Yes.")], 0.95, 0),
        (["Maybe a crab.", "It is a crab."], 0.95, 1),
        (["A crab.", "Probably a crab."], 0.75, 1),
        (["Definitely a crab.", "A crab."], 0.98, 0),
        (["A sea star.", "Probably a brisingid."], 0.75, 1),
        (["A lobster.", "It might be Nephrops norvegicus."], 0.95, 0),
        (["Bathypathes or Parantipathes."], 0.9, 0),
    ],
)
def test_certainty_of_the_name_that_stands(hear: Listener, talk: list[Said], certainty: float, said: int) -> None:
    (sighting,) = hear(*talk).sightings
    assert (sighting.certainty, sighting.said) == (certainty, said)


def test_determinations_keep_their_mention_and_certainty(hear: Listener) -> None:
    (sighting,) = hear("Maybe a sponge.", ("B", "No, it's a sea cucumber.")).sightings
    assert [(d.mention, d.step, d.certainty) for d in sighting.determinations] == [
        (0, "named", 0.45),
        (1, "corrected", 0.95),
    ]


def test_qualifier_of_the_name_that_stands(hear: Listener) -> None:
    assert [s.qualifier for s in hear("Munida cf. sarsi.").sightings] == ["cf."]
    assert [s.qualifier for s in hear("Munida sp.", "It's Munida sarsi.").sightings] == [None]


@pytest.mark.parametrize(
    ("silence", "first", "second", "sightings"),
    [
        # A name said again, or its genus or species, joins for longer than a group word does.
        (25.0, "A crab.", "A crab.", 1),
        (35.0, "A crab.", "A crab.", 2),
        (25.0, "Munida.", "Munida sarsi.", 1),
        (10.0, "Munida sarsi.", "The squat lobster.", 1),
        (20.0, "Munida sarsi.", "The squat lobster.", 2),
        # A correction answers what was said just before.
        (5.0, "A sponge.", "No, it's a crab.", 1),
        (15.0, "A sponge.", "No, it's a crab.", 2),
    ],
)
def test_how_long_talk_of_one_animal_may_pause(
    hear: Listener, silence: float, first: str, second: str, sightings: int
) -> None:
    assert len(hear(first, ("A", second, silence)).sightings) == sightings


def test_pauses_can_be_set(hear: Listener) -> None:
    heard = hear("A crab.", ("A", "A crab.", 35.0))
    patient = settle(heard.doc, heard.mentions, heard.judgements, heard.checklist, SettleSettings(same_taxon=60.0))
    assert (len(heard.sightings), len(patient)) == (2, 1)


def test_a_name_said_again_speaks_of_the_latest(hear: Listener) -> None:
    heard = hear("A crab.", "Another kind of crab.", "The crab is red.")
    assert [sighting.mentions for sighting in heard.sightings] == [(0,), (1, 2)]


def test_nothing_said_nothing_seen(hear: Listener) -> None:
    assert hear().sightings == ()
    assert hear("We are descending.").sightings == ()
