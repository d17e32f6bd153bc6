"""A learned reader of claims: given the talk around a name and what the rules made of it, what is claimed?

The rules know phrases; the reader weighs all words around a name at once. It was taught on the marked passages of
`tests/passages` by `tests/learn/claims.py`, starting from published weights (see THIRD_PARTY.md).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
from spacy.tokens import Doc

from earwitness.pipeline.judge.encoder import Encoder, Floats, Linear, read_arrays, read_encoder, read_linear
from earwitness.pipeline.judge.judgement import Judgement, Status
from earwitness.pipeline.judge.passages import Vocabulary, passages
from earwitness.pipeline.mention import Mention

CLAIM_MODEL = Path(__file__).with_name("claim_model.npz")
READ_STATUSES: tuple[Status, ...] = (
    "observed",
    "hedged",
    "asked",
    "denied",
    "compared",
    "general",
    "recalled",
    "elsewhere",
    "figure",
)
"""What a name can be read as; "figure" is any word that means no animal. Who is a person is not asked here."""
TERM_VALUES = (0.95, 0.75, 0.45, 0.1)
"""Of certain, probable, possible and doubtful: the middles of the bounds in `words/certainty_terms.csv`, rounded."""


@dataclass(frozen=True, slots=True)
class Reading:
    """How a mention reads.

    Args:
        shares: by status, 0-1, together 1.
        certainty: 0-1, how sure the words sound, were it a claim of an animal in view.
        offered: 0-1, were it denied, how likely it refuses a name that somebody offered for an animal in view.
    """

    shares: tuple[float, ...]
    certainty: float
    offered: float

    @property
    def status(self) -> Status:
        """The likeliest."""
        return READ_STATUSES[int(np.argmax(self.shares))]

    @property
    def share(self) -> float:
        """Of the likeliest."""
        return max(self.shares)


@dataclass(frozen=True, slots=True)
class ClaimModel:
    """The encoder, and what is asked of its numbers for a name."""

    vocabulary: Vocabulary
    encoder: Encoder
    status: Linear
    certainty: Linear
    offered: Linear

    def read(
        self, doc: Doc, mentions: Sequence[Mention], judgements: Sequence[Judgement]
    ) -> Iterator[tuple[int, Reading]]:
        """Number and reading of every mention; what the rules made of them is read too."""
        for passage in passages(doc, mentions, judgements, self.vocabulary):
            seen = self.encoder(passage.pieces, [place for place, _ in passage.places])
            shares, terms = _shares(self.status(seen)), _shares(self.certainty(seen))
            offered = _shares(np.hstack([self.offered(seen), np.zeros((len(seen), 1), np.float32)]))
            for row, (_, number) in enumerate(passage.places):
                sure = float(terms[row] @ np.array(TERM_VALUES))
                yield number, Reading(tuple(float(s) for s in shares[row]), sure, float(offered[row, 0]))


@cache
def claim_model(path: Path = CLAIM_MODEL) -> ClaimModel:
    """The model of a file, read once."""
    arrays = read_arrays(path)
    vocabulary = Vocabulary(bytes(arrays["vocabulary"].astype(np.uint8)).decode("utf-8").split("\n"))
    heads = (read_linear(arrays, name) for name in ("status", "certainty", "offered"))
    return ClaimModel(vocabulary, read_encoder(arrays), *heads)


def _shares(scores: Floats) -> npt.NDArray[np.float64]:
    odds = np.exp(scores.astype(np.float64) - scores.max(axis=1, keepdims=True))
    return np.asarray(odds / odds.sum(axis=1, keepdims=True))
