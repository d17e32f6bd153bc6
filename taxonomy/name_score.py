"""nameScore: how likely it is that heard words mean a name, from how well they fit. Measured, not believed.

The weights lie in `data/name_scores.csv`; `python -m tests.bench names` prints how well they hold, and learns them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from earwitness.taxonomy.tables import data_rows


@dataclass(frozen=True, slots=True)
class Likeness:
    """What the score of a similar name is read off.

    Args:
        similarity: 0-1, of heard words and name (see `NameIndex.similar`).
        margin: similarity less that of the best other taxon; negative for a runner-up.
        letters: number of letters heard.
        commonness: mean Zipf frequency of the heard words in English (0-8).
        words: number of words heard.
    """

    similarity: float
    margin: float
    letters: int
    commonness: float
    words: int

    def features(self) -> dict[str, float]:
        """The features by name, each of the order of one."""
        return {
            "similarity": self.similarity,
            "margin": self.margin,
            "letters": min(self.letters, 16) / 16,
            "commonness": self.commonness / 5,
            "words": self.words / 4,
        }


@cache
def _weights() -> dict[str, float]:
    return {row["term"]: float(row["value"]) for row in data_rows("name_scores.csv")}


def exact_score(how: str) -> float:
    """The measured share of right names among names found without likeness: exact, group, abbreviated or epithet."""
    return _weights()[how]


def similar_score(likeness: Likeness) -> float:
    """The probability (0-1) that a name this much like the heard words is the one that was said.

    Never more than an exact name's: a list too short to hold rivals makes any likeness look safe.
    """
    return round(min(1.0 / (1.0 + math.exp(-log_odds(likeness))), exact_score("exact")), 3)


def log_odds(likeness: Likeness) -> float:
    """The natural log of the odds that the name is the one that was said: ranks what the bounded score leaves equal."""
    weights = _weights()
    return weights["bias"] + sum(weights[name] * value for name, value in likeness.features().items())
