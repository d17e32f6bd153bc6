"""Closed vocabularies of the event table that more than one stage speaks: certainty terms and kinds of relation."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from earwitness.pipeline.words import word_rows

RELATIONS = ("on", "in", "with", "under", "over", "holding", "held by", "eating", "eaten by", "host of")


@cache
def _terms() -> tuple[tuple[float, str], ...]:
    return tuple(sorted(((float(r["from"]), r["term"]) for r in word_rows("certainty_terms")), reverse=True))


def certainty_term(certainty: float) -> str:
    """The word for a certainty (0-1); the bounds stand in `words/certainty_terms.csv`."""
    return next(term for least, term in _terms() if certainty >= least)


@cache
def certainty_middles() -> Mapping[str, float]:
    """The middle of what each word for a certainty spans."""
    most, found = 1.0, {}
    for least, term in _terms():
        found[term] = round((most + least) / 2, 3)
        most = least
    return found
