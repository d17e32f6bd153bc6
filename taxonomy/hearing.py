"""Hearing: words as a caption has them come in, the names they may stand for go out, with how well each fits.

Sounds and letters vote together: names that sound near are found by their sound vectors, then heard through two noisy
channels, one of phones and one of letters. Where words end is ignored. Refuses nothing: words without letters, and
lists without names, give no names.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from earwitness.taxonomy.channel import LONGEST, Channel, learned
from earwitness.taxonomy.fold import letters_of
from earwitness.taxonomy.nearest import NearestVectors, build_graph
from earwitness.taxonomy.pronounce import PHONES, pronounce_all
from earwitness.taxonomy.sound_vectors import SoundMap, learned_map

SOUNDS = "".join(PHONES.values())
LETTERS = "abcdefghijklmnopqrstuvwxyz"
NEAR = 300
"""Names near by their vectors that are heard through the channel of sounds (holds the right one: see `make bench`)."""
HEARD = 60
"""Names that are then heard through the channel of letters."""


@dataclass(frozen=True)
class Models:
    """What hearing has learned.

    Args:
        sound_map: phones to vectors.
        sounds, letters: the two channels.
    """

    sound_map: SoundMap
    sounds: Channel
    letters: Channel


def learned_models() -> Models:
    """The models of the data files."""
    return Models(learned_map(), learned("channel_sounds.csv", SOUNDS), learned("channel_letters.csv", LETTERS))


@dataclass(frozen=True)
class Hearings:
    """Names heard, one row each, those of one query together and in no order of worth.

    Args:
        queries: number of the query, (rows,).
        entries: number of the name, (rows,).
        sound_costs, letter_costs: of hearing the query for the name, nats, (rows,).
        sound_lengths, letter_lengths: of query and name, symbols, (rows, 2).
        edges: whether first sound, last sound and first letter are the same, (rows, 3).
    """

    queries: npt.NDArray[np.int64]
    entries: npt.NDArray[np.int64]
    sound_costs: npt.NDArray[np.float32]
    letter_costs: npt.NDArray[np.float32]
    sound_lengths: npt.NDArray[np.int64]
    letter_lengths: npt.NDArray[np.int64]
    edges: npt.NDArray[np.bool_]


def name_arrays(keys: Sequence[str], models: Models | None = None) -> dict[str, npt.NDArray[Any]]:
    """What is kept of a list's names: the graph of their vectors, their phones and letters as symbols."""
    models = models or learned_models()
    said = pronounce_all(keys)
    return {
        "graph": build_graph(models.sound_map.vectors(said)),
        "sounds": models.sounds.symbols(said),
        "letters": models.letters.symbols([letters_of(key) for key in keys]),
    }


class Ear:
    """Hears names of one list.

    Args:
        arrays: of `name_arrays`, may be memory-mapped.
        models: those the arrays were made with.
    """

    def __init__(self, arrays: Any, models: Models | None = None):
        self._models = models or learned_models()
        self._graph = NearestVectors(arrays["graph"])
        self._sounds, self._letters = arrays["sounds"], arrays["letters"]

    def nearest(self, keys: Sequence[str], near: int) -> tuple[npt.NDArray[np.int32], npt.NDArray[np.float32]]:
        """Numbers and cosines of the names with the nearest sound vectors, (keys, near); -1 for no more."""
        return self._graph.search(self._models.sound_map.vectors(pronounce_all(keys)), near)

    def nats_per_sound(self, heard: str, said: str) -> float:
        """Cost of hearing one spoken key for another, by sound of the longer one; infinite where one has no sounds."""
        sounds = pronounce_all([heard, said])
        if not all(sounds):
            return float("inf")
        (cost,) = self._models.sounds.costs(sounds[:1], sounds[1:])
        return float(cost) / min(max(map(len, sounds)), LONGEST)

    def sounds_of(self, entries: npt.NDArray[np.int64]) -> list[str]:
        """Phones of names by their numbers, the first LONGEST of each."""
        return self._models.sounds.strings(np.asarray(self._sounds[entries]))

    def hear(self, keys: Sequence[str], near: int = NEAR, heard: int = HEARD) -> Hearings:
        """The names that these spoken keys may stand for, at most `heard` each, of the `near` nearest."""
        said = pronounce_all(keys)
        numbers, _ = self._graph.search(self._models.sound_map.vectors(said), near)
        sounding = np.fromiter((0 < len(sounds) <= LONGEST for sounds in said), np.bool_, len(said))
        queries, places = np.nonzero((numbers >= 0) & sounding[:, None])
        entries = numbers[queries, places].astype(np.int64)
        said_symbols = self._models.sounds.symbols(said)
        sound_costs = self._models.sounds.costs_of(said_symbols[queries], self._sounds[entries])
        kept = _cheapest(queries, sound_costs, heard)
        queries, entries, sound_costs = queries[kept], entries[kept], sound_costs[kept]
        letters = self._models.letters.symbols([letters_of(key.replace("\n", " ")) for key in keys])
        heard_sounds, name_sounds = said_symbols[queries], self._sounds[entries]
        heard_letters, name_letters = letters[queries], self._letters[entries]
        lengths = [np.count_nonzero(s, axis=1) for s in (heard_sounds, name_sounds, heard_letters, name_letters)]
        rows = np.arange(len(queries))
        edges = np.stack(
            [
                heard_sounds[:, 0] == name_sounds[:, 0],
                heard_sounds[rows, lengths[0] - 1] == name_sounds[rows, lengths[1] - 1],
                heard_letters[:, 0] == name_letters[:, 0],
            ],
            axis=1,
        )
        return Hearings(
            queries,
            entries,
            sound_costs,
            self._models.letters.costs_of(heard_letters, name_letters),
            np.stack(lengths[:2], axis=1),
            np.stack(lengths[2:], axis=1),
            edges,
        )


def _cheapest(queries: npt.NDArray[np.int64], costs: npt.NDArray[np.float32], limit: int) -> npt.NDArray[np.int64]:
    """The rows of the `limit` lowest costs of each query, in order of query and cost."""
    order = np.lexsort((costs, queries))
    ranked = queries[order]
    first = np.flatnonzero(np.append(True, ranked[1:] != ranked[:-1])) if len(ranked) else np.zeros(0, np.int64)
    place = np.arange(len(ranked)) - np.repeat(first, np.diff(np.append(first, len(ranked))))
    return np.asarray(order[place < limit], dtype=np.int64)
