"""Windows: runs of words that may be one name, and what can be told of them before any name is looked at."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, lru_cache

import numpy as np
import numpy.typing as npt
from wordfreq import zipf_frequency

from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.pipeline.words import word_rows

Window = tuple[int, int]
"""Words [first, last)."""

WIDEST = 6
"""Words of a window: 4% of the development spans have more."""
FEWEST_LETTERS = 4
UNUSUAL = 3.0
"""Zipf frequency below which a word alone may be a bent name. Of 1,788 development sentences this costs no name."""
LESS_COMMON = 4.0
"""Zipf frequency below which a word beside a name that came through may belong to a longer one ("vulcan octopus")."""
COMMON = 4.5
"""Zipf frequency from which on words are too common to be a name: costs 0.4% of the names, a quarter of the time."""
NEIGHBOUR_CLASSES = ("none", "determiner", "copula", "preposition", "pronoun", "other")
LOOKS = (
    "rarestWord",
    "rarity",
    "greatRarity",
    "letters",
    "words",
    "capital",
    "firstWord",
    "lastWord",
    "commas",
)
"""What is told by `looks`: Zipf frequencies (log10 per billion words, package wordfreq) and counts."""


def windows(words: list[SpokenWord], free: list[bool]) -> Iterator[Window]:
    """Every run of one to WIDEST free words of one sentence, letters enough for a name, with an unusual word."""
    zipfs = [zipf(word.key) for word in words]
    for first in range(len(words)):
        letters = 0
        for last in range(first + 1, min(first + WIDEST, len(words)) + 1):
            word = words[last - 1]
            if not free[last - 1] or (word.opens and last > first + 1):
                break
            letters += len(word.key)
            rarest = min(zipfs[first:last])
            if letters >= FEWEST_LETTERS and rarest < (UNUSUAL if last == first + 1 else COMMON):
                yield first, last


def looks(words: list[SpokenWord], of: list[Window]) -> npt.NDArray[np.float64]:
    """How unlike ordinary English the words of each window look, (windows, LOOKS)."""
    zipfs = [zipf(word.key) for word in words]
    rows = []
    for first, last in of:
        inside, frequencies = words[first:last], zipfs[first:last]
        rows.append(
            (
                min(frequencies),
                sum(max(0.0, 6 - frequency) for frequency in frequencies),
                sum(max(0.0, 5 - frequency) for frequency in frequencies),
                sum(len(word.key) for word in inside),
                last - first,
                any(word.capital and not word.opens for word in inside),
                frequencies[0],
                frequencies[-1],
                sum(word.parted for word in inside[1:]),
            )
        )
    return np.array(rows, dtype=np.float64).reshape(len(of), len(LOOKS))


def english_nats(words: list[SpokenWord], window: Window) -> float:
    """Log probability (nats) of the words as independent words of English."""
    return sum((zipf(words[at].key) - 9) * float(np.log(10)) for at in range(*window))


def neighbour_class(words: list[SpokenWord], at: int, sentence_of: int) -> str:
    """The class of the word at a place beside a window whose edge word is `sentence_of`."""
    if not 0 <= at < len(words):
        return "none"
    later = max(at, sentence_of)
    if words[later].opens:
        return "none"
    return _classes().get(words[at].key, "other")


@cache
def _classes() -> dict[str, str]:
    return {row["word"]: row["class"] for row in word_rows("neighbours")}


def is_small(word: SpokenWord) -> bool:
    """Whether a word is of a closed class."""
    return word.key in _classes()


@lru_cache(maxsize=200_000)
def zipf(word: str) -> float:
    """Zipf frequency of a word in English, 0 for one never met."""
    # A token longer than any word would be taken apart by the library at great length.
    return float(zipf_frequency(word, "en")) if len(word) <= 40 else 0.0
