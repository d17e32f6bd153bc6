"""Spelling to sound: the phones an English speaker, or an English synthetic voice, would give letters.

In: any text, best a spoken key (`fold.spoken_key`). Out: ARPAbet phones without stress, one character each (`PHONES`).
Refuses nothing: digits are said one by one, other characters are silent. Common words are looked up, the rest guessed
by the decision trees of `data/letter_trees.csv`, which `tests/learn/letter_sounds.py` teaches and measures.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from string import ascii_lowercase

from earwitness.taxonomy.fold import spoken_key
from earwitness.taxonomy.tables import data_rows

VOWELS = "A@VOWYEReIioqUu"
"""AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW: the vowels of CMUdict, each as one ASCII character."""

_ARPABET = "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW B CH D DH F G HH JH K L M N NG P R S SH T TH V W Y Z ZH"
PHONES: Mapping[str, str] = dict(zip(_ARPABET.split(), VOWELS + "bCdDfghJklmnNprsStTvwyzZ", strict=True))
"""The 39 phones of CMUdict (its file cmudict.phones), each as one ASCII character."""

EDGE = "#"
"""Stands before the first and after the last letter of a word, where a question of a tree looks beyond it."""
REACH = 4
"""Letters to either side that the trees may ask about."""

_DIGITS = {
    ord(digit): f" {word} "
    for digit, word in zip(
        "0123456789", ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"), strict=True
    )
}

_TWICE = re.compile(r"(.)\1+")

SILENT = "_"
QUESTIONS: Mapping[str, tuple[int, str]] = {
    f"{offset}{letter}": (offset, letter)
    for offset in range(-REACH, REACH + 1)
    if offset
    for letter in EDGE + ascii_lowercase
}
"""As written in the trees ("-2e") -> letters to the right (left if negative), and the letter that may stand there."""


@dataclass(frozen=True, slots=True)
class Tree:
    """What one letter says, as questions about its neighbours; a node's number is its place in all three lists.

    The node that follows a question is where "yes" leads.
    """

    offsets: list[int]
    """Where a question looks, in letters to the right; 0 for an answer."""
    letters: list[str]
    """The letter asked about, or the phones answered."""
    otherwise: list[int]
    """Where "no" leads."""


def read_tree(written: str) -> Tree:
    """A tree from its nodes in order, each question before all of its "yes" and then all of its "no" side."""
    nodes = written.split(" ")
    offsets, letters, otherwise = [0] * len(nodes), nodes, [0] * len(nodes)
    roots: list[int] = []
    for at in range(len(nodes) - 1, -1, -1):
        question = QUESTIONS.get(nodes[at])
        if question is None:
            if nodes[at] == SILENT:
                letters[at] = ""
        else:
            offsets[at], letters[at] = question
            roots.pop()
            otherwise[at] = roots.pop()
        roots.append(at)
    return Tree(offsets, letters, otherwise)


@cache
def letter_trees() -> dict[str, Tree]:
    """The learned tree of each letter."""
    return {row["letter"]: read_tree(row["tree"]) for row in data_rows("letter_trees.csv")}


@cache
def _exceptions() -> dict[str, str]:
    return {row["word"]: row["phones"] for row in data_rows("spoken_exceptions.csv")}


def by_letters(word: str, trees: Mapping[str, Tree] | None = None) -> str:
    """Phones of lower-case letters a-z by the trees alone (those of `data/letter_trees.csv` if none are given)."""
    if trees is None:
        trees = letter_trees()
    padded = EDGE * REACH + word + EDGE * REACH
    sounds: list[str] = []
    for middle, letter in enumerate(word, start=REACH):
        tree = trees[letter]
        offsets, letters, otherwise = tree.offsets, tree.letters, tree.otherwise
        node = 0
        while offset := offsets[node]:
            node = node + 1 if padded[middle + offset] == letters[node] else otherwise[node]
        sounds.append(letters[node])
    return "".join(sounds)


def phones(word: str) -> str:
    """Phones of one word ("squid" -> "skwId"): of a common word the dictionary's, of any other by the letters.

    Text that is not one word of letters a-z is pronounced as a key.
    """
    known = _exceptions().get(word)
    if known is not None:
        return known
    if word.isascii() and word.isalpha() and word.islower():
        return by_letters(word)
    return "".join(map(phones, _words(word)))


def pronounce(key: str) -> str:
    """Phones of all words of a spoken key run together, without blanks ("sea pen" -> "sipEn")."""
    return "".join(map(phones, _words(key)))


def pronounce_all(keys: Sequence[str]) -> list[str]:
    """`pronounce` of each key; a word that many keys share is worked out once."""
    said: dict[str, str] = {}
    for word in {word for key in keys for word in _words(key)}:
        said[word] = phones(word)
    return ["".join([said[word] for word in _words(key)]) for key in keys]


_ALIKE = str.maketrans({vowel: "ar" if vowel == "R" else "a" for vowel in VOWELS} | {"z": "s"})


def blurred(said: str) -> str:
    """Phones with vowels alike, the vowel of "bird" as vowel and r, z as s, doubled ones single ("skwId": "skwad").

    What captions get wrong most is the vowels. Measured in `tests/learn/letter_sounds.py`.
    """
    return _TWICE.sub(r"\1", said.translate(_ALIKE))


def _words(key: str) -> list[str]:
    """Words of letters a-z; a digit is written out, whatever has no sound parts two words."""
    words = key.split(" ")
    if all(word.isascii() and word.isalpha() and word.islower() for word in words):
        return words
    spelt = spoken_key(key).translate(_DIGITS).split()
    return [word for word in spelt if word.isascii() and word.isalpha() and word.islower()]
