"""The encoder in numpy against the package transformers, whose output on a tiny model lies in a file."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays_of

from earwitness.pipeline.judge.encoder import packed, read_arrays, read_encoder, read_linear
from tests.judge.reference_encoder import PIECES, REFERENCE


@pytest.mark.parametrize("number", range(len(PIECES)))
def test_gives_what_transformers_gives(number: int) -> None:
    """transformers 5.24, BertModel; see reference_encoder.py."""
    arrays = read_arrays(REFERENCE)
    seen = read_encoder(arrays)(PIECES[number], range(len(PIECES[number])))
    np.testing.assert_allclose(seen, arrays[f"output{number}"], atol=2e-5)


def test_places_that_are_asked_for_are_those_of_the_whole() -> None:
    encoder = read_encoder(read_arrays(REFERENCE))
    whole = encoder(PIECES[0], range(len(PIECES[0])))
    np.testing.assert_allclose(encoder(PIECES[0], [6, 1]), whole[[6, 1]], atol=1e-6)


@given(arrays_of.arrays(np.float64, (3, 5), elements=st.floats(-1e3, 1e3)))
def test_packing_loses_half_a_scale_at_most(rows: np.ndarray) -> None:
    arrays = packed("step", rows) | {"step.bias": np.zeros(3, dtype=np.float32)}
    read = read_linear(arrays, "step").weight.T
    assert (np.abs(read - rows) <= arrays["step.scale"][:, None] * 0.51 + 1e-6).all()
