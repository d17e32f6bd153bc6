"""Spelling to sound: against CMUdict's published phones and pronunciations, Flite's own phones, and any text at all."""

from __future__ import annotations

from string import ascii_lowercase

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from earwitness.taxonomy.pronounce import (
    EDGE,
    PHONES,
    VOWELS,
    blurred,
    by_letters,
    letter_trees,
    phones,
    pronounce,
    pronounce_all,
    read_tree,
)
from earwitness.taxonomy.tables import data_rows

# The file cmudict.phones of the CMU Pronouncing Dictionary 0.7b: phone and manner.
CMUDICT_VOWELS = "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW"
CMUDICT_CONSONANTS = "B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH"


def in_ours(sounds: str) -> str:
    """ARPAbet as CMUdict writes it, in our characters."""
    return "".join(PHONES[sound.rstrip("012")] for sound in sounds.split())


def test_phones_are_those_of_cmudict() -> None:
    assert set(PHONES) == set(f"{CMUDICT_VOWELS} {CMUDICT_CONSONANTS}".split())
    assert len(PHONES) == 39
    assert len(set(PHONES.values())) == 39
    assert all(len(sound) == 1 and sound.isascii() and sound.isprintable() for sound in PHONES.values())
    assert {PHONES[vowel] for vowel in CMUDICT_VOWELS.split()} == set(VOWELS)


# Entries of the CMU Pronouncing Dictionary, first pronunciation.
ENTRIES = {
    "squid": "S K W IH1 D",
    "water": "W AO1 T ER0",
    "through": "TH R UW1",
    "knife": "N AY1 F",
    "psychology": "S AY0 K AA1 L AH0 JH IY0",
    "one": "W AH1 N",
    "chemistry": "K EH1 M AH0 S T R IY0",
    "island": "AY1 L AH0 N D",
}


@pytest.mark.parametrize("word", ENTRIES)
def test_common_words_sound_as_in_cmudict(word: str) -> None:
    assert phones(word) == in_ours(ENTRIES[word])


# What the synthesiser Flite 2.2 (voice kal) prints for words of land animals, plants and fungi, none of which the trees
# were taught: flite -t WORD -ps none, with its ax written as AH.
FLITE_SAYS = {
    "quercus": "K W R K AH S",
    "betulaceae": "B IH T AH L AH S IY",
    "coleoptera": "K OW L IY AA P T EH R AH",
    "passeriformes": "P AE S R IH F AO R M Z",
    "tyrannosaurus": "T AY R AH N AH S AO R AH S",
    "archaeopteryx": "AA R K IY AA P T ER IH K S",
    "orchidaceae": "AO R K IH D AH S IY",
    "rhododendron": "R OW D AH D EH N D R AH N",
    "chrysanthemum": "K R IH S AE N TH AH M AH M",
    "hymenoptera": "HH AY M N AA P T EH R AH",
    "drosophila": "D R AA S AH F IH L AH",
    "arabidopsis": "ER AH B IH D AA P S IH S",
    "thaliana": "TH AA L IY AE N AH",
    "officinale": "AO F AY S AH N AA L IY",
    "formicidae": "F AO R M AH S AH D",
    "araneae": "ER AH N IY",
    "apis": "AE P AH S",
    "mellifera": "M EH L IH F EH R AH",
    "accipitridae": "AE CH IH P IH T R AH D",
    "strigiformes": "S T R AH JH IH F AO R M Z",
    "felidae": "F IY L IY D",
    "ursidae": "ER S AH D",
    "bovidae": "B OW V IY D",
    "mustelidae": "M AA S T IH L AH D",
    "rosaceae": "R OW S EY S IY",
    "pinus": "P AY N AH S",
    "eucalyptus": "Y UW K AH L IH P T AH S",
    "amaryllidaceae": "AE M ER IH L IH D AH S IY",
    "bryophyta": "B R Y AH F AH T AH",
    "sphagnum": "S F AA G N AH M",
    "amanita": "AH M AH N IY T AH",
    "boletus": "B OW L T AH S",
    "psilocybe": "S AY L AH S AY B",
    "saccharomyces": "S AE K ER AA M AY S IH Z",
    "escherichia": "EH SH R CH IY AH",
    "phasianidae": "F EY ZH IY AE N AH D",
    "columbidae": "K AA L AH M B AH D",
    "juniperus": "JH UW N AH P ER AH S",
    "urtica": "ER T IH K AH",
    "fabaceae": "F AA B AH S IY",
    "sativa": "S AA T IY V AH",
    "gryllidae": "G R IH L IH D",
    "blattodea": "B L AE T OW D IY AH",
    "ixodes": "AY K S OW D Z",
}


def test_latin_is_said_as_flite_says_it() -> None:
    said = {word: by_letters(word) for word in FLITE_SAYS}
    right = {word: in_ours(sounds) for word, sounds in FLITE_SAYS.items()}
    edits = sum(Levenshtein.distance(said[word], right[word]) for word in right)
    assert 1 - edits / sum(map(len, right.values())) >= 0.97  # of phones
    assert sum(said[word] == right[word] for word in right) >= 0.85 * len(right)


def test_letters_silent_and_greek() -> None:
    """Initial ps, pn and pt as in psalm, pneumonia, pterodactyl; ph as in phone: English as CMUdict has it."""
    assert phones("psolus").startswith(in_ours("S"))
    assert phones("pneumatophora").startswith(in_ours("N"))
    assert phones("pterois").startswith(in_ours("T"))
    assert in_ours("F") in phones("pneumatophora")


@pytest.mark.parametrize(
    ("word", "sounds"),
    [("cat", "k@t"), ("cot", "kot"), ("at", "@t"), ("tact", "t@kt"), ("cc", "k"), ("cao", "koo"), ("", "")],
)
def test_trees_are_walked_from_question_to_question(word: str, sounds: str) -> None:
    """Hand-made trees: c is silent after a c, a is said o before an o."""
    trees = {"c": read_tree("-1c _ k"), "a": read_tree("1o o @"), "o": read_tree("o"), "t": read_tree("t")}
    assert by_letters(word, trees) == sounds


@pytest.mark.parametrize(("word", "sounds"), [("ce", "s"), ("sce", ""), ("ci", "s"), ("ic", "g"), ("ca", "k")])
def test_a_tree_is_read_yes_before_no(word: str, sounds: str) -> None:
    """A hand-made tree: c is silent between s and e, else s before e and i, g at the end, k elsewhere."""
    mute = dict.fromkeys(ascii_lowercase, read_tree("_"))
    assert by_letters(word, {**mute, "c": read_tree("1e -1s _ s 1i s 1# g k")}) == sounds


@pytest.mark.parametrize("letter", ascii_lowercase)
def test_every_letter_has_a_whole_tree(letter: str) -> None:
    """Every question leads on, no further than the tree goes; every answer is one that the trees were taught."""
    tree = letter_trees()[letter]
    reached = {0}
    for node, offset in enumerate(tree.offsets):
        assert node in reached
        if offset:
            assert tree.letters[node] in EDGE + ascii_lowercase
            reached |= {node + 1, tree.otherwise[node]}
        else:
            assert set(tree.letters[node]) <= set(PHONES.values())
    assert reached == set(range(len(tree.offsets)))


def test_words_run_together() -> None:
    assert pronounce("sea pen") == phones("sea") + phones("pen")
    assert pronounce("  sea   pen ") == pronounce("sea pen")
    assert pronounce("Sea-Pen!") == pronounce("sea pen")


def test_what_is_no_letter() -> None:
    assert pronounce("") == phones("") == ""
    assert pronounce("?! …") == ""
    assert pronounce("type 2b") == pronounce("type two b")
    assert pronounce("Müller") == pronounce("muller")
    assert pronounce("海") == ""


def test_blurred_keeps_consonants_and_beat() -> None:
    assert blurred(in_ours("S K W IH D")) == "skwad"
    assert blurred(in_ours("B ER D Z")) == "bards"
    assert blurred(in_ours("IY AH L L")) == "al"
    assert blurred("") == ""


@given(st.text(max_size=60))
def test_any_text_is_pronounced(text: str) -> None:
    said = pronounce(text)
    assert set(said) <= set(PHONES.values())
    # A character of text becomes at most 18 letters (NFKD of U+FDFA), a digit at most 5.
    assert len(said) <= 2 * 18 * len(text)
    assert pronounce(text) == said
    assert set(phones(text)) <= set(PHONES.values())


@given(st.text("abcdefghijklmnopqrstuvwxyz", min_size=1, max_size=40))
def test_letters_say_two_phones_at_most_each(word: str) -> None:
    """So the trees were taught; exceptions may say more ("w" is "double u")."""
    assert len(by_letters(word)) <= 2 * len(word)


@given(st.lists(st.text("abc 1é", max_size=12), max_size=8))
def test_a_list_is_pronounced_as_its_keys_are(keys: list[str]) -> None:
    assert pronounce_all(keys) == [pronounce(key) for key in keys]


def test_a_very_long_word_is_pronounced() -> None:
    assert len(phones("bathy" * 2000)) > 2000


def test_exceptions_use_the_published_phones() -> None:
    assert {sound for row in data_rows("spoken_exceptions.csv") for sound in row["phones"]} <= set(PHONES.values())


def test_exceptions_differ_from_what_the_trees_say() -> None:
    rows = data_rows("spoken_exceptions.csv")
    assert len({row["word"] for row in rows}) == len(rows)
    assert not [row["word"] for row in rows if by_letters(row["word"]) == row["phones"]]
