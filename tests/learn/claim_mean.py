"""The mean of two models of claims that were taught apart from the same weights: steadier than either.

    python -m tests.learn.claim_mean ONE.npz TWO.npz [--out FILE]

Wortsman et al. 2022, Model soups. What only one vocabulary has is taken from it.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import numpy.typing as npt

from earwitness.pipeline.judge.claim_model import CLAIM_MODEL
from earwitness.pipeline.judge.encoder import packed, read_arrays

Arrays = Mapping[str, npt.NDArray[np.generic]]


def mean_of(one: Arrays, two: Arrays) -> dict[str, npt.NDArray[np.generic]]:
    """The arrays of a model halfway between two, with the vocabulary of the second."""
    place = {piece: row for row, piece in enumerate(_pieces(one))}
    made = dict(two)
    for name, array in two.items():
        part = name.removesuffix(".weight")
        if part != name:
            mine, theirs = _rows(one, part), _rows(two, part)
            if part == "words":
                known = [place.get(piece, -1) for piece in _pieces(two)]
                mine = np.where(np.array(known)[:, None] >= 0, mine[known], theirs)
            made |= packed(part, (mine + theirs) / 2)
        elif array.dtype.kind == "f" and not name.endswith(".scale"):
            made[name] = np.asarray((one[name] + array) / 2, dtype=array.dtype)
    return made


def _pieces(arrays: Arrays) -> list[str]:
    return bytes(arrays["vocabulary"].astype(np.uint8)).decode("utf-8").split("\n")


def _rows(arrays: Arrays, part: str) -> npt.NDArray[np.float32]:
    rows = arrays[f"{part}.weight"].astype(np.float32) * arrays[f"{part}.scale"].astype(np.float32)[:, None]
    return np.asarray(rows, dtype=np.float32)


def main() -> None:
    """Write the mean of two files."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("one", type=Path)
    asked.add_argument("two", type=Path)
    asked.add_argument("--out", type=Path, default=CLAIM_MODEL)
    given = asked.parse_args()
    np.savez_compressed(given.out, **mean_of(read_arrays(given.one), read_arrays(given.two)))


if __name__ == "__main__":
    main()
