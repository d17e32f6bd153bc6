"""The index of all names of a checklist: a Checklist comes in, look-ups by spoken words go out.

Exact look-up is one dictionary access. Similar names are found through trigrams of the folded skeleton, so that a heard
word is compared with some dozens of names and never with the whole list. Refuses nothing; blank names are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import numpy.typing as npt
from rapidfuzz import fuzz

from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.english_forms import english_forms
from earwitness.taxonomy.fold import fold, letters_of, skeleton, spoken_key
from earwitness.taxonomy.plurals import name_forms

NameNumber = Literal["singular", "plural", ""]
NameKind = Literal["scientific", "vernacular", "english"]

LONGEST_NAME = 6
"""Names of more words than this are not looked for in running text (0.1% of the large checklist's)."""
_CANDIDATES = 120
"""How many names share enough trigrams to be compared letter by letter: holds the right name 88% of the time on the
development pairs of misheard names (`make bench`), 60 hold it 86%, 200 hold it 89%."""


@dataclass(frozen=True, slots=True)
class NameEntry:
    """One name as it may be said: `text` as the checklist writes it, `key` as spoken, `row` of the checklist.

    `number` is singular or plural for an English word that has both, else empty.
    """

    text: str
    key: str
    row: int
    kind: NameKind
    number: NameNumber = ""


class NameIndex:
    """All the ways a checklist's taxa may be said.

    index = NameIndex(load_checklist("checklist.csv"))
    index.exact("glass sponges")
    index.similar("chasey on a finneys", limit=5)
    """

    def __init__(self, checklist: Checklist):
        self.checklist = checklist
        self.entries: tuple[NameEntry, ...] = tuple(_entries(checklist))
        exact: dict[str, list[int]] = {}
        for number, entry in enumerate(self.entries):
            exact.setdefault(entry.key, []).append(number)
        self._exact = exact
        self.first_words = frozenset(key.split(" ", 1)[0] for key in exact)
        self.words = frozenset(word for key in exact for word in key.split(" "))

    def exact(self, key: str) -> tuple[NameEntry, ...]:
        """Entries whose spoken key (see `fold.spoken_key`) is this one."""
        return tuple(self.entries[i] for i in self._exact.get(key, ()))

    @cached_property
    def epithets(self) -> dict[str, tuple[int, ...]]:
        """Last word of a species' name -> rows of the checklist, for "pertusa" and "L. pertusa"."""
        rows: dict[str, list[int]] = {}
        for entry in self.entries:
            if entry.kind == "scientific" and " " in entry.key:
                rows.setdefault(entry.key.rsplit(" ", 1)[1], []).append(entry.row)
        return {epithet: tuple(found) for epithet, found in rows.items()}

    def similar(self, key: str, limit: int = 5) -> list[tuple[NameEntry, float]]:
        """Entries that look or sound like these words, best first, with their similarity (0-1).

        The similarity is the mean of RapidFuzz's normalised indel ratio over the bare letters, over the folded
        letters and over the skeletons: letters and sounds vote together. One entry a checklist row.
        """
        letters = letters_of(key.replace("\n", " "))
        folded = fold(letters)
        bones = skeleton(folded)
        best: dict[int, tuple[float, int]] = {}
        for i in self._trigrams.nearest(bones, _CANDIDATES):
            likeness = (
                fuzz.ratio(letters, self._spellings[0][i])
                + fuzz.ratio(folded, self._spellings[1][i])
                + fuzz.ratio(bones, self._spellings[2][i])
            ) / 300
            row = self.checklist.accepted(self.entries[i].row)
            # Lower entry numbers win ties, so that the order never depends on how the candidates came.
            if row not in best or (likeness, -i) > (best[row][0], -best[row][1]):
                best[row] = (likeness, i)
        ranked = sorted(best.values(), key=lambda found: (-found[0], found[1]))
        return [(self.entries[i], likeness) for likeness, i in ranked[:limit]]

    @cached_property
    def _spellings(self) -> tuple[list[str], list[str], list[str]]:
        """Bare letters, folded letters and skeleton of every entry: three lists as long as `entries`."""
        letters = letters_of("\n".join(entry.key for entry in self.entries))
        folded = fold(letters)
        return letters.split("\n"), folded.split("\n"), skeleton(folded).split("\n")

    @cached_property
    def _trigrams(self) -> TrigramIndex:
        return TrigramIndex(self._spellings[2])


class TrigramIndex:
    """Strings of a-z by their letter trigrams: which of them share most with a query.

    Postings lie in two flat arrays (names by trigram, and where each trigram begins).
    """

    def __init__(self, strings: list[str]):
        size = len(strings)
        owners, grams = _grams("\n".join(strings).encode("ascii", "replace"), size)
        order = np.argsort(grams, kind="stable")
        owners, grams = owners[order], grams[order]
        fresh = np.ones(len(grams), dtype=bool)
        fresh[1:] = (grams[1:] != grams[:-1]) | (owners[1:] != owners[:-1])
        self._owners, grams = owners[fresh], grams[fresh]
        self._begin = np.searchsorted(grams, np.arange(_GRAMS + 1))
        self._sizes = np.bincount(self._owners, minlength=size)

    def nearest(self, query: str, limit: int) -> list[int]:
        """Numbers of the strings with the highest Dice overlap of trigrams, best first, ties by number."""
        if not query or not len(self._sizes):
            return []
        _, grams = _grams(query.encode("ascii", "replace"), 1)
        wanted = np.unique(grams)
        postings = [self._owners[self._begin[g] : self._begin[g + 1]] for g in wanted.tolist()]
        shared = np.bincount(np.concatenate(postings), minlength=len(self._sizes))
        dice = 2.0 * shared / (self._sizes + len(wanted))
        limit = min(limit, int(np.count_nonzero(dice)))
        if not limit:
            return []
        floor = np.partition(dice, len(dice) - limit)[len(dice) - limit]
        top = np.flatnonzero(dice >= floor)
        ranked: list[int] = top[np.lexsort((top, -dice[top]))].tolist()
        return ranked[:limit]


_LETTERS = 28
_GRAMS = _LETTERS**3


def _grams(lines: bytes, count: int) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.int32]]:
    """Owner and code of every trigram of `count` lines; each line is padded by two blanks before and one after."""
    raw = np.frombuffer(lines, dtype=np.uint8)
    ends = np.append(np.flatnonzero(raw == ord("\n")), len(raw))
    lengths = np.diff(ends, prepend=-1) - 1
    owners = np.repeat(np.arange(count, dtype=np.int32), lengths + 3)
    codes = np.zeros(len(owners), dtype=np.int32)
    places = np.flatnonzero(raw != ord("\n")) + 2 * np.repeat(np.arange(1, count + 1), lengths)
    letters = raw[raw != ord("\n")].astype(np.int32) - ord("a") + 1
    # Digits and whatever else is no letter share the last class.
    codes[places] = np.where((letters >= 1) & (letters <= 26), letters, _LETTERS - 1)
    code = (codes[:-2] * _LETTERS + codes[1:-1]) * _LETTERS + codes[2:]
    inside = owners[:-2] == owners[2:]
    return owners[:-2][inside], code[inside]


def _entries(checklist: Checklist) -> Iterator[NameEntry]:
    """Every name of the checklist as it may be said, scientific names first."""
    names = checklist.taxa["scientificName"].to_list()
    ranks = checklist.taxa["taxonRank"].to_list()
    keys = spoken_key("\n".join(name or "" for name in names)).split("\n") if names else []
    seen: set[tuple[str, int]] = set()

    def fresh(text: str, key: str, row: int, kind: NameKind, number: NameNumber = "") -> Iterator[NameEntry]:
        if key and (key, row) not in seen and key.count(" ") < LONGEST_NAME:
            seen.add((key, row))
            yield NameEntry(text, key, row, kind, number)

    for row, (name, key) in enumerate(zip(names, keys, strict=True)):
        yield from fresh(name, key.strip(), row, "scientific")
    for row, vernaculars in enumerate(checklist.taxa["vernacularNames"].to_list()):
        for vernacular in vernaculars or ():
            forms = name_forms(vernacular)
            for place, form in enumerate(forms):
                yield from fresh(vernacular, spoken_key(form), row, "vernacular", _number(place, len(forms)))
    for row, (name, rank) in enumerate(zip(names, ranks, strict=True)):
        for place, form in enumerate(english_forms(name or "", rank or "")):
            yield from fresh(name, form, row, "english", "plural" if place % 2 else "singular")


def _number(place: int, forms: int) -> NameNumber:
    """Grammatical number of a form: the singular stands first, and a word with one form has none to tell."""
    if forms == 1:
        return ""
    return "plural" if place else "singular"
