"""Cue phrases of `words/claims.csv` found in a Doc: the longest at each place wins, which is how pseudo-cues work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, cast, get_args

from spacy.tokens import Doc, Token

from earwitness.pipeline.words import word_rows
from earwitness.schemas import InputError, Problem

Category = Literal[
    "hedge",
    "booster",
    "question",
    "wh",
    "negation",
    "absence",
    "pseudo",
    "simile",
    "pseudo_simile",
    "general",
    "recalled",
    "elsewhere",
    "termination",
]
Direction = Literal["forward", "backward", "both", ""]
_SPOKEN_IN_FULL = {
    "'s": "is",
    "’s": "is",
    "'d": "would",
    "’d": "would",
    "ca": "can",
    "wo": "will",
    "nt": "not",
}


@dataclass(frozen=True, slots=True)
class ClaimRule:
    """A row of the word list: `reach` is "sentence", "clause" or "N words"; low and high bound the certainty."""

    phrase: tuple[str, ...]
    category: Category
    direction: Direction
    reach: str
    low: float | None
    high: float | None
    source: str

    @property
    def certainty(self) -> float | None:
        """The middle of the interval."""
        return None if self.low is None or self.high is None else round((self.low + self.high) / 2, 3)


@dataclass(frozen=True, slots=True)
class ClaimCue:
    """A rule met at tokens [start, end)."""

    start: int
    end: int
    rule: ClaimRule


def claim_words(tokens: list[Token]) -> list[tuple[int, str]]:
    """Token number and spoken form of every word: contractions in full, punctuation left out."""
    words = []
    for token in tokens:
        norm = token.norm_.lower()
        if any(c.isalnum() for c in norm):
            words.append((token.i, _SPOKEN_IN_FULL.get(token.lower_, _SPOKEN_IN_FULL.get(norm, norm))))
    return words


def words_of(doc: Doc, start: int, end: int) -> tuple[list[int], list[str]]:
    """Token numbers and spoken forms of the words among tokens [start, end)."""
    pairs = claim_words(list(doc[start:end]))
    return [i for i, _ in pairs], [word for _, word in pairs]


@cache
def _rules(own: Path | None) -> Mapping[str, tuple[ClaimRule, ...]]:
    """Rules by first word, longest first."""
    by_first: dict[str, dict[tuple[str, ...], ClaimRule]] = {}
    for line, row in enumerate(word_rows("claims", own), start=2):
        rule = _rule(row, line)
        by_first.setdefault(rule.phrase[0], {})[rule.phrase] = rule
    return {w: tuple(sorted(r.values(), key=lambda rule: -len(rule.phrase))) for w, r in by_first.items()}


def _rule(row: dict[str, str], line: int) -> ClaimRule:
    phrase, category, direction, reach = (row[k].strip() for k in ("phrase", "category", "direction", "reach"))
    for value, allowed in ((category, get_args(Category)), (direction, get_args(Direction))):
        if value not in allowed:
            raise InputError(Problem("claims.csv", line, f"{value!r} is not known", ", ".join(filter(None, allowed))))
    if reach not in ("", "clause", "sentence") and not (reach.endswith(" words") and reach[:-6].isdigit()):
        raise InputError(Problem("claims.csv", line, f"reach {reach!r} is not known", "clause, sentence or N words"))
    if not phrase:
        raise InputError(Problem("claims.csv", line, "the phrase is blank", "words as they are said"))
    low, high = (float(row[k]) if row[k] else None for k in ("low", "high"))
    words = tuple(phrase.lower().split())
    return ClaimRule(words, cast(Category, category), cast(Direction, direction), reach, low, high, row["source"])


def claim_cues(doc: Doc, start: int, end: int, own: Path | None = None) -> list[ClaimCue]:
    """The cues among tokens [start, end), in order, never overlapping."""
    words = claim_words(list(doc[start:end]))
    rules = _rules(own)
    cues: list[ClaimCue] = []
    at = 0
    while at < len(words):
        for rule in rules.get(words[at][1], ()):
            length = len(rule.phrase)
            if tuple(word for _, word in words[at : at + length]) == rule.phrase:
                cues.append(ClaimCue(words[at][0], words[at + length - 1][0] + 1, rule))
                at += length
                break
        else:
            at += 1
    return cues
