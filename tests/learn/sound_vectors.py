"""Learn `taxonomy/data/sound_vectors.npz`: the linear map under which a name lies nearest its own mishearings.

    python -m tests.learn.sound_vectors

Names of the large checklist are misheard by chance as the learned channel would mishear them; the map is fitted so that
each mishearing lies nearer its name than the other names drawn with it (softmax over cosines, Adam; van den Oord, Li
and Vinyals 2018 and Kingma and Ba 2015, from memory). Real pairs take part beside the drawn ones. Seeded; a linear
algebra library may round otherwise on another machine.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.sparse import csr_matrix, vstack

from earwitness.taxonomy import NameIndex, load_checklist
from earwitness.taxonomy.channel import read_costs
from earwitness.taxonomy.pronounce import pronounce_all
from earwitness.taxonomy.sound_vectors import SoundMap, Vectors, described, unit_rows
from tests.bench.places import SHARED
from tests.learn.channels import DATA, Costs
from tests.learn.pairs import pairs

DIMENSIONS = 96
EPOCHS = 8
NAMES = 24_000
"""Names misheard in each epoch."""
BATCH, REAL, OTHERS = 768, 256, 1024
"""Drawn pairs, real pairs and names without a mishearing in a step."""
TEMPERATURE = 0.07
FIRST_STEP, SLOWER = 0.01, 0.8
FEWEST = 30
"""Names of the list that a feature is met in, or it is not used."""
WIDTH = (0.8, 0.16, 0.04)
"""How often a name's unit of one, two, three symbols is misheard at once."""


class Mishearing:
    """Draws what may be heard for a name."""

    def __init__(self, costs: Costs, seed: int):
        self._random = np.random.default_rng(seed)
        said: dict[str, list[tuple[str, float]]] = defaultdict(list)
        for (name, heard), cost in costs.items():
            if name:
                said[name].append((heard, math.exp(-cost)))
        self._said = {
            name: ([heard for heard, _ in of], np.cumsum([odds for _, odds in of]) / sum(odds for _, odds in of))
            for name, of in said.items()
        }

    def of(self, name: str) -> str:
        """One mishearing of a string of phones."""
        heard: list[str] = []
        at = 0
        while at < len(name):
            chance = self._random.random()
            width = 1 if chance < WIDTH[0] else 2 if chance < WIDTH[0] + WIDTH[1] else 3
            while width > 1 and name[at : at + width] not in self._said:
                width -= 1
            unit = name[at : at + width]
            choices, odds = self._said[unit]
            heard.append(choices[min(int(np.searchsorted(odds, self._random.random())), len(choices) - 1)])
            at += len(unit)
        return "".join(heard)


class _Adam:
    """Steps of one matrix by its gradient."""

    def __init__(self, matrix: Vectors):
        self.matrix, self._mean, self._square, self._steps = matrix, np.zeros_like(matrix), np.zeros_like(matrix), 0

    def step(self, gradient: npt.NDArray[Any], size: float) -> None:
        self._steps += 1
        self._mean = 0.9 * self._mean + 0.1 * gradient
        self._square = 0.999 * self._square + 0.001 * gradient**2
        mean, square = self._mean / (1 - 0.9**self._steps), self._square / (1 - 0.999**self._steps)
        self.matrix = (self.matrix - size * mean / (np.sqrt(square) + 1e-8)).astype(np.float32)


def learned_map(
    names: Sequence[str], costs: Costs, taught: Sequence[tuple[str, str]], epochs: int = EPOCHS
) -> SoundMap:
    """The map for strings of phones `names`, misheard by `costs`, and real pairs `taught` (said, heard)."""
    whole = described(names)
    used = np.flatnonzero(np.asarray((whole > 0).sum(axis=0)).ravel() >= FEWEST).astype(np.int64)
    power = np.asarray(whole[:, used].multiply(whole[:, used]).mean(axis=0)).ravel()
    weights = (1 / (np.sqrt(power) + 1e-3) ** 0.5).astype(np.float32)
    features = SoundMap(used, weights, np.eye(len(used), dtype=np.float32))
    all_names = features.weighted(names)
    said, heard = (features.weighted([pair[side] for pair in taught]) for side in (0, 1))
    rng = np.random.default_rng(3)
    adam = _Adam((0.05 * rng.normal(size=(len(used), DIMENSIONS))).astype(np.float32))
    mishearing = Mishearing(costs, seed=9)
    for epoch in range(epochs):
        drawn = rng.permutation(len(names))[:NAMES]
        misheard = features.weighted([mishearing.of(names[i]) for i in drawn])
        for begin in range(0, len(drawn) - BATCH + 1, BATCH):
            real = rng.integers(0, len(taught), REAL)
            name = vstack([all_names[drawn[begin : begin + BATCH]], said[real]]).tocsr()
            hearing = vstack([misheard[begin : begin + BATCH], heard[real]]).tocsr()
            other = all_names[rng.integers(0, len(names), OTHERS)]
            adam.step(_gradient(adam.matrix, name, hearing, other), FIRST_STEP * SLOWER**epoch)
    return SoundMap(used, weights, adam.matrix)


def _gradient(matrix: Vectors, name: csr_matrix, hearing: csr_matrix, other: csr_matrix) -> npt.NDArray[Any]:
    """Of the mean negative log odds that a hearing is nearest its own name."""
    sides = [(rows, rows @ matrix) for rows in (hearing, name, other)]
    unit_hearing, unit_name, unit_other = (unit_rows(vectors) for _, vectors in sides)
    logits = np.concatenate([unit_hearing @ unit_name.T, unit_hearing @ unit_other.T], axis=1) / TEMPERATURE
    odds = np.exp(logits - logits.max(axis=1, keepdims=True))
    odds /= odds.sum(axis=1, keepdims=True)
    size = len(unit_hearing)
    odds[np.arange(size), np.arange(size)] -= 1
    odds /= size * TEMPERATURE
    of_units = (
        odds[:, :size] @ unit_name + odds[:, size:] @ unit_other,
        odds[:, :size].T @ unit_hearing,
        odds[:, size:].T @ unit_hearing,
    )
    gradient = np.zeros_like(matrix)
    for (rows, vectors), of_unit in zip(sides, of_units, strict=True):
        length = np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-6)
        unit = vectors / length
        gradient += rows.T @ ((of_unit - (of_unit * unit).sum(axis=1, keepdims=True) * unit) / length)
    return gradient


def write(path: Path, learned: SoundMap) -> None:
    """Write the map in small numbers: eight bits a value and a scale a dimension."""
    scale = np.abs(learned.matrix).max(axis=0) / 127
    np.savez_compressed(
        path,
        features=learned.features.astype(np.int32),
        weights=learned.weights.astype(np.float16),
        matrix=np.rint(learned.matrix / scale).astype(np.int8),
        scale=scale.astype(np.float32),
    )


def all_sounds() -> list[str]:
    """Phones of all names of the large checklist."""
    index = NameIndex(load_checklist(SHARED / "checklists" / "marine_ncbi.csv.gz"))
    return sorted(set(pronounce_all(list(index.tables.keys))) - {""})


def main() -> None:
    costs = dict(read_costs("channel_sounds.csv"))
    write(DATA / "sound_vectors.npz", learned_map(all_sounds(), costs, [pair.sounds for pair in pairs()]))


if __name__ == "__main__":
    main()
