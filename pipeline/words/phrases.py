"""Phrases of a word list met in a run of words, longest first."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from earwitness.pipeline.words import WordRow, word_rows

Phrases = Mapping[tuple[str, ...], WordRow]


@cache
def phrase_table(name: str, column: str = "phrase", own: Path | None = None) -> Phrases:
    """The word list `NAME.csv` by the words of its phrases."""
    return {tuple(row[column].lower().split()): row for row in word_rows(name, own)}


def phrases_in(words: list[str], table: Phrases) -> list[tuple[int, int, WordRow]]:
    """First word, last word (exclusive) and row of every phrase in the words, longest first, never overlapping."""
    longest = max(map(len, table), default=0)
    found = []
    at = 0
    while at < len(words):
        for length in range(min(longest, len(words) - at), 0, -1):
            row = table.get(tuple(words[at : at + length]))
            if row is not None:
                found.append((at, at + length, row))
                at += length
                break
        else:
            at += 1
    return found
