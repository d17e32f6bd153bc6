"""Spans of words on their way to becoming mentions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from earwitness.pipeline.mention.mentions import Candidate
from earwitness.pipeline.mention.spoken_words import SpokenWord


@dataclass(frozen=True, slots=True)
class Found:
    """Words [first, last) and the taxa they may mean, best first."""

    first: int
    last: int
    candidates: tuple[Candidate, ...]


def covered(found: Iterable[Found], size: int) -> list[bool]:
    """For each of `size` words whether a span has it."""
    taken = [False] * size
    for span in found:
        taken[span.first : span.last] = [True] * (span.last - span.first)
    return taken


def spans_at(found: Iterable[Found]) -> dict[int, Found]:
    """The span that has each word of those that a span has."""
    return {at: span for span in found for at in range(span.first, span.last)}


def key_of(words: list[SpokenWord], first: int, last: int, bare: bool = False) -> str:
    """The spoken key of words [first, last); with `bare`, the last one without its genitive s."""
    keys = [word.key for word in words[first:last]]
    if bare:
        keys[-1] = words[last - 1].bare
    return " ".join(keys)
