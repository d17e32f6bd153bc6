"""Nearest neighbours among many vectors without comparing with all of them.

In: vectors of length one. Out: for a query, the numbers of those with the highest cosine, nearly always all of them.
A graph of near neighbours (hierarchical navigable small worlds, Malkov and Yashunin 2018; package usearch) is walked
towards the query, so that its cost grows with the logarithm of the number of vectors.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from usearch.index import Index

from earwitness.taxonomy.sound_vectors import Vectors

Graph = npt.NDArray[np.uint8]

_NEIGHBOURS = 16
_LOOKED_AT_TO_ADD = 128
_LOOKED_AT = 128
_BYTE = 127
"""What the package stores for 1 in eight bits."""
_FEW, _FEW_LOOKED_AT = 20, 48
"""Who asks for few neighbours is in a hurry."""


def build_graph(vectors: Vectors) -> Graph:
    """The graph as bytes, for `NearestVectors`. One thread, so that the same vectors give the same graph."""
    index = Index(
        ndim=vectors.shape[1],
        metric="ip",
        dtype="i8",
        connectivity=_NEIGHBOURS,
        expansion_add=_LOOKED_AT_TO_ADD,
        expansion_search=_LOOKED_AT,
    )
    if len(vectors):
        index.add(np.arange(len(vectors), dtype=np.uint64), vectors, threads=1)
    return np.frombuffer(bytes(index.save() or b""), dtype=np.uint8)


class NearestVectors:
    """Searches the bytes of `build_graph`, which may be memory-mapped."""

    def __init__(self, graph: Graph):
        self._graph = graph  # The index only looks at these bytes: they have to live as long.
        self._index = Index.restore(memoryview(graph.data), view=True) if len(graph) else None

    def search(self, queries: Vectors, limit: int) -> tuple[npt.NDArray[np.int32], Vectors]:
        """Numbers and cosines of the nearest vectors, (queries, limit), best first; -1 where there are no more."""
        numbers = np.full((len(queries), limit), -1, dtype=np.int32)
        cosines = np.full((len(queries), limit), -1, dtype=np.float32)
        if self._index is None or not len(self._index) or not len(queries):
            return numbers, cosines
        # The package's setter stands apart from its getter, where type checkers do not look.
        self._index.expansion_search = max(limit, _LOOKED_AT if limit > _FEW else _FEW_LOOKED_AT)  # type: ignore[misc]
        found = self._index.search(queries, min(limit, len(self._index)), threads=1)
        keys = np.asarray(found.keys, dtype=np.int64).reshape(len(queries), -1)
        counts = np.asarray(getattr(found, "counts", np.full(len(queries), keys.shape[1]))).reshape(-1, 1)
        there = np.arange(keys.shape[1]) < counts
        numbers[:, : keys.shape[1]] = np.where(there, keys, -1)
        products = 1 - np.asarray(found.distances).reshape(len(queries), -1)
        cosines[:, : keys.shape[1]] = np.where(there, products / _BYTE**2, -1)
        return numbers, cosines
