"""Names that stand in the text as the checklist has them."""

from __future__ import annotations

from pathlib import Path

import pytest

from .listed import Listener, listen, write_checklist


@pytest.mark.parametrize(
    ("text", "words", "name", "number"),
    [
        ("there is a glass sponge here", "glass sponge", "Hexactinellida", "singular"),
        ("there are glass sponges here", "glass sponges", "Hexactinellida", "plural"),
        ("GLASS SPONGES ON THE WALL", "GLASS SPONGES", "Hexactinellida", "plural"),
        ("a glass-sponge", "glass-sponge", "Hexactinellida", "singular"),
        ("a Venus's flower basket", "Venus's flower basket", "Euplectellidae", "singular"),
        ("a Venus’s flower basket", "Venus’s flower basket", "Euplectellidae", "singular"),
        ("a venuss flower basket", "venuss flower basket", "Euplectellidae", "singular"),
        ("a bird's-nest sponge", "bird's-nest sponge", "Euplectellidae", "singular"),
        ("a birds nest sponge", "birds nest sponge", "Euplectellidae", "singular"),
        ("a deep sea red crab", "deep sea red crab", "Chaceon affinis", "singular"),
        ("three sea lilies", "sea lilies", "Crinoidea", "plural"),
        ("that is Chaceon affinis again", "Chaceon affinis", "Chaceon affinis", ""),
        ("that is CHACEON AFFINIS again", "CHACEON AFFINIS", "Chaceon affinis", ""),
        ("a hexactinellid", "hexactinellid", "Hexactinellida", "singular"),
        ("some ophiuroids", "ophiuroids", "Ophiuroidea", "plural"),
        ("a small caridean", "caridean", "Caridea", "singular"),
        ("Rossellidae", "Rossellidae", "Rossellidae", ""),
        ("the rossellids", "rossellids", "Rossellidae", "plural"),
        ("a few fish", "fish", "Actinopteri", ""),
    ],
)
def test_a_name_is_found_as_it_is_said(sea: Listener, text: str, words: str, name: str, number: str) -> None:
    mention = sea.one(text)
    assert (mention.text, sea.name(mention.best), mention.best.how) == (words, name, "exact")
    if words != "fish":
        assert mention.best.number == number


@pytest.mark.parametrize(
    ("text", "words", "number"),
    [
        ("the crab's claw is broken", "crab's", "singular"),
        ("the crab’s claw is broken", "crab’s", "singular"),
        ("that crab's moving", "crab's", "singular"),
        ("the crabs' claws are broken", "crabs'", "plural"),
        ("the octopus's arm", "octopus's", "singular"),
        ("Chaceon's legs", "Chaceon's", ""),
    ],
)
def test_a_genitive_is_the_name_and_no_plural(sea: Listener, text: str, words: str, number: str) -> None:
    mention = sea.one(text)
    assert (mention.text, mention.best.number) == (words, number)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("a deep-sea red crab", ["deep-sea red crab"]),
        ("stony coral and black coral", ["stony coral", "black coral"]),
        ("Munida Munida sarsi Munida", ["Munida", "Munida sarsi", "Munida"]),
        ("a glass sponge sponge", ["glass sponge", "sponge"]),
    ],
)
def test_the_longest_name_wins_at_each_place(sea: Listener, text: str, found: list[str]) -> None:
    assert [mention.text for mention in sea.hear(text)] == found


@pytest.mark.parametrize(
    "text",
    ["black, coral", "black. Coral", "black (coral)", "black? coral", "black / coral", "black – coral", "black; coral"],
)
def test_no_name_reaches_over_punctuation(sea: Listener, text: str) -> None:
    assert [name for _, name in sea.names(text)] == ["Anthozoa"]


@pytest.mark.parametrize("text", ["black  coral", "black\ncoral", "black \t coral", "black\u00a0coral"])
def test_any_white_space_parts_words_and_no_names(sea: Listener, text: str) -> None:
    assert sea.names(text) == [(text, "Antipatharia")]


def test_a_synonym_gives_the_accepted_taxon_and_the_name_that_was_said(sea: Listener) -> None:
    best = sea.one("a thicket of Lophelia pertusa").best
    assert (sea.name(best), sea.said(best), best.matched) == (
        "Desmophyllum pertusum",
        "Lophelia pertusa",
        "Lophelia pertusa",
    )


def test_a_vernacular_of_two_families_is_their_lowest_common_taxon_first(sea: Listener) -> None:
    candidates = sea.one("a squat lobster").candidates
    assert [(sea.name(c), c.how) for c in candidates] == [
        ("Galatheoidea", "group"),
        ("Munididae", "exact"),
        ("Munidopsidae", "exact"),
    ]
    group, one, other = (c.score for c in candidates)
    assert group > one == other > 0


def test_the_order_of_the_list_ranks_no_candidates(tmp_path: Path) -> None:
    sea = listen(write_checklist(tmp_path / "upside_down.csv", upside_down=True))
    assert sea.name(sea.one("a squat lobster").best) == "Galatheoidea"
    assert [sea.name(c) for c in sea.one("an octopus").candidates] == ["Octopoda", "Octopodidae"]
    assert sea.name(sea.one("Lophelia pertusa").best) == "Desmophyllum pertusum"


def test_a_vernacular_of_a_taxon_and_one_inside_it_is_the_wider_first(sea: Listener) -> None:
    candidates = sea.one("an octopus").candidates
    assert [(sea.name(c), c.how) for c in candidates] == [("Octopoda", "exact"), ("Octopodidae", "exact")]
    assert candidates[0].score > candidates[1].score


def test_a_vernacular_of_two_phyla_is_shared_out_with_no_group(sea: Listener) -> None:
    candidates = sea.one("a sea gooseberry").candidates
    assert {sea.name(c) for c in candidates} == {"Pleurobrachia pileus", "Dendrodoa grossularia"}
    assert candidates[0].score == candidates[1].score <= 0.5


@pytest.mark.parametrize(
    "text",
    [
        "there is a ray of light on the wall",  # a figure of speech the article cannot tell apart
        "look at that ray",
        "two rays on the sand",
        "four rays on the sand",
        "4 rays on the sand",
        "another sole",
    ],
)
def test_an_ordinary_word_after_an_article_or_a_number_is_an_animal(sea: Listener, text: str) -> None:
    assert len(sea.hear(text)) == 1


@pytest.mark.parametrize(
    "text",
    [
        "Ray is flying the vehicle now",
        "over to you, Ray",
        "our sole purpose is the sample",
        "it is hard to skate on mud",
        "Doris will take the next watch",
        "thank you Doris",
        "wipe the lens please",
        "the lens is dirty",
        "Lens",
        "what an animal",
        "the animals here",
    ],
)
def test_an_ordinary_word_or_a_given_name_is_no_taxon(sea: Listener, text: str) -> None:
    assert sea.hear(text) == ()


@pytest.mark.parametrize(
    "text",
    [
        "just dead coral here",
        "some coral rubble on the slope",
        "Coral Rubble",
        "a bit of coral framework",
        "we lost a crab pot last year",
        "that was a red herring",
        "sponge cake for tea",
        "no glass sponge cake for tea",
    ],
)
def test_a_phrase_that_names_no_animal_is_barred(sea: Listener, text: str) -> None:
    assert sea.hear(text) == ()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("that one is dead. Coral everywhere", ["Coral"]),
        ("the slope is dead, coral on top", ["coral"]),
        ("it is live coral, rubble below", ["coral"]),
        ("dead coral with a crab", ["crab"]),
    ],
)
def test_a_barred_phrase_takes_no_more_than_itself(sea: Listener, text: str, found: list[str]) -> None:
    assert [mention.text for mention in sea.hear(text)] == found


def test_two_words_of_one_token_are_one_mention(sea: Listener) -> None:
    assert sea.names("crab_shrimp") == [("crab_shrimp", "Brachyura")]
