"""Boosted trees, against the library that learns them (scikit-learn)."""

from __future__ import annotations

import csv
from importlib.resources import files

import numpy as np

from earwitness.pipeline.mention.span_model import NAME, learned_spans
from earwitness.pipeline.mention.trees import Trees, read_trees
from tests.learn.span_trees import FEATURES_OF, TREE_COLUMNS, boosted, trees_of


def test_they_say_what_the_library_says() -> None:
    random = np.random.default_rng(5)
    features = random.normal(size=(3000, len(NAME))).round(1)
    right = (features[:, 0] + features[:, 3] * features[:, 5] + random.normal(size=3000)) > 0
    model = boosted(features, right, 40)
    ours = trees_of("name", model)
    fresh = random.normal(size=(500, len(NAME))).round(1)
    assert np.allclose(ours.log_odds(fresh), model.decision_function(fresh), atol=1e-3)
    assert np.ptp(ours.log_odds(fresh)) > 3
    assert ours.log_odds(fresh[:0]).shape == (0,)


def test_a_tree_written_by_hand() -> None:
    rows = [
        ("0", "b", "1.5", "1", "2"),
        ("0", "", "-1", "", ""),
        ("0", "a", "0", "3", "4"),
        ("0", "", "2", "", ""),
        ("0", "", "5", "", ""),
    ]
    tree = read_trees(
        [dict(zip(TREE_COLUMNS, ("name", *row, "by hand"), strict=True)) for row in rows], ("a", "b"), 0.25
    )
    assert tree.depth == 2
    told = tree.log_odds(np.array([[9.0, 1.5], [0.0, 2.0], [0.1, 2.0]]))
    assert told.tolist() == [-0.75, 2.25, 5.25]


def test_the_data_file_is_whole() -> None:
    text = (files("earwitness.pipeline.mention") / "span_trees.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    for stage, features in FEATURES_OF.items():
        asked = {row["feature"] for row in rows if row["stage"] == stage}
        assert {""} < asked <= {"", *features}
        trees: Trees = getattr(learned_spans(), stage)
        assert np.isfinite(trees.value).all()
        assert np.isfinite(trees.threshold).all()
        assert trees.depth > 2
