"""Learn all that hearing needs from the development pairs: the channels, the sound vectors, the weights.

    python -m tests.learn.hearing

For each fold the channels and the vectors are learned without its names; how well names are heard is measured, and the
weights are learned, on hearings by the models that never saw them. The files then hold channels and vectors learned
from all pairs. What a fold learned is kept under build/learned.
"""

from __future__ import annotations

import csv
import hashlib
import pickle
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

from earwitness.taxonomy import NameIndex, open_index
from earwitness.taxonomy.channel import Channel
from earwitness.taxonomy.heard_names import FEATURES, NONE, NameEar, Weights
from earwitness.taxonomy.hearing import LETTERS, SOUNDS, Models, name_arrays
from tests.bench.places import HERE, SHARED
from tests.learn import channels, sound_vectors
from tests.learn.channels import DATA, learned_from
from tests.learn.pairs import FOLDS, Pair, pairs

LARGE = SHARED / "checklists" / "marine_ncbi.csv.gz"
KEPT = HERE / "build" / "learned"
_SHRINK = 1e-3


@dataclass(frozen=True)
class Example:
    """A pair as a model that never saw its name hears it.

    Args:
        features: of each name heard, (names, 20).
        rows: accepted row of each, (names,).
        right: the accepted row that was said.
    """

    pair: Pair
    features: npt.NDArray[np.float64]
    rows: npt.NDArray[np.int32]
    right: int


@cache
def large_index() -> NameIndex:
    """The index of the large checklist."""
    return open_index(LARGE)


def learned_models(taught: Sequence[Pair], names: Sequence[str]) -> Models:
    """Channels and sound vectors learned from pairs, and from what a list's names (phones) sound like."""
    sound_costs = learned_from([pair.sounds for pair in taught], "sounds")
    letter_costs = learned_from([pair.letters for pair in taught], "letters")
    sound_map = sound_vectors.learned_map(names, sound_costs, [pair.sounds for pair in taught])
    return Models(sound_map, Channel(SOUNDS, sound_costs), Channel(LETTERS, letter_costs))


def fold_index(fold: int) -> tuple[NameIndex, Models]:
    """The large checklist as models that were not taught this fold's names hear it."""
    index = large_index()
    kept = KEPT / f"fold{fold}-{_stamp()}.pickle"
    if not kept.exists():
        keys = list(index.tables.keys)
        models = learned_models([pair for pair in pairs() if pair.fold != fold], sound_vectors.all_sounds())
        kept.parent.mkdir(parents=True, exist_ok=True)
        kept.write_bytes(pickle.dumps((models, name_arrays(keys, models))))
    models, arrays = pickle.loads(kept.read_bytes())
    return NameIndex(index.checklist, index.tables, arrays), models


@cache
def _stamp() -> str:
    """The hash of what the folds follow from."""
    digest = hashlib.sha256()
    files = [*DATA.glob("letter_*.csv"), DATA / "spoken_exceptions.csv", DATA / "sound_classes.csv"]
    files += [SHARED / "misheard" / "dev.csv", LARGE]
    files += [Path(str(module.__file__)) for module in (channels, sound_vectors)]
    files += [DATA.parent / name for name in ("sound_vectors.py", "nearest.py")]
    for file in sorted(files, key=lambda path: path.name):  # the same wherever the checkout lies
        digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


def examples() -> list[Example]:
    """Every pair, heard by the models of its fold."""
    found = []
    for fold in range(FOLDS):
        index, models = fold_index(fold)
        ear = NameEar(index, models, Weights(np.zeros(len(FEATURES)), 0.0))
        held = [pair for pair in pairs() if pair.fold == fold]
        hearings = ear._ear.hear([pair.heard for pair in held])
        features = ear.features(hearings, [pair.heard for pair in held])
        bounds = np.searchsorted(hearings.queries, np.arange(len(held) + 1))
        rows = np.asarray(index.accepted_rows)[hearings.entries]
        for number, pair in enumerate(held):
            some = slice(bounds[number], bounds[number + 1])
            right = index.checklist.accepted(next(iter(index.checklist.rows_by_id[pair.taxon_id])))
            found.append(Example(pair, features[some], rows[some], right))
    return found


def learned_weights(of: Sequence[Example]) -> Weights:
    """Conditional maximum likelihood: the right taxon's names against the others, or none of them."""
    of = [example for example in of if len(example.rows)]
    features = np.concatenate([example.features for example in of])
    right = np.concatenate([example.rows == example.right for example in of])
    begins = np.cumsum([0, *(len(example.rows) for example in of[:-1])])
    sizes = np.array([len(example.rows) for example in of])
    beyond = ~np.logical_or.reduceat(right, begins)  # The right name is not among those heard: none of them is right.
    mean, spread = features.mean(axis=0), features.std(axis=0) + 1e-9
    scaled = (features - mean) / spread

    def loss(values: npt.NDArray[np.float64]) -> tuple[float, npt.NDArray[Any]]:
        weights, none = values[:-1], values[-1]
        fits = scaled @ weights
        top = np.maximum(np.maximum.reduceat(fits, begins), none)
        odds, none_odds = np.exp(fits - np.repeat(top, sizes)), np.exp(none - top)
        whole = np.add.reduceat(odds, begins) + none_odds
        wanted = np.where(beyond, none_odds, np.add.reduceat(odds * right, begins))
        pull = odds / np.repeat(whole, sizes) - odds * right / np.repeat(np.where(beyond, 1.0, wanted), sizes)
        none_pull = none_odds / whole - beyond
        gradient = np.append(scaled.T @ pull, none_pull.sum()) / len(of)
        shrink = np.append(weights, 0.0)
        value = -float(np.log(wanted / whole + 1e-12).mean()) + _SHRINK * float(shrink @ shrink)
        return value, gradient + 2 * _SHRINK * shrink

    best = minimize(loss, np.zeros(len(FEATURES) + 1), jac=True, method="L-BFGS-B").x
    weights = best[:-1] / spread
    return Weights(weights, float(best[-1] + mean @ weights))


def write_weights(path: Path, weights: Weights) -> None:
    """Write the weights of the features and of none."""
    source = "conditional likelihood on the development pairs: python -m tests.learn.hearing"
    with path.open("w", encoding="utf-8", newline="") as lines:
        rows = csv.writer(lines, lineterminator="\n")
        rows.writerow(("term", "value", "source"))
        for name, value in zip((*FEATURES, NONE), (*weights.features, weights.none), strict=True):
            rows.writerow((name, f"{value:.5f}", source))


def main() -> None:
    channels.main()
    sound_vectors.main()
    write_weights(DATA / "hearing_weights.csv", learned_weights(examples()))


if __name__ == "__main__":
    main()
