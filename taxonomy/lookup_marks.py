"""Which characters of a name were typed: a name as written and folded words come in, stretches of it go out.

Marks and ligatures are folded as names are, letter by letter, so that a stretch is always one of the written name.
Refuses nothing; a word that is in the name in no form is not marked.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence

from rapidfuzz.distance import Levenshtein, Prefix

from earwitness.taxonomy.fold import spoken_key

_APOSTROPHES = frozenset("'’‘ʼʻ")
Spans = tuple[tuple[int, int], ...]


def marks(text: str, tokens: Sequence[str], exactly: bool = True) -> Spans:
    """Stretches [begin, end) of a name for words typed, in order.

    Args:
        text: the name.
        tokens: the words, folded.
        exactly: mark only letters that are as typed; otherwise as many as were typed of the word that is nearest.
    """
    words = list(_words(text))
    spans, next_word = [], 0
    for token in tokens:
        best, most = None, 0
        for place in range(next_word, len(words)):
            letters = words[place][0]
            alike = Prefix.similarity(token, letters)
            if not exactly:
                alike = max(alike, len(token) - Levenshtein.distance(token, letters[: len(token)]))
            if alike > most:
                best, most = place, alike
        if best is None:
            continue
        letters, places = words[best]
        last = (most if exactly else min(len(token), len(letters))) - 1
        spans.append((places[0], places[last] + 1))
        next_word = best + 1
    return tuple(spans)


def _words(text: str) -> Iterator[tuple[str, list[int]]]:
    """The folded words of a name, with the character that each letter came from."""
    letters, places = "", list[int]()
    for place, char in enumerate(text):
        folded = (char.lower() if char.isalnum() else "") if char.isascii() else spoken_key(char)
        if folded:
            letters += folded
            places += [place] * len(folded)
        elif letters and char not in _APOSTROPHES and not unicodedata.combining(char):
            yield letters, places
            letters, places = "", []
    if letters:
        yield letters, places
