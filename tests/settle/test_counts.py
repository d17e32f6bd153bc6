"""How many: as said beside a name, or alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from earwitness.pipeline.settle import Count, settle
from earwitness.schemas import InputError
from tests.judge.talk import Listener


@pytest.mark.parametrize(
    ("text", "quantity", "kind"),
    [
        # In front of the name.
        ("Three crabs.", "3", "exact"),
        ("12 crabs", "12", "exact"),
        ("1,200 urchins", "1200", "exact"),
        ("two big red crabs", "2", "exact"),
        ("twenty-five crinoids", "25", "exact"),
        ("one hundred and five crinoids", "105", "exact"),
        ("one thousand two hundred and thirty-four urchins", "1234", "exact"),
        ("At ten, four crabs.", "4", "exact"),
        ("half a dozen urchins", "6", "exact"),
        ("A pair of crabs.", "2", "exact"),
        ("Three fish.", "3", "exact"),
        ("Two shrimp on the rock.", "2", "exact"),
        # Behind it.
        ("crabs, three of them", "3", "exact"),
        ("Crinoids, two, on the fan.", "2", "exact"),
        ("Cidaris cidaris, twenty of them.", "20", "exact"),
        # About, and at least.
        ("About twenty crabs.", "20", "about"),
        ("some twenty crabs", "20", "about"),
        ("ten or so crabs", "10", "about"),
        ("About a dozen urchins.", "12", "about"),
        ("crinoids, roughly a dozen", "12", "about"),
        ("a couple of crabs", "2", "about"),
        ("At least five crinoids.", "5", "at least"),
        ("more than ten crabs", "10", "at least"),
        # In words.
        ("Lots of crinoids.", "many", "abundance"),
        ("a lot of crinoids", "many", "abundance"),
        ("crinoids everywhere", "many", "abundance"),
        ("so many crabs", "many", "abundance"),
        ("There are several sponges.", "several", "abundance"),
        ("a few crabs", "few", "abundance"),
        ("not many crabs", "few", "abundance"),
        ("hundreds of brittle stars", "hundreds", "abundance"),
        # By the noun alone.
        ("Crab.", "1", "exact"),
        ("A big red crab.", "1", "exact"),
        ("That one is a crab.", "1", "exact"),
        ("Crabs.", "more than one", "abundance"),
        ("I think that crabs are there.", "more than one", "abundance"),
        ("how many crabs are there", "more than one", "abundance"),
        ("one of the crabs", "more than one", "abundance"),
        # Not a count: a measure, a heading, a part.
        ("The rattails are ten centimetres long.", "more than one", "abundance"),
        ("Two metres away, crabs.", "more than one", "abundance"),
        ("Heading two seven zero, crabs.", "more than one", "abundance"),
        ("heading two seven zero crabs", "more than one", "abundance"),
        ("at three o'clock crabs", "more than one", "abundance"),
        ("3.5 crabs", "more than one", "abundance"),
    ],
)
def test_count(hear: Listener, text: str, quantity: str, kind: str) -> None:
    assert hear(text).counts() == [(quantity, kind)]


@pytest.mark.parametrize(
    "text",
    [
        "Desmophyllum.",
        "This is Munida.",
        "This one is Munida.",
        "Heading two seven zero, Munida.",
        "Munida at ten metres.",
    ],
)
def test_a_latin_name_says_no_number(hear: Listener, text: str) -> None:
    assert hear(text).counts() == [None]


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ("Two crabs and three fish.", ["2", "3"]),
        ("two crabs three fish", ["2", "3"]),
        ("Crabs and sponges, about ten.", ["more than one", "10"]),
        ("Five crabs and some Munida.", ["5", None]),
        ("A crab and many sponges.", ["1", "many"]),
        ("A crab, three sponges.", ["1", "3"]),
        ("a crab three sponges", ["1", "3"]),
        ("Crabs, lots of them, on a sponge.", ["many", "1"]),
        ("Crinoids, two, and a crab.", ["2", "1"]),
    ],
)
def test_a_count_never_reaches_over_another_name(hear: Listener, text: str, counts: list[str | None]) -> None:
    found = hear(text).sightings
    assert [sighting.count.quantity if sighting.count else None for sighting in found] == counts


@pytest.mark.parametrize(
    ("talk", "count"),
    [
        (["Crabs.", "About twenty."], Count("20", "about")),
        (["Crabs.", "So three of them."], Count("3", "exact")),
        (["Crabs.", "Two. No, three."], Count("3", "exact")),
        (["Three crabs.", "No, four."], Count("4", "exact")),
        (["Crinoids.", "Roughly a dozen."], Count("12", "about")),
        (["Crabs.", "Lots."], Count("many", "abundance")),
        # What says something else is no count.
        (["Crabs.", "Ten minutes to go."], Count("more than one", "abundance")),
        (["Crabs.", "Heading zero nine zero."], Count("more than one", "abundance")),
        (["Crabs.", "Three point five."], Count("more than one", "abundance")),
        # A number said with the name later replaces one, and one never replaces a number.
        (["Crabs.", "Two crabs."], Count("2", "exact")),
        (["Three crabs.", "Crabs everywhere."], Count("3", "exact")),
        (["Three crabs.", "This crab is big."], Count("3", "exact")),
    ],
)
def test_count_said_afterwards(hear: Listener, talk: list[str], count: Count) -> None:
    (sighting,) = hear(*talk).sightings
    assert sighting.count == count


def test_a_count_long_afterwards_counts_something_else(hear: Listener) -> None:
    assert hear("Crabs.", ("A", "About twenty.", 60.0)).counts() == [("more than one", "abundance")]


def test_own_quantities_and_turns(hear: Listener, tmp_path: Path) -> None:
    heard = hear("Umpteen crabs.", "Likewise a crab.")
    assert heard.counts() == [("more than one", "abundance")]
    (tmp_path / "quantities.csv").write_text("phrase,quantity,kind,source\numpteen,many,abundance,ours\n", "utf-8")
    (tmp_path / "turns.csv").write_text("phrase,role,source\nlikewise,new,ours\n", "utf-8")
    found = settle(heard.doc, heard.mentions, heard.judgements, heard.checklist, own_words=tmp_path)
    assert [sighting.count for sighting in found] == [Count("many", "abundance"), Count("1", "exact")]


@pytest.mark.parametrize(
    ("name", "text", "reason"),
    [
        ("quantities.csv", "phrase,quantity,kind,source\noodles,many,heaps,ours\n", "kind 'heaps' is not known"),
        ("quantities.csv", "phrase,quantity,kind,source\noodles,many,exact,ours\n", "'many' is no whole number"),
        ("turns.csv", "phrase,role,source\nlikewise,same,ours\n", "role 'same' is not known"),
    ],
)
def test_own_lists_are_checked(hear: Listener, tmp_path: Path, name: str, text: str, reason: str) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    heard = hear("A crab.")
    with pytest.raises(InputError, match=reason) as refused:
        settle(heard.doc, heard.mentions, heard.judgements, heard.checklist, own_words=tmp_path)
    assert (refused.value.problem.file, refused.value.problem.line) == (str(tmp_path / name), 2)
