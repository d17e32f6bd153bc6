"""Phrases of a word list met in a run of words, longest first."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from earwitness.pipeline.words import WordRow, word_rows

Phrases = Mapping[tuple[str, ...], WordRow]

_TABLES_KEPT = 64
"""Tables whose longest phrase is remembered: more than there are word lists, few enough to hold."""
_longest: dict[int, tuple[Phrases, int]] = {}
"""Table and length of its longest phrase, by `id`; the table is held so that its id stays its own."""


@cache
def phrase_table(name: str, column: str = "phrase", own: Path | None = None) -> Phrases:
    """The word list `NAME.csv` by the words of its phrases."""
    return {tuple(row[column].lower().split()): row for row in word_rows(name, own)}


def phrases_in(words: list[str], table: Phrases) -> list[tuple[int, int, WordRow]]:
    """First word, last word (exclusive) and row of every phrase in the words, longest first, never overlapping."""
    longest = _longest_phrase(table)
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


def _longest_phrase(table: Phrases) -> int:
    """The length of a table's longest phrase in words, worked out once a table: tables are never changed."""
    known = _longest.get(id(table))
    if known is not None and known[0] is table:
        return known[1]
    if len(_longest) >= _TABLES_KEPT:
        _longest.clear()
    length = max(map(len, table), default=0)
    _longest[id(table)] = (table, length)
    return length
