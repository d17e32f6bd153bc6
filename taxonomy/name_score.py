"""nameScore: how often words that fit a name this well do mean it, as measured on pairs of spoken and heard names."""

from __future__ import annotations

from functools import cache

from earwitness.taxonomy.tables import data_rows


@cache
def _steps() -> dict[str, tuple[tuple[int, float, float], ...]]:
    steps: dict[str, list[tuple[int, float, float]]] = {}
    for row in data_rows("name_scores.csv"):
        step = (int(row["letters_from"]), float(row["similarity_from"]), float(row["score"]))
        steps.setdefault(row["how"], []).append(step)
    return {how: tuple(sorted(found)) for how, found in steps.items()}


def name_score(how: str, letters: int, similarity: float) -> float:
    """The measured share of right names (0-1) for a way of matching, a length in letters and a similarity (0-1).

    Read off the steps of `data/name_scores.csv`, where the measurement behind each is told.
    """
    score = 0.0
    for letters_from, similarity_from, share in _steps()[how]:
        if letters >= letters_from and similarity >= similarity_from:
            score = share
    return score
