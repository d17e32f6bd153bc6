"""nameScore of names that came through as they are written: how likely it is that the words mean the name.

Measured shares in `data/name_scores.csv`; of misheard names see `heard_names` and `earwitness.pipeline.mention.heard`.
"""

from __future__ import annotations

from functools import cache

from earwitness.taxonomy.tables import data_rows


@cache
def _shares() -> dict[str, float]:
    return {row["term"]: float(row["value"]) for row in data_rows("name_scores.csv")}


def exact_score(how: str) -> float:
    """Measured share of right names among those found without hearing: exact, group, abbreviated, epithet, corrected.

    No other name scores higher than an exact one: a list too short to hold rivals makes any likeness look safe.
    """
    return _shares()[how]
