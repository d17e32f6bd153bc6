"""How many: as said beside a name, or alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from earwitness.pipeline.settle import Count, settle
from earwitness.pipeline.settle.counts import MORE_THAN_ONE, ONE, CountBeside, said_with, settled
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
        ("Cidaris cidaris, twenty of them.", "20", "about"),
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
        # Ranges: the middle, rounded up, as about.
        ("three or four crabs", "4", "about"),
        ("ten to fifteen urchins", "13", "about"),
        ("between ten and twenty crinoids", "15", "about"),
        ("two or three hundred brittle stars", "250", "about"),
        # Counted aloud, corrected, in dozens.
        ("Two, three crabs.", "3", "exact"),
        ("crabs, five, six, no, seven of them", "7", "exact"),
        ("two dozen urchins", "24", "exact"),
        ("a few dozen urchins", "dozens", "abundance"),
        ("a hundred crinoids", "100", "exact"),
        ("twenty plus crabs", "20", "at least"),
        ("exactly forty crabs", "40", "exact"),
        ("crinoids, forty of them", "40", "about"),
        # Colonies, specimens, and nouns of many.
        ("three colonies of Desmophyllum", "3", "exact"),
        ("Desmophyllum, four colonies, on the ledge.", "4", "exact"),
        ("Sixth colony, Parantipathes, tall.", "1", "exact"),
        ("A colony of Desmophyllum.", "1", "exact"),
        ("A school of rattails.", "many", "abundance"),
        ("A shoal of rattails over the ridge, maybe forty.", "40", "about"),
        ("a shoal of rattails over the ridge maybe forty", "40", "about"),
        ("a carpet of brittle stars", "many", "abundance"),
        ("One anemone cluster on the rock.", "many", "abundance"),
        ("Loads of urchins.", "many", "abundance"),
        ("These are Munida.", "many", "abundance"),
        ("The red ones there are Munida.", "many", "abundance"),
        ("And the third kind, pale, solitary, Munida.", "1", "exact"),
        ("It is one of those dumbo octopuses.", "1", "exact"),
        ("Stony coral, cup form, pale, six.", "6", "exact"),
        ("The shrimp are five.", "5", "exact"),
        # By the noun alone.
        ("Crab.", "1", "exact"),
        ("A big red crab.", "1", "exact"),
        ("That one is a crab.", "1", "exact"),
        ("Crabs.", "many", "abundance"),
        ("I think that crabs are there.", "many", "abundance"),
        ("how many crabs are there", "many", "abundance"),
        ("one of the crabs", "many", "abundance"),
        # Not a count: a measure, a heading, a part.
        ("The rattails are ten centimetres long.", "many", "abundance"),
        ("Two metres away, crabs.", "many", "abundance"),
        ("Heading two seven zero, crabs.", "many", "abundance"),
        ("heading two seven zero crabs", "many", "abundance"),
        ("at three o'clock crabs", "many", "abundance"),
        ("3.5 crabs", "many", "abundance"),
    ],
)
def test_count(hear: Listener, text: str, quantity: str, kind: str) -> None:
    assert hear(text).counts() == [(quantity, kind)]


@pytest.mark.parametrize(
    "text",
    [
        "Desmophyllum.",
        "Munida, those are.",
        "Heading two seven zero, Munida.",
        "Munida at ten metres.",
        "Sample one, Munida.",
        "sample one munida",
        "Dive twelve, Munida.",
        "Depth one three nine zero, Munida.",
        "Station four, Munida.",
        "Munida, 1390.",
        "Munida, two lasers across.",
        "Munida, eight legs showing.",
    ],
)
def test_a_latin_name_says_no_number(hear: Listener, text: str) -> None:
    assert hear(text).counts() == [None]


@pytest.mark.parametrize("text", ["This is Munida.", "This one is Munida.", "It's Munida, surely.", "that is munida"])
def test_what_is_pointed_at_as_one_is_one(hear: Listener, text: str) -> None:
    assert hear(text).counts() == [("1", "exact")]


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ("Two crabs and three fish.", ["2", "3"]),
        ("two crabs three fish", ["2", "3"]),
        ("Crabs and sponges, about ten.", ["many", "10"]),
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
        (["Crabs.", "About a hundred in this shot, Ines."], Count("100", "about")),
        (["Crabs.", "Three, four of them."], Count("4", "exact")),
        (["Crabs.", "A dense bed of them."], Count("many", "abundance")),
        (["Shrimp.", "Everywhere!"], Count("many", "abundance")),
        (["Crabs.", "And a third one there, that makes three."], Count("3", "exact")),
        # What says something else is no count.
        (["A crab.", "That is a highlight. Seven."], Count("1", "exact")),
        (["A crab.", "Highlight.", "Two.", "Two it is."], Count("1", "exact")),
        (["A crab.", "The pale one?"], Count("1", "exact")),
        (["Crabs.", "Two of them are fighting."], Count("many", "abundance")),
        (["A crab.", "How wide?", "Three."], Count("1", "exact")),
        (["A crab.", "Sample four."], Count("1", "exact")),
        (["Crabs.", "Ten minutes to go."], Count("many", "abundance")),
        (["Crabs.", "Heading zero nine zero."], Count("many", "abundance")),
        (["Crabs.", "Three point five."], Count("many", "abundance")),
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
    assert hear("Crabs.", ("A", "About twenty.", 60.0)).counts() == [("many", "abundance")]


def test_own_quantities_and_turns(hear: Listener, tmp_path: Path) -> None:
    heard = hear("Umpteen crabs.", "Likewise a crab.")
    assert heard.counts() == [("many", "abundance")]
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


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("Ninth colony, flat. Parantipathes.", Count("1", "exact")),
        ("Two colonies ahead. Desmophyllum.", Count("2", "exact")),
        ("Worms in the crevice. Munida.", Count("many", "abundance")),
        ("Reef ahead. Desmophyllum.", Count("many", "abundance")),
        ("Something in the crevice. Munida.", None),
        ("Station four. Munida.", None),
    ],
)
def test_count_announced(hear: Listener, text: str, count: Count | None) -> None:
    (sighting,) = hear(text).sightings
    assert sighting.count == count


def test_a_mass_word_says_no_number_by_itself() -> None:
    assert said_with(None, "singular", "fish") is None
    assert said_with(None, "singular", "crab") == CountBeside(ONE, numbered=False, implied=True)
    said = CountBeside(ONE, numbered=False, implied=True)
    assert said_with(said, "singular", "fish") == said, "a fish is one"


NUMBER = CountBeside(Count("3", "exact"), numbered=True)
FOUR = CountBeside(Count("4", "exact"), numbered=True)
SAID_ONE = CountBeside(ONE, numbered=True)
IMPLIED_ONE = CountBeside(ONE, numbered=False, implied=True)
SAID_MANY = CountBeside(MORE_THAN_ONE, numbered=False)
IMPLIED_MANY = CountBeside(MORE_THAN_ONE, numbered=False, implied=True)


@pytest.mark.parametrize(
    ("held", "said", "alone", "stands"),
    [
        (None, None, False, None),
        (None, NUMBER, False, NUMBER),
        (NUMBER, None, True, NUMBER),
        (IMPLIED_ONE, IMPLIED_MANY, False, IMPLIED_MANY),
        (IMPLIED_MANY, IMPLIED_ONE, False, IMPLIED_MANY),
        (IMPLIED_MANY, SAID_ONE, False, SAID_ONE),
        (SAID_ONE, IMPLIED_MANY, False, SAID_ONE),
        (SAID_ONE, FOUR, False, FOUR),
        (NUMBER, FOUR, False, NUMBER),
        (NUMBER, FOUR, True, FOUR),
        (NUMBER, SAID_MANY, True, NUMBER),
        (SAID_MANY, NUMBER, False, NUMBER),
    ],
)
def test_which_of_two_counts_stands(
    held: CountBeside | None, said: CountBeside | None, alone: bool, stands: CountBeside | None
) -> None:
    assert settled(held, said, alone) == stands
