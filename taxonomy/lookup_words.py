"""The words of all names in alphabetical order: what begins like this, and what nearly does.

In: the spoken keys of an index. Out: places (a name and which of its words) whose text from there on begins with some
letters, and how many wrong letters each word would need to begin so. Refuses nothing.

One sorted list of the ends of names serves every prefix search: "sar", "sarsi" and "munida sar" are each one stretch
of it, found by bisection. Near words are counted by Myers' bit-parallel edit distance (1999), for all words at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from earwitness.taxonomy.mapped import Strings

LONGEST_END = 40
"""Letters by which ends of names are put in order; nobody types more to find one."""
LONGEST_WORD = 16
"""Letters of a word that are compared when one may be misspelt: as many as the bits of the numbers used."""
ALL = slice(None)
_BLANK = ord(" ")


@dataclass(frozen=True, eq=False)
class NameWords:
    """Places of names where words begin, ordered by the text from there on.

    Args:
        keys: spoken keys by entry.
        begin: by place, where its text begins among the letters of all keys.
        entries, ordinals: by place, the entry, and which of its words it is, from 0.
        words: by distinct word, the first of its places; one more for the end.
        letters: first LONGEST_WORD + 2 letters of each distinct word, (letters, words); 0 after its end.
    """

    keys: Strings
    begin: npt.NDArray[np.int32]
    entries: npt.NDArray[np.int32]
    ordinals: npt.NDArray[np.uint8]
    words: npt.NDArray[np.int32]
    letters: npt.NDArray[np.uint8]

    @classmethod
    def of(cls, keys: Strings) -> NameWords:
        """The words of spoken keys, which have single blanks between and none around them."""
        letters, bounds = keys.letters, keys.begin
        size = len(keys)
        blank = letters == _BLANK
        starts = np.sort(np.concatenate([bounds[:-1][bounds[:-1] < bounds[1:]], np.flatnonzero(blank) + 1]))
        entries = (np.searchsorted(bounds, starts, side="right") - 1).astype(np.int32)
        before = np.concatenate([[0], np.cumsum(blank)])
        ordinals = (before[starts] - before[bounds[entries]]).astype(np.uint8)
        # Columns of letters from each place on, 0 from the end of its name.
        ends = bounds[entries + 1] if size else starts
        table = np.zeros((len(starts), LONGEST_END), dtype=np.uint8)
        for column in range(LONGEST_END):
            at = starts + column
            inside = at < ends
            table[inside, column] = letters[at[inside]]
        order = np.argsort(table.view(f"S{LONGEST_END}").ravel(), kind="stable")
        table = table[order]
        wide = table[:, : LONGEST_WORD + 2]
        # A blank ends the word: all behind it is 0.
        word = np.where(np.logical_or.accumulate(wide == _BLANK, axis=1), 0, wide)
        differs = np.ones(len(word), dtype=bool)
        differs[1:] = (word[1:] != word[:-1]).any(axis=1)
        first = np.flatnonzero(differs)
        return cls(
            keys,
            starts[order].astype(np.int32),
            entries[order],
            ordinals[order],
            np.append(first, len(word)).astype(np.int32),
            np.ascontiguousarray(word[first].T),
        )

    def beginning(self, text: str) -> slice:
        """The places whose text begins with this (by its first LONGEST_END letters)."""
        sought = text.encode()[:LONGEST_END]
        low = self._bisect(sought, 0, past=False)
        return slice(low, self._bisect(sought, low, past=True))

    def _bisect(self, sought: bytes, low: int, past: bool) -> int:
        """The first place whose text, cut to as many letters, is not before (past: is behind) what is sought."""
        high = len(self.begin)
        while low < high:
            middle = (low + high) // 2
            there = self._text(middle, len(sought))
            if there < sought or (past and there == sought):
                low = middle + 1
            else:
                high = middle
        return low

    def _text(self, place: int, length: int) -> bytes:
        begin, end = self.begin.item(place), self.keys.begin.item(self.entries.item(place) + 1)
        return self.keys.letters[begin : min(begin + length, end)].tobytes()

    def near(self, word: str, most: int) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.uint8]]:
        """Places of words that begin like this with at most so many letters wrong, missing or too many; how many."""
        likely = np.flatnonzero(self._may_be_near(word.encode()[:LONGEST_WORD], most))
        distances = self.distances(word, likely)
        close, distances = likely[distances <= most], distances[distances <= most]
        sizes = self.words[close + 1] - self.words[close]
        # Stretches of places, end to end.
        ends = np.cumsum(sizes)
        places = np.arange(ends[-1] if len(ends) else 0) - np.repeat(ends - sizes - self.words[close], sizes)
        return places.astype(np.int32), np.repeat(distances, sizes)

    def _may_be_near(self, sought: bytes, most: int) -> npt.NDArray[np.bool_]:
        """Words with a part of the letters sought unchanged and about where it belongs.

        Of one part more than there may be mistakes, one has none in it, and stands at most so many letters aside.
        """
        found = np.zeros(self.letters.shape[1], dtype=bool)
        bounds = [len(sought) * part // (most + 1) for part in range(most + 2)]
        same = {(row, c): self.letters[row] == c for row, c in _cells(sought, bounds, most, len(self.letters))}
        for begin, end in pairwise(bounds):
            for shift in range(max(-most, -begin), most + 1):
                if end + shift <= len(self.letters):
                    parts = [same[begin + shift + n, sought[begin + n]] for n in range(end - begin)]
                    found |= np.logical_and.reduce(parts) if parts else True
        return found

    def distances(self, word: str, among: npt.NDArray[np.integer] | slice = ALL) -> npt.NDArray[np.uint8]:
        """By distinct word, the least edit distance (Levenshtein) between these letters and a beginning of the word.

        Both are cut to LONGEST_WORD letters (two more of the word); `among`: of these words alone.
        """
        sought = word.encode()[:LONGEST_WORD]
        length = len(sought)
        masks = np.zeros(256, dtype=np.uint16)
        for place, letter in enumerate(sought):
            masks[letter] |= 1 << place
        letters = self.letters[: length + 2, among]
        size = letters.shape[1]
        one, last = np.uint16(1), np.uint16(1 << (length - 1) if length else 0)
        up = np.full(size, (1 << length) - 1, dtype=np.uint16)
        down = np.zeros(size, dtype=np.uint16)
        now = np.full(size, length, dtype=np.int8)
        least = now.copy()
        # Columns behind the letters sought by more than the distance of deleting them all can only be worse.
        for column in letters:
            equal = masks[column]
            sideways = equal | down
            # Sums run over the bits' end on purpose (Myers: the carry).
            equal = (((equal & up) + up) ^ up) | equal
            rises, falls = down | ~(equal | up), up & equal
            now += ((rises & last) != 0).view(np.int8)
            now -= ((falls & last) != 0).view(np.int8)
            rises = (rises << one) | one
            up, down = (falls << one) | ~(sideways | rises), rises & sideways
            # Behind a word's end nothing counts: 0 is no letter, so each such column is one letter too many.
            np.minimum(least, now, out=least)
        return least.view(np.uint8)


def _cells(sought: bytes, bounds: Sequence[int], most: int, height: int) -> Iterator[tuple[int, int]]:
    """Every place in a word, and letter, that a shifted part has to be compared at, once."""
    places = {
        (at + shift, sought[at])
        for begin, end in pairwise(bounds)
        for at in range(begin, end)
        for shift in range(max(-most, -begin), most + 1)
        if at + shift < height
    }
    return iter(places)
