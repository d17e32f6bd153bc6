"""Folding: text to bare letters, letters to rough sound classes, so that a name and what a caption made of it meet.

A rough ear, not a phonology: spellings said alike in English-spoken Latin become one, vowels become one class in the
skeleton. The rules are literal replacements in `data/folds.csv`, applied in the file's order.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from earwitness.taxonomy.tables import data_rows

_NOT_A_WORD = re.compile(r"[^a-z0-9\n]+")
_VOWELS = re.compile("[aeiou]+")
_TWICE = re.compile(r"([a-z])\1+")
_APOSTROPHES = dict.fromkeys(map(ord, "'’‘ʼʻ"))
_LETTERS = str.maketrans({"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "ł": "l", "ı": "i"})
"""Letters that Unicode does not take apart: ligatures written out, marks dropped (as ICZN Code, article 32.5.2, from
memory, does in names)."""


def spoken_key(text: str) -> str:
    """Lower-case words parted by one blank: accents, apostrophes and hyphens gone ("Bird's-nest" -> "birds nest").

    Line breaks stay, so that a whole list can be keyed in one call.
    """
    text = text.translate(_APOSTROPHES)
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text).translate(_APOSTROPHES)
        text = "".join(c for c in text if not unicodedata.combining(c)).lower().translate(_LETTERS)
    return _NOT_A_WORD.sub(" ", text.lower()).strip(" ")


def has_letters(key: str) -> bool:
    """Whether a spoken key has letters a-z, which is all that names are compared by."""
    return any("a" <= char <= "z" for char in key)


@cache
def _folds() -> tuple[tuple[str, str], ...]:
    return tuple((row["letters"], row["folded"]) for row in data_rows("folds.csv"))


def letters_of(key: str) -> str:
    """A spoken key without its blanks: where a word ends is what captions get wrong first."""
    return key.replace(" ", "")


def fold(letters: str) -> str:
    """Bare lower-case letters to sound classes, doubled letters single ("chaceon" -> "kaseon")."""
    for spelling, sound in _folds():
        letters = letters.replace(spelling, sound)
    return _TWICE.sub(r"\1", letters)


def skeleton(folded: str) -> str:
    """Folded letters with every run of vowels written as one "a": the consonants and the beat."""
    return _VOWELS.sub("a", folded)
