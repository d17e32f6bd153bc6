"""Cue phrases of `words/claims.csv` found in a Doc: the longest at each place wins, which is how pseudo-cues work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, cast, get_args

from spacy.tokens import Doc, Token

from earwitness.pipeline.words import WordRow, word_rows

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
    "restart",
]
Direction = Literal["forward", "backward", "both", "forward first", ""]
SURENESS: frozenset[Category] = frozenset({"hedge", "booster", "question", "negation", "absence"})
"""Categories that say how sure the speaker is: their rules have bounds."""
_INERT: frozenset[Category] = frozenset({"wh", "pseudo", "pseudo_simile", "termination", "restart"})
"""Categories that act on no mention: they need no direction and no reach."""
_SPOKEN_IN_FULL = {
    "'s": "is",
    "s": "is",
    "’s": "is",
    "'d": "would",
    "’d": "would",
    "ca": "can",
    "wo": "will",
    "nt": "not",
}


@dataclass(frozen=True, slots=True)
class ClaimRule:
    """A row of the word list: `reach` is "sentence", "clause" or "N words"; low and high bound the certainty.

    `direction` "both" acts on the nearer side, "forward first" backward only where no name follows ("could be").
    """

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
    for row in word_rows("claims", own):
        rule = _rule(row)
        by_first.setdefault(rule.phrase[0], {})[rule.phrase] = rule
    return {w: tuple(sorted(r.values(), key=lambda rule: -len(rule.phrase))) for w, r in by_first.items()}


def _rule(row: WordRow) -> ClaimRule:
    category = cast(Category, row.one_of("category", get_args(Category)))
    direction = cast(Direction, row.one_of("direction", get_args(Direction)))
    reach = row["reach"]
    if reach not in ("", "clause", "sentence") and not (reach.endswith(" words") and reach[:-6].isdigit()):
        row.refuse(f"reach {reach!r} is not known", "clause, sentence or N words")
    if category not in _INERT and not (direction and reach):
        row.refuse(f"{category} has no direction or no reach", "a direction, and clause, sentence or N words")
    low, high = (row.number(bound) if row[bound] else None for bound in ("low", "high"))
    if category in SURENESS and (low is None or high is None or not 0 <= low <= high <= 1):
        row.refuse(f"{category} is not bounded by low and high", "0 <= low <= high <= 1")
    return ClaimRule(tuple(row["phrase"].lower().split()), category, direction, reach, low, high, row["source"])


def claim_cues(doc: Doc, start: int, end: int, own: Path | None = None) -> list[ClaimCue]:
    """The cues among tokens [start, end), in order, never overlapping.

    A pseudo-cue takes its words before anything that begins further left: "it is not just", not "it is not".
    """
    words = claim_words(list(doc[start:end]))
    rules = _rules(own)
    longest = {at: rule for at in range(len(words)) if (rule := _longest_at(words, at, rules))}
    pseudo = {at: at + len(rule.phrase) for at, rule in longest.items() if rule.category == "pseudo"}
    cues: list[ClaimCue] = []
    at = 0
    while at < len(words):
        room = next((p for p in range(at + 1, len(words)) if p in pseudo), len(words))
        found = longest.get(at)
        if found and at not in pseudo and room < at + len(found.phrase) < pseudo[room]:
            found = _longest_at(words[:room], at, rules)
        if found is None:
            at += 1
            continue
        cues.append(ClaimCue(words[at][0], words[at + len(found.phrase) - 1][0] + 1, found))
        at += len(found.phrase)
    return cues


def _longest_at(words: list[tuple[int, str]], at: int, rules: Mapping[str, tuple[ClaimRule, ...]]) -> ClaimRule | None:
    for rule in rules.get(words[at][1], ()):
        if tuple(word for _, word in words[at : at + len(rule.phrase)]) == rule.phrase:
            return rule
    return None
