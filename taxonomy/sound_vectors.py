"""Sound vectors: strings of phones come in, vectors go out that lie close where one may be heard for the other.

A string is described by which phones it has in which part, by pairs of phones, and by pairs and triples of sound
classes with the vowels run together; a learned linear map then keeps what tells names apart and drops what captions
change anyway. The map (`data/sound_vectors.npz`) is made by `python -m tests.learn.sound_vectors`. Refuses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import as_file, files
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_matrix, csr_matrix, diags_array

from earwitness.taxonomy.channel import LONGEST
from earwitness.taxonomy.pronounce import PHONES
from earwitness.taxonomy.tables import data_rows

Vectors = npt.NDArray[np.float32]
Integers = npt.NDArray[np.int64]

PHONE_PARTS = 6
"""Parts of a string that its phones are counted in."""
PAIR_PARTS = 3
_PHONES = "".join(PHONES.values())
_BASE = 40
"""Symbols that pairs and triples are numbered by: 39 phones and the edge."""
_EDGE = _BASE - 1
_AT_ONCE = 50_000

FEATURES = PHONE_PARTS * _BASE + PAIR_PARTS * _BASE**2 + _BASE**3 + _BASE**2


@dataclass(frozen=True)
class SoundMap:
    """The learned map: which features count, how much, and where they lead.

    Args:
        features: numbers of the features used, (F,).
        weights: what each is multiplied by before a string's features are brought to length one, (F,).
        matrix: features to vectors, (F, D).
    """

    features: Integers
    weights: Vectors
    matrix: Vectors

    def vectors(self, strings: Sequence[str]) -> Vectors:
        """Vectors of length one of strings of phones, (strings, D); a string without phones has a vector of zeros."""
        parts = [
            unit_rows(self.weighted(strings[begin : begin + _AT_ONCE]) @ self.matrix)
            for begin in range(0, len(strings), _AT_ONCE)
        ]
        return np.concatenate(parts) if parts else np.zeros((0, self.matrix.shape[1]), dtype=np.float32)

    def weighted(self, strings: Sequence[str]) -> csr_matrix:
        """The features that count, weighted and brought to length one, (strings, F)."""
        chosen = described(strings)[:, self.features] @ diags_array(self.weights)
        lengths = np.sqrt(np.asarray(chosen.multiply(chosen).sum(axis=1)).ravel())
        return csr_matrix(diags_array(1 / np.maximum(lengths, 1e-6)) @ chosen, dtype=np.float32)


def unit_rows(rows: npt.NDArray[Any]) -> Vectors:
    """Rows brought to length one; rows of zeros stay."""
    lengths = np.linalg.norm(rows, axis=1, keepdims=True)
    return np.asarray(rows / np.maximum(lengths, 1e-6), dtype=np.float32)


@cache
def learned_map() -> SoundMap:
    """The map of the data file."""
    with as_file(files("earwitness.taxonomy.data") / "sound_vectors.npz") as path, np.load(path) as stored:
        matrix = stored["matrix"].astype(np.float32) * stored["scale"][None, :]
        return SoundMap(stored["features"].astype(np.int64), stored["weights"].astype(np.float32), matrix)


def described(strings: Sequence[str]) -> csr_matrix:
    """How often each string has each feature, (strings, FEATURES) sparse."""
    phones = _Row(*_phones_of(strings), len(strings))
    bones = phones.bones()
    blocks = [phones.alone(PHONE_PARTS), bones.runs(2, PAIR_PARTS), bones.runs(3), phones.runs(2)]
    sizes = [PHONE_PARTS * _BASE, PAIR_PARTS * _BASE**2, _BASE**3, _BASE**2]
    begins = np.cumsum([0, *sizes[:-1]])
    owners = np.concatenate([owner for owner, _, _ in blocks])
    columns = np.concatenate([column + begin for (_, column, _), begin in zip(blocks, begins, strict=True)])
    shares = np.concatenate([share for _, _, share in blocks])
    return coo_matrix((shares, (owners, columns)), shape=(len(strings), FEATURES), dtype=np.float32).tocsr()


def _phones_of(strings: Sequence[str]) -> tuple[Integers, Integers]:
    """All phones of all strings one after the other: whose they are, and their numbers."""
    raw = np.array([string[:LONGEST] for string in strings], dtype=f"<U{LONGEST}").view(np.uint32)
    owners, places = np.nonzero(raw.reshape(len(strings), LONGEST))
    numbers = np.full(128, -1, dtype=np.int64)
    numbers[[ord(phone) for phone in _PHONES]] = np.arange(len(_PHONES))
    codes = numbers[np.minimum(raw.reshape(len(strings), LONGEST)[owners, places], 127)]
    return owners[codes >= 0], codes[codes >= 0]


class _Row:
    """The symbols of many strings one after the other, each string between two edges."""

    def __init__(self, owners: Integers, symbols: Integers, count: int):
        self._owners, self._symbols, self._count = owners, symbols, count
        lengths = np.bincount(owners, minlength=count)
        begins = np.cumsum(lengths + 2) - lengths - 2
        self._places = np.arange(len(owners)) - np.repeat(np.cumsum(lengths) - lengths, lengths)
        self._lengths = lengths
        self._edged = np.full(len(owners) + 2 * count, _EDGE, dtype=np.int64)
        self._edged[begins[owners] + 1 + self._places] = symbols
        self._edged_owners = np.repeat(np.arange(count), lengths + 2)
        self._edged_places = np.arange(len(self._edged)) - begins[self._edged_owners]

    def bones(self) -> _Row:
        """The same strings in sound classes, a run of vowels as one."""
        classes = _classes()[self._symbols]
        vowel = classes == 0
        kept = np.ones(len(classes), dtype=bool)
        kept[1:] = ~(vowel[1:] & vowel[:-1] & (self._owners[1:] == self._owners[:-1]))
        return _Row(self._owners[kept], classes[kept], self._count)

    def alone(self, parts: int) -> tuple[Integers, Integers, npt.NDArray[np.float64]]:
        """Owner, feature and share of each symbol."""
        where = (self._places + 0.5) / np.maximum(self._lengths[self._owners], 1)
        return _in_parts(self._owners, self._symbols, where, parts)

    def runs(self, size: int, parts: int = 1) -> tuple[Integers, Integers, npt.NDArray[np.float64]]:
        """Owner, feature and share of each run of `size` symbols, edges included."""
        lengths = self._lengths[self._edged_owners] + 2
        at = np.flatnonzero(self._edged_places + size <= lengths)
        code = np.zeros(len(at), dtype=np.int64)
        for step in range(size):
            code = code * _BASE + self._edged[at + step]
        where = (self._edged_places[at] + 0.5) / (lengths[at] - 1)
        return _in_parts(self._edged_owners[at], code, where, parts)


def _in_parts(
    owners: Integers, codes: Integers, where: npt.NDArray[np.float64], parts: int
) -> tuple[Integers, Integers, npt.NDArray[np.float64]]:
    """Counted in the two parts that a place (0-1) lies between, by its nearness to each."""
    if parts == 1:
        return owners, codes, np.ones(len(codes))
    place = np.clip(where, 0, 1) * (parts - 1)
    low = np.minimum(place.astype(np.int64), parts - 2)
    features = np.concatenate([codes * parts + low, codes * parts + low + 1])
    return np.concatenate([owners, owners]), features, np.concatenate([1 - (place - low), place - low])


@cache
def _classes() -> Integers:
    """Class number of each phone; class 0 is the vowels'."""
    by_phone = {PHONES[row["phone"]]: row["class"] for row in data_rows("sound_classes.csv")}
    names = ["vowel", *sorted(set(by_phone.values()) - {"vowel"})]
    return np.array([names.index(by_phone[phone]) for phone in _PHONES], dtype=np.int64)
