"""A small transformer encoder in numpy: what BERT computes (Devlin et al. 2019), read at a few places only.

The weights are int8 with one scale a row; they are made floats on loading. Learned elsewhere (`tests/learn/claims.py`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]
_EPSILON = 1e-12
_LAYER = ("query", "key", "value", "mixed", "wide", "narrow")


@dataclass(frozen=True, slots=True)
class Linear:
    """x times `weight` plus `bias`; `weight` has shape (in, out)."""

    weight: Floats
    bias: Floats

    def __call__(self, x: Floats) -> Floats:
        """Shape (..., in) gives (..., out)."""
        return x @ self.weight + self.bias


@dataclass(frozen=True, slots=True)
class Norm:
    """Layer normalisation (Ba, Kiros and Hinton 2016)."""

    gain: Floats
    bias: Floats

    def __call__(self, x: Floats) -> Floats:
        """Each last axis with mean 0 and variance 1, then gain and bias."""
        centred = x - x.mean(axis=-1, keepdims=True)
        spread = np.sqrt((centred * centred).mean(axis=-1, keepdims=True) + _EPSILON)
        return np.asarray(centred / spread * self.gain + self.bias, dtype=np.float32)


@dataclass(frozen=True, slots=True)
class Layer:
    """Attention over the passage and two steps of each piece by itself."""

    query: Linear
    key: Linear
    value: Linear
    mixed: Linear
    after_mixing: Norm
    wide: Linear
    narrow: Linear
    after: Norm
    heads: int

    def __call__(self, x: Floats, at: npt.NDArray[np.int64] | None = None) -> Floats:
        """Shape (pieces, size) gives the same; with `at`, only its rows are worked out."""
        own = x if at is None else x[at]
        size = x.shape[1] // self.heads
        query, key, value = (
            part.reshape(len(part), self.heads, size).transpose(1, 0, 2)
            for part in (self.query(own), self.key(x), self.value(x))
        )
        weights = query @ key.transpose(0, 2, 1) / np.float32(np.sqrt(size))
        weights = np.exp(weights - weights.max(axis=-1, keepdims=True))
        weights /= weights.sum(axis=-1, keepdims=True)
        seen = (weights @ value).transpose(1, 0, 2).reshape(len(own), -1)
        own = self.after_mixing(own + self.mixed(seen))
        return self.after(own + self.narrow(_gelu(self.wide(own))))


@dataclass(frozen=True, slots=True)
class Encoder:
    """Word pieces with their places, normalised, and layers over them."""

    words: npt.NDArray[np.int8]
    scales: Floats
    places: Floats
    first: Norm
    layers: tuple[Layer, ...]

    def __call__(self, pieces: Sequence[int], at: Sequence[int]) -> Floats:
        """What stands at the places `at` of a passage after all layers: shape (places, size)."""
        numbers = np.asarray(pieces)
        x = self.words[numbers] * self.scales[numbers, None] + self.places[: len(numbers)]
        x = self.first(np.asarray(x, dtype=np.float32))
        for layer in self.layers[:-1]:
            x = layer(x)
        return self.layers[-1](x, np.asarray(at, dtype=np.int64))


def read_encoder(arrays: Mapping[str, npt.NDArray[np.generic]]) -> Encoder:
    """An encoder from the arrays that `packed` names: "layer0.query.weight" and the like."""
    layers: list[Layer] = []
    heads = int(np.asarray(arrays["heads"], dtype=np.int64))
    while f"layer{len(layers)}.query.weight" in arrays:
        name = f"layer{len(layers)}"
        query, key, value, mixed, wide, narrow = (read_linear(arrays, f"{name}.{part}") for part in _LAYER)
        after_mixing, after = _norm(arrays, f"{name}.after_mixing"), _norm(arrays, f"{name}.after")
        layers.append(Layer(query, key, value, mixed, after_mixing, wide, narrow, after, heads))
    words = np.asarray(arrays["words.weight"], dtype=np.int8)
    scales, places = (np.asarray(arrays[key], dtype=np.float32) for key in ("words.scale", "places"))
    return Encoder(words, scales, places, _norm(arrays, "first"), tuple(layers))


def read_linear(arrays: Mapping[str, npt.NDArray[np.generic]], name: str) -> Linear:
    """A linear step from its int8 rows, their scales and its bias."""
    rows = arrays[f"{name}.weight"].astype(np.float32) * arrays[f"{name}.scale"].astype(np.float32)[:, None]
    return Linear(np.ascontiguousarray(rows.T), arrays[f"{name}.bias"].astype(np.float32))


def packed(name: str, rows: npt.NDArray[np.floating]) -> dict[str, npt.NDArray[np.generic]]:
    """Rows as int8 with a scale each, under the names that reading expects; what rounding loses is half a scale."""
    scale = np.maximum(np.abs(rows).max(axis=1), 1e-8) / 127
    return {
        f"{name}.weight": np.round(rows / scale[:, None]).astype(np.int8),
        f"{name}.scale": scale.astype(np.float32),
    }


def read_arrays(path: Path) -> dict[str, npt.NDArray[np.generic]]:
    """The arrays of an .npz file; nothing in it is run."""
    with np.load(path, allow_pickle=False) as arrays:
        return dict(arrays)


def _norm(arrays: Mapping[str, npt.NDArray[np.generic]], name: str) -> Norm:
    return Norm(arrays[f"{name}.gain"].astype(np.float32), arrays[f"{name}.bias"].astype(np.float32))


def _gelu(x: Floats) -> Floats:
    """Gaussian error linear unit in its tanh form (Hendrycks and Gimpel 2016), a third of the time of the exact one."""
    y = x * x
    y *= np.float32(0.044715)
    y += 1
    y *= x
    y *= np.float32(np.sqrt(2 / np.pi))
    np.tanh(y, out=y)
    y += 1
    y *= x
    y *= np.float32(0.5)
    return y
