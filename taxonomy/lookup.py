"""Search as one types: what was typed so far comes in, names of the checklist go out, the likeliest first.

    search(index, "mun sar", limit=5)[0].entry.text  # "Munida sarsi"
    search(index, "chaseon", favoured=[row])[0].how  # "spelling"

Names are found by the beginnings of any of their words, in order ("g. epi" for a genus and an epithet), by beginnings
with a letter or two wrong, and by how they sound. Favoured taxa that match come first. No network; the same typed
letters give the same names in the same order. Refuses nothing: what has no letters or figures finds nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Literal
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from earwitness.taxonomy.corrections import Corrections
from earwitness.taxonomy.entries import KINDS, LONGEST_NAME, NameEntry
from earwitness.taxonomy.fold import has_letters, spoken_key
from earwitness.taxonomy.lookup_marks import marks
from earwitness.taxonomy.lookup_words import NameWords
from earwitness.taxonomy.name_index import NameIndex

Favoured = Mapping[int, float] | Sequence[int]
Ints = npt.NDArray[np.int64]
How = Literal["prefix", "words", "spelling", "sound"]

LONGEST_TYPED = 120
"""Characters that are looked at; no name of the lists we know is longer."""
_MISSPELT_FROM, _MORE_WRONG_FROM = 4, 7
"""Letters of a word from which on one may be wrong, and two."""
_LONG_FROM = 12
"""Letters of a name of several words from which on one more may be wrong."""
_BESIDE_FROM = 5
"""Letters typed from which on some places are kept for near spellings, even if enough names begin so."""
_KEPT = 3
"""One in so many of the places is."""
_LEAST_SHARE = 0.01
_WHOLE_FROM = 4
"""Letters from which on a name typed in full comes before favoured ones that are longer."""

_RANKS = ("genus", "family", "species", "order", "class", "phylum", "kingdom")
"""Ranks that people name animals by; the likelier ones first (own choice). All others come after."""
_NEVER = 127
# A candidate is one number, so that sorting numbers sorts candidates: favour, match, standing, and its entry.
_ENTRY_BITS, _LENGTH_BITS, _STANDING_BITS, _MATCH_BITS = 24, 8, 6, 10
_ENTRY = (1 << _ENTRY_BITS) - 1
_MATCH_AT = _ENTRY_BITS + _LENGTH_BITS + _STANDING_BITS
_FAVOUR_AT = _MATCH_AT + _MATCH_BITS
_UNFAVOURED = (1 << 14) - 1


@dataclass(frozen=True, slots=True)
class Found:
    """A name that what was typed may become.

    Args:
        row: of the accepted taxon.
        entry: the name that matched, perhaps a synonym or a vernacular.
        how: "prefix" (the name, or the rest of it from one of its words on, begins so), "words" (its words begin so,
            or people said that these words mean it), "spelling", "sound".
        marks: characters [begin, end) of `entry.text` that were typed.
    """

    row: int
    entry: NameEntry
    how: How
    marks: tuple[tuple[int, int], ...] = ()


class _Names:
    """What is made of an index once: its words in order, and a number by entry for what ranks equal matches."""

    def __init__(self, index: NameIndex):
        tables = index.tables
        self.words = NameWords.of(tables.keys)
        order = {rank: place for place, rank in enumerate(_RANKS)}
        ranks = np.array([order.get(rank, len(_RANKS)) for rank in tables.rank_names] or [0], dtype=np.int64)
        synonym = np.asarray(tables.rows) != np.asarray(tables.accepted)
        kind = np.where(np.asarray(tables.kinds) == KINDS.index("scientific"), 0, 1) + 2 * synonym
        self.lengths = np.minimum(np.diff(tables.keys.begin), 255)
        standing = (kind << 4) | ranks[tables.ranks]
        self.standing = (standing << (_ENTRY_BITS + _LENGTH_BITS)) | (self.lengths << _ENTRY_BITS)
        self.standing |= np.arange(len(self.standing))


_made: WeakKeyDictionary[NameIndex, _Names] = WeakKeyDictionary()
_making = Lock()


def _names(index: NameIndex) -> _Names:
    with _making:
        if index not in _made:
            _made[index] = _Names(index)
        return _made[index]


def warm_up(index: NameIndex) -> None:
    """Make now what the first search would make: some tenths of a second for a hundred thousand names."""
    _names(index)
    index.ear.hear(["warm"])


def search(
    index: NameIndex, typed: str, *, limit: int = 12, favoured: Favoured = (), corrections: Corrections | None = None
) -> list[Found]:
    """Taxa that what was typed may become, the likeliest first, each once, at most `limit`.

    Args:
        index: of the checklist.
        typed: so far; only the first LONGEST_TYPED characters count.
        limit: how many.
        favoured: rows of taxa that are likelier here than others, with a weight or in order; where nothing was typed
            yet, they are what is found.
        corrections: what people said that words mean.
    """
    rows = index.checklist.accepted_rows
    likely = dict.fromkeys(rows.item(row) for row in _in_order(favoured) if 0 <= row < len(rows))
    typed = typed[:LONGEST_TYPED]
    key = spoken_key(typed.replace("\n", " "))
    if limit < 1 or not key:
        return [_own_name(index, row) for row in likely][: max(limit, 0)] if not typed.strip() else []
    query = _Query(index, key, limit, likely)
    found = {row: _own_name(index, row, "words", key) for row in (corrections.names_for(key) if corrections else ())}
    for hit in query.beginning():
        found.setdefault(hit.row, hit)
    others: dict[int, Found] = {}
    for hit in query.otherwise(len(found)):
        if hit.row not in found:
            others.setdefault(hit.row, hit)
    rest = sorted(others.values(), key=lambda hit: hit.row not in likely)
    kept = limit // _KEPT if query.letters >= _BESIDE_FROM else 0
    first = list(found.values())[: max(limit - len(rest), limit - kept)]
    return [*first, *rest][:limit]


def _in_order(favoured: Favoured) -> list[int]:
    if isinstance(favoured, Mapping):
        return sorted(favoured, key=lambda row: (-favoured[row], row))
    return list(favoured)


def _own_name(index: NameIndex, row: int, how: How = "prefix", key: str = "") -> Found:
    name = index.checklist.taxon(row).scientific_name
    return Found(row, NameEntry(name, key or spoken_key(name), row, "scientific"), how)


class _Query:
    """One question to the names of an index."""

    def __init__(self, index: NameIndex, key: str, limit: int, likely: Mapping[int, None]):
        self.index, self.key, self.limit, self.likely = index, key, limit, likely
        self.tokens = key.split(" ")
        self.letters = len(key) - len(self.tokens) + 1
        self.names = _names(index)
        self.words = self.names.words
        self._favour = np.full(len(index.checklist), _UNFAVOURED, dtype=np.int64)
        for place, row in enumerate(list(likely)[: _UNFAVOURED - 1], start=1):
            self._favour[row] = place

    def beginning(self) -> Iterator[Found]:
        """Names whose words begin as typed."""
        phrase = self.words.beginning(self.key)
        entries, ordinals = self.words.entries[phrase], self.words.ordinals[phrase]
        whole = (ordinals == 0) & (self.names.lengths[entries] == len(self.key))
        matches = np.where(whole, 0, np.where(ordinals == 0, 1, 3))
        ranked = self._numbers(entries, matches)
        if self.letters >= _WHOLE_FROM:
            ranked[whole] &= (1 << _FAVOUR_AT) - 1
        if 1 < len(self.tokens) <= LONGEST_NAME:
            stretches = [np.arange(s.start, s.stop) for s in map(self.words.beginning, self.tokens)]
            found, first = self._in_sequence(stretches)
            ranked = np.concatenate([ranked, self._numbers(found, np.where(first, 2, 4))])
        for number in self._best(ranked):
            match = number >> _MATCH_AT & 7
            yield self._found(number & _ENTRY, "words" if match in (2, 4) else "prefix")

    def otherwise(self, there: int) -> Iterator[Found]:
        """Names that begin nearly as typed or sound so; `there`: how many names were found that begin as typed."""
        near = self._near() if there < self.limit or self.letters >= _BESIDE_FROM else []
        close = [number for number in near if number >> _MATCH_AT & (1 << _MATCH_BITS) - 1 < 2 << 7]
        for number in close:
            yield self._found(number & _ENTRY, "spelling")
        if there < self.limit:
            # Hearing is the dearest question: only where nothing begins so, and spelling tells too little.
            if not there and len(close) < self.limit and self.letters >= _MISSPELT_FROM and has_letters(self.key):
                for name in self.index.ear.hear([self.key])[0][: self.limit]:
                    if name.share >= _LEAST_SHARE:
                        yield self._found(name.entry, "sound")
            for number in near:
                yield self._found(number & _ENTRY, "spelling")

    def _near(self) -> list[int]:
        """Candidates with letters wrong, best first."""
        allowed = [(len(t) >= _MISSPELT_FROM) + (len(t) >= _MORE_WRONG_FROM) for t in self.tokens]
        if not any(allowed) or len(self.tokens) > LONGEST_NAME:
            return []
        wrong = np.zeros(len(self.index.entries), dtype=np.uint8)
        stretches = []
        for token, most in zip(self.tokens, allowed, strict=True):
            if most:
                places, distances = self.words.near(token, most)
            else:
                stretch = self.words.beginning(token)
                places = np.arange(stretch.start, stretch.stop, dtype=np.int32)
                distances = np.zeros(len(places), dtype=np.uint8)
            stretches.append(places)
            named = self.words.entries[places]
            least = np.full(len(wrong), _NEVER, dtype=np.uint8)
            np.minimum.at(least, named, distances)
            wrong = np.minimum(wrong + least, _NEVER)
        entries, first = self._in_sequence(stretches)
        few = wrong[entries] <= max(allowed) + (self.letters >= _LONG_FROM)
        entries, first = entries[few], first[few]
        # Fewer letters wrong, then whole names before beginnings, then names before those found by a later word.
        apart = np.minimum(np.abs(self.names.lengths[entries] - len(self.key)), 63)
        return self._best(self._numbers(entries, wrong[entries].astype(np.int64) << 7 | apart << 1 | ~first & 1))

    def _in_sequence(self, stretches: Sequence[npt.NDArray[np.integer]]) -> tuple[Ints, npt.NDArray[np.bool_]]:
        """Entries with a word from each stretch of places, in this order; whether their first word is the first."""
        everywhere = np.ones(len(self.index.entries), dtype=bool)
        for places in sorted(stretches, key=len):
            there = np.zeros(len(everywhere), dtype=bool)
            there[self.words.entries[places]] = True
            everywhere &= there
        at = np.full(len(everywhere), -1, dtype=np.int8)
        first = np.zeros(len(everywhere), dtype=bool)
        for number, places in enumerate(stretches):
            entries, ordinals = self.words.entries[places], self.words.ordinals[places].view(np.int8)
            after = everywhere[entries] & (ordinals > at[entries])
            at = np.full(len(everywhere), _NEVER, dtype=np.int8)
            np.minimum.at(at, entries[after], ordinals[after])
            if not number:
                first = at == 0
        entries = np.flatnonzero(at < _NEVER)
        return entries, first[entries]

    def _numbers(self, entries: npt.NDArray[np.integer], matches: npt.NDArray[np.integer]) -> Ints:
        """Candidates as numbers, the best lowest."""
        favour = self._favour[self.index.tables.accepted[entries]] << _FAVOUR_AT
        numbers: Ints = self.names.standing[entries] | matches.astype(np.int64) << _MATCH_AT | favour
        return numbers

    def _best(self, numbers: Ints) -> list[int]:
        """The lowest numbers in order, so many that there are `limit` taxa among them, if there are so many at all."""
        accepted, some = self.index.tables.accepted, 4 * self.limit
        while True:
            best = np.sort(np.partition(numbers, some)[:some] if some < len(numbers) else numbers)
            if some >= len(numbers) or len(np.unique(accepted[best & _ENTRY])) >= self.limit:
                listed: list[int] = best.tolist()
                return listed
            some *= 8

    def _found(self, number: int, how: How) -> Found:
        entry = self.index.entry(number)
        spans = () if how == "sound" else marks(entry.text, self.tokens, exactly=how != "spelling")
        return Found(self.index.tables.accepted.item(number), entry, how, spans)
