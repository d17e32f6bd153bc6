"""Nearest neighbours against comparing with every vector."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from earwitness.taxonomy import NameIndex, load_checklist
from earwitness.taxonomy.nearest import NearestVectors, build_graph
from earwitness.taxonomy.pronounce import pronounce_all
from earwitness.taxonomy.sound_vectors import Vectors, learned_map, unit_rows

LEAST = 0.95
COARSE = 0.05
"""Vectors are kept in bytes: so much may two cosines lie apart and still stand in the other order."""


def random_units(count: int, size: int, seed: int) -> Vectors:
    return unit_rows(np.random.default_rng(seed).normal(size=(count, size)))


def recall(vectors: Vectors, queries: Vectors, limit: int) -> float:
    """Share of the true nearest that are found."""
    numbers, _ = NearestVectors(build_graph(vectors)).search(queries, limit)
    true = np.argsort(-(queries @ vectors.T), axis=1)[:, :limit]
    return float(np.mean([len(set(f) & set(t)) / limit for f, t in zip(numbers.tolist(), true.tolist(), strict=True)]))


@pytest.mark.parametrize(("size", "limit"), [(8, 10), (16, 10), (32, 30), (96, 300)])
def test_nearly_all_of_the_nearest_are_found(size: int, limit: int) -> None:
    """Random vectors of many dimensions, all about as far from each other, are the hardest case."""
    assert recall(random_units(3000, size, 1), random_units(100, size, 2), limit) >= LEAST


def test_nearly_all_names_that_sound_nearest_are_found(dive: Path) -> None:
    keys = sorted({entry.key for entry in NameIndex(load_checklist(dive / "checklist.csv")).entries})
    vectors = learned_map().vectors(pronounce_all(keys))
    heard = learned_map().vectors(pronounce_all([key[1:] + "a" for key in keys[::5]]))
    assert recall(vectors, heard, 10) >= LEAST
    assert recall(vectors, heard, 60) >= LEAST


def test_best_first_and_none_twice() -> None:
    vectors, queries = random_units(500, 16, 3), random_units(40, 16, 4)
    numbers, cosines = NearestVectors(build_graph(vectors)).search(queries, 25)
    true = np.take_along_axis(queries @ vectors.T, numbers.astype(np.int64), axis=1)
    assert np.all(np.diff(cosines, axis=1) <= 0)
    assert np.all(np.diff(true, axis=1) <= COARSE)
    assert all(len(set(row)) == 25 for row in numbers.tolist())
    own, _ = NearestVectors(build_graph(vectors)).search(vectors, 1)
    assert own[:, 0].tolist() == list(range(500))


def test_cosines_are_cosines() -> None:
    vectors, queries = random_units(500, 16, 3), random_units(40, 16, 4)
    numbers, cosines = NearestVectors(build_graph(vectors)).search(queries, 25)
    true = np.take_along_axis(queries @ vectors.T, numbers.astype(np.int64), axis=1)
    assert np.abs(cosines - true).max() < COARSE


def test_the_same_vectors_give_the_same_bytes_and_answers() -> None:
    vectors, queries = random_units(700, 24, 5), random_units(30, 24, 6)
    graph = build_graph(vectors)
    assert graph.tobytes() == build_graph(vectors.copy()).tobytes()
    nearest = NearestVectors(graph)
    numbers, cosines = nearest.search(queries, 12)
    for place, query in enumerate(queries):
        alone = nearest.search(query[None], 12)
        assert alone[0].tolist() == numbers[[place]].tolist()
        assert alone[1].tolist() == cosines[[place]].tolist()
    # How many are asked for does not linger.
    nearest.search(queries, 300)
    assert nearest.search(queries, 12)[0].tolist() == numbers.tolist()


def test_a_graph_may_be_mapped(tmp_path: Path) -> None:
    vectors, queries = random_units(300, 16, 7), random_units(20, 16, 8)
    graph = build_graph(vectors)
    np.save(tmp_path / "graph.npy", graph)
    mapped = np.load(tmp_path / "graph.npy", mmap_mode="r")
    assert not mapped.flags.writeable
    ours, theirs = (NearestVectors(g).search(queries, 9) for g in (graph, mapped))
    assert ours[0].tolist() == theirs[0].tolist()
    assert ours[1].tolist() == theirs[1].tolist()
    assert np.array_equal(mapped, graph)


@pytest.mark.parametrize("count", [0, 1, 2, 7])
def test_fewer_vectors_than_asked_for(count: int) -> None:
    vectors, queries = random_units(count, 16, 9), random_units(3, 16, 10)
    nearest = NearestVectors(build_graph(vectors))
    for limit in (9, 300):
        numbers, cosines = nearest.search(queries, limit)
        assert numbers.shape == cosines.shape == (3, limit)
        assert [sorted(row) for row in numbers[:, :count].tolist()] == [list(range(count))] * 3
        assert np.all(numbers[:, count:] == -1)
        assert np.all(cosines[:, count:] == -1)
    none, _ = nearest.search(queries[:0], 4)
    assert none.shape == (0, 4)


def test_no_bytes_at_all_are_a_graph_of_nothing() -> None:
    numbers, _ = NearestVectors(np.zeros(0, dtype=np.uint8)).search(random_units(2, 16, 1), 3)
    assert numbers.tolist() == [[-1] * 3] * 2


def test_vectors_of_zeros_are_found_among_others() -> None:
    vectors = np.concatenate([random_units(5, 16, 11), np.zeros((2, 16), dtype=np.float32)])
    numbers, _ = NearestVectors(build_graph(vectors)).search(vectors, 7)
    assert [sorted(row) for row in numbers.tolist()] == [list(range(7))] * 7
