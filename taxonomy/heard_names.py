"""Names for heard words: spoken keys come in, ranked taxa with a nameScore go out.

What the two channels, the lengths, the edges and plain string likeness say of each name heard is weighed by a learned
log-linear model (`data/hearing_weights.csv`, made by `python -m tests.learn.hearing`); one outcome is that the words
stand for none of the names. Refuses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt
from rapidfuzz import fuzz, process

from earwitness.taxonomy.entries import KINDS
from earwitness.taxonomy.fold import fold, letters_of, skeleton
from earwitness.taxonomy.hearing import HEARD, NEAR, Ear, Hearings, Models
from earwitness.taxonomy.pronounce import blurred, pronounce_all
from earwitness.taxonomy.tables import data_rows

if TYPE_CHECKING:
    from earwitness.taxonomy.name_index import NameIndex

Features = npt.NDArray[np.float64]

FEATURES = (
    "sounds",
    "letters",
    "soundsPerSymbol",
    "lettersPerSymbol",
    "longer",
    "otherLength",
    "length",
    "sameFirstSound",
    "sameLastSound",
    "sameFirstLetter",
    "species",
    "genus",
    "family",
    "group",
    "vernacular",
    "english",
    "letterRatio",
    "foldRatio",
    "skeletonRatio",
    "soundRatio",
)
"""Costs of hearing (nats), the same per symbol, name longer than heard and either longer (tens of sounds), the name's
sounds (tens), whether edges agree, what kind of name it is, and RapidFuzz ratios (0-1) of letters, folded letters,
skeletons and blurred phones."""
_AT_ONCE = 500
"""Keys heard together: enough to be quick, few enough to need little memory."""
NONE = "none"
"""The term of the weights that stands for "none of the names"."""


@dataclass(frozen=True)
class Weights:
    """The learned model.

    Args:
        features: weight of each of FEATURES, (20,).
        none: the fit of the outcome that the words stand for none of the names.
    """

    features: Features
    none: float


@cache
def learned_weights() -> Weights:
    """The weights of the data file."""
    values = {row["term"]: float(row["value"]) for row in data_rows("hearing_weights.csv")}
    return Weights(np.array([values[name] for name in FEATURES]), values[NONE])


@dataclass(frozen=True, slots=True)
class HeardName:
    """A taxon that words may stand for.

    Args:
        row: its accepted row in the checklist.
        entry: number of the name that fits best.
        fit: of that name, log-linear; comparable between names for the same words and, roughly, between words.
        share: 0-1, how likely it is this taxon and not another or none, the words standing for a name.
        features: of that name, in the order of FEATURES.
    """

    row: int
    entry: int
    fit: float
    share: float
    features: Features


class NameEar:
    """Hears names of an index.

    ear = NameEar(index)
    ear.hear(["chasey on a finneys"])[0][0].row
    """

    def __init__(self, index: NameIndex, models: Models | None = None, weights: Weights | None = None):
        self.index = index
        self._ear = Ear(index.arrays, models)
        self._weights = weights or learned_weights()
        species = [i for i, rank in enumerate(index.tables.rank_names) if rank in ("species", "subspecies")]
        self._ranks = {
            "species": np.array(species, dtype=np.int64),
            "genus": np.array([i for i, r in enumerate(index.tables.rank_names) if r == "genus"], dtype=np.int64),
            "family": np.array([i for i, r in enumerate(index.tables.rank_names) if r == "family"], dtype=np.int64),
        }

    def hear(self, keys: Sequence[str], near: int = NEAR, heard: int = HEARD) -> list[list[HeardName]]:
        """For each spoken key the taxa it may stand for, best first, one entry each."""
        parts = (self._hear(keys[begin : begin + _AT_ONCE], near, heard) for begin in range(0, len(keys), _AT_ONCE))
        return [names for part in parts for names in part]

    def _hear(self, keys: Sequence[str], near: int, heard: int) -> list[list[HeardName]]:
        hearings = self._ear.hear(keys, near, heard)
        features = self.features(hearings, keys)
        # Summed row by row: a matrix product may round equal rows differently, and ties would fall by chance.
        fits = (features * self._weights.features).sum(axis=1)
        rows = np.asarray(self.index.accepted_rows)[hearings.entries]
        bounds = np.searchsorted(hearings.queries, np.arange(len(keys) + 1))
        return [
            self._ranked(rows[begin:end], hearings.entries[begin:end], fits[begin:end], features[begin:end])
            for begin, end in zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True)
        ]

    def nearest(self, keys: Sequence[str], near: int) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.float32]]:
        """Entries whose sound vectors are nearest, and their cosines: quicker than hearing, and rougher."""
        return self._ear.nearest(keys, near)

    def nats_per_sound(self, heard: str, said: str) -> float:
        """Cost of hearing one spoken key for another, by sound of the longer one; infinite where one has no sounds."""
        return self._ear.nats_per_sound(heard, said)

    def _ranked(
        self, rows: npt.NDArray[np.int32], entries: npt.NDArray[np.int64], fits: Features, features: Features
    ) -> list[HeardName]:
        """One taxon each; several names of one taxon lend it their shares."""
        if not len(fits):
            return []
        top = max(float(fits.max()), self._weights.none)
        odds = np.exp(fits - top)
        whole = float(odds.sum()) + float(np.exp(self._weights.none - top))
        shares: dict[int, float] = {}
        best: dict[int, tuple[float, int, int]] = {}
        lists = (rows.tolist(), entries.tolist(), fits.tolist(), odds.tolist())
        for place, (row, entry, fit, odd) in enumerate(zip(*lists, strict=True)):
            shares[row] = shares.get(row, 0.0) + odd / whole
            # Lower entry numbers win ties, so that the order never depends on how the candidates came.
            if row not in best or (fit, -entry) > (best[row][0], -best[row][1]):
                best[row] = (fit, entry, place)
        ranked = sorted(best, key=lambda row: (-best[row][0], best[row][1]))
        return [HeardName(row, best[row][1], best[row][0], shares[row], features[best[row][2]]) for row in ranked]

    def features(self, hearings: Hearings, keys: Sequence[str]) -> Features:
        """What the model weighs, (hearings, 20) in the order of FEATURES."""
        entries, queries = hearings.entries, hearings.queries
        sounds, letters = hearings.sound_lengths, hearings.letter_lengths
        longer = (sounds[:, 1] - sounds[:, 0]) / 10
        kinds, ranks = np.asarray(self.index.kinds)[entries], np.asarray(self.index.ranks)[entries]
        scientific = kinds == KINDS.index("scientific")
        of_rank = [scientific & np.isin(ranks, self._ranks[rank]) for rank in ("species", "genus", "family")]
        columns = [
            hearings.sound_costs,
            hearings.letter_costs,
            hearings.sound_costs / np.maximum(sounds.max(axis=1, initial=1), 1),
            hearings.letter_costs / np.maximum(letters.max(axis=1, initial=1), 1),
            longer,
            np.abs(longer),
            sounds[:, 1] / 10,
            *hearings.edges.T,
            *of_rank,
            scientific & ~np.any(of_rank, axis=0),
            kinds == KINDS.index("vernacular"),
            kinds == KINDS.index("english"),
            *self._ratios(queries, entries, keys),
        ]
        return np.stack([np.asarray(column, dtype=np.float64) for column in columns], axis=1)

    def _ratios(
        self, queries: npt.NDArray[np.int64], entries: npt.NDArray[np.int64], keys: Sequence[str]
    ) -> list[Features]:
        """Likeness of letters, folded letters, skeletons and blurred phones, 0-1 each."""
        numbers, places = np.unique(entries, return_inverse=True)
        heard = _spellings(keys, pronounce_all(keys))
        names = _spellings([self.index.tables.keys[n] for n in numbers.tolist()], self._ear.sounds_of(numbers))
        pairs = list(zip(queries.tolist(), places.tolist(), strict=True))
        return [
            process.cpdist([said[q] for q, _ in pairs], [name[n] for _, n in pairs], scorer=fuzz.ratio, workers=1)
            / 100.0
            for said, name in zip(heard, names, strict=True)
        ]


def _spellings(keys: Sequence[str], sounds: Sequence[str]) -> list[list[str]]:
    """Letters, folded letters and skeletons of keys, and their phones blurred."""
    letters = letters_of("\n".join(key.replace("\n", " ") for key in keys))
    folded = fold(letters)
    spelt = [letters.split("\n"), folded.split("\n"), skeleton(folded).split("\n")] if keys else [[], [], []]
    return [*spelt, list(map(blurred, sounds))]
