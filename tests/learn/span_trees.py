"""Boosted trees for the stages of finding spans: learned with scikit-learn, written as the mention stage reads them."""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
from sklearn.ensemble import HistGradientBoostingClassifier

from earwitness.pipeline.mention.span_model import HEAR, LOOK, NAME, SpanModel
from earwitness.pipeline.mention.trees import Trees, read_trees
from tests.bench.places import HERE
from tests.learn.pairs import FOLDS

FOLDER = HERE / "pipeline" / "mention"
FEATURES_OF = {"look": LOOK, "hear": HEAR, "name": NAME}
TREE_COLUMNS = ("stage", "tree", "feature", "value", "lower", "higher", "source")
SOURCE = "python -m tests.learn.spans"
GATE_TREES, NAME_TREES = 60, 100
"""How many; a choice, others did the same."""

Array = npt.NDArray[np.float64]


def boosted(features: Array, right: npt.NDArray[np.bool_], trees: int) -> HistGradientBoostingClassifier:
    """Boosted trees, small enough to lie in a data file; their size is a choice, others did the same."""
    return HistGradientBoostingClassifier(
        max_iter=trees,
        learning_rate=0.1,
        max_leaf_nodes=8,
        min_samples_leaf=20,
        l2_regularization=3.0,
        early_stopping=False,
        random_state=0,
    ).fit(features, right)


def trees_of(stage: str, model: HistGradientBoostingClassifier) -> Trees:
    """A learned ensemble as the mention stage reads it."""
    rows = []
    for number, (predictor,) in enumerate(model._predictors):
        for node in predictor.nodes:
            leaf = bool(node["is_leaf"])
            asked = "" if leaf else FEATURES_OF[stage][node["feature_idx"]]
            value = float(node["value"] if leaf else node["num_threshold"])
            rows.append(_node(stage, number, asked, value, node["left"], node["right"]))
    return read_trees(rows, FEATURES_OF[stage], float(model._baseline_prediction[0, 0]))


def _node(stage: str, tree: int, feature: str, value: float, lower: int, higher: int) -> dict[str, str]:
    """A row of the data file."""
    ways = (str(lower), str(higher)) if feature else ("", "")
    return dict(zip(TREE_COLUMNS, (stage, str(tree), feature, f"{value:.6g}", *ways, SOURCE), strict=True))


@dataclass(frozen=True)
class Gate:
    """A stage that lets windows through.

    Args:
        trees: learned on all windows.
        odds: log odds of each window by trees that were not taught its fold.
    """

    trees: Trees
    odds: Array


def gate(name: str, features: Array, right: npt.NDArray[np.bool_], folds: npt.NDArray[np.int64], kept: float) -> Gate:
    """Trees, and the log odds that a share `kept` of the right windows reach that they were not taught."""
    odds = np.zeros(len(features))
    for fold in range(FOLDS):
        taught = folds != fold
        model = boosted(features[taught], right[taught], GATE_TREES)
        odds[~taught] = model.decision_function(features[~taught])
    trees = trees_of(name, boosted(features, right, GATE_TREES))
    return Gate(replace(trees, least=float(np.quantile(odds[right], 1 - kept))), odds)


def write(model: SpanModel, folder: Path = FOLDER) -> None:
    """Write all stages."""
    stages = {"look": model.look, "hear": model.hear, "name": model.name}
    with (folder / "span_stages.csv").open("w", encoding="utf-8", newline="") as lines:
        rows = csv.writer(lines, lineterminator="\n")
        rows.writerow(("stage", "bias", "least", "source"))
        for name, trees in stages.items():
            rows.writerow((name, f"{trees.bias:.5f}", f"{max(trees.least, -99.0):.5f}", SOURCE))
    with (folder / "span_trees.csv").open("w", encoding="utf-8", newline="") as lines:
        nodes = csv.DictWriter(lines, fieldnames=TREE_COLUMNS, lineterminator="\n")
        nodes.writeheader()
        for name, trees in stages.items():
            for tree in range(len(trees.feature)):
                nodes.writerows(_nodes(name, trees, tree))


def _nodes(stage: str, of: Trees, tree: int) -> list[dict[str, str]]:
    """The nodes of one tree as rows, those it has: parents come before their children."""
    rows = []
    number, size = 0, 1
    while number < size:
        lower, higher = int(of.lower[tree, number]), int(of.higher[tree, number])
        leaf = lower == number
        size = max(size, lower + 1, higher + 1)
        asked = "" if leaf else FEATURES_OF[stage][of.feature[tree, number]]
        value = of.value[tree, number] if leaf else of.threshold[tree, number]
        rows.append(_node(stage, tree, asked, float(value), lower, higher))
        number += 1
    return rows
