"""Cue phrases of `words/claims.csv` found in a Doc: the longest at each place wins, which is how pseudo-cues work."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from pathlib import Path

from spacy.tokens import Doc, Token

from earwitness.pipeline.judge.rules import (
    SURENESS,
    Category,
    ClaimRule,
    Direction,
    Modifiers,
    Rules,
    claim_rules,
    modified,
    modifiers,
)

__all__ = ["SURENESS", "Category", "ClaimCue", "ClaimRule", "Direction", "claim_cues", "claim_words", "words_of"]

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

_SPOKEN = "earwitness_spoken_words"
_GIVE_WAY: frozenset[Category] = frozenset({"restart", "host", "landmark"})


@dataclass(frozen=True, slots=True)
class ClaimCue:
    """A rule met at tokens [start, end)."""

    start: int
    end: int
    rule: ClaimRule


def claim_words(tokens: list[Token]) -> list[tuple[int, str]]:
    """Token number and spoken form of every word: contractions in full, punctuation left out."""
    words: list[tuple[int, str]] = []
    for token in tokens:
        norm = token.norm_.lower().rstrip(".")
        if not any(c.isalnum() for c in norm):
            continue
        word = _SPOKEN_IN_FULL.get(token.lower_, _SPOKEN_IN_FULL.get(norm, norm))
        if word == "is" and words and words[-1][1] == "let":
            word = "us"
        words.append((token.i, word))
    return words


def words_of(doc: Doc, start: int, end: int) -> tuple[list[int], list[str]]:
    """Token numbers and spoken forms of the words among tokens [start, end), worked out once a Doc."""
    spoken = doc.user_data.get(_SPOKEN)
    if spoken is None:
        pairs = claim_words(list(doc))
        spoken = doc.user_data[_SPOKEN] = ([i for i, _ in pairs], [word for _, word in pairs])
    numbers, words = spoken
    first, last = bisect_left(numbers, start), bisect_left(numbers, end)
    return numbers[first:last], words[first:last]


def claim_cues(doc: Doc, start: int, end: int, own: Path | None = None) -> list[ClaimCue]:
    """The cues among tokens [start, end), in order.

    They never overlap, but that words which only introduce a name give way to a cue that begins in them: "that is |
    a guess", "on | the size of". A pseudo-cue
    takes its words before anything that begins further left: "it is not just", not "it is not".
    """
    words = claim_words(list(doc[start:end]))
    spoken = tuple(word for _, word in words)
    rules, moves = claim_rules(own), modifiers(own)
    longest = [_longest_at(spoken, at, len(words), rules, moves) for at in range(len(words))]
    next_pseudo = _next_pseudo(longest)
    cues: list[ClaimCue] = []
    at = 0
    while at < len(words):
        found, room = longest[at], next_pseudo[at + 1]
        taken = longest[room] if room < len(words) else None
        if found and taken and found.category != "pseudo" and room < at + len(found.phrase) < room + len(taken.phrase):
            found = _longest_at(spoken, at, room, rules, moves)
        if found is None:
            at += 1
            continue
        over = at + len(found.phrase)
        cues.append(ClaimCue(words[at][0], words[over - 1][0] + 1, found))
        if found.category in _GIVE_WAY:
            inside = (p for p in range(at + 1, over) if (rule := longest[p]) and p + len(rule.phrase) > over)
            over = next(inside, over)
        at = over
    return cues


def _next_pseudo(longest: list[ClaimRule | None]) -> list[int]:
    """By place, where the next pseudo-cue at it or behind it begins; the number of words where none does."""
    places = [len(longest)] * (len(longest) + 1)
    for at in reversed(range(len(longest))):
        rule = longest[at]
        places[at] = at if rule is not None and rule.category == "pseudo" else places[at + 1]
    return places


def _longest_at(spoken: tuple[str, ...], at: int, stop: int, rules: Rules, moves: Modifiers) -> ClaimRule | None:
    """The longest rule at a place that ends before `stop`, be it by a modifier in front: "very possible"."""
    plain = _plain_at(spoken, at, stop, rules)
    for modifier in moves.get(spoken[at], ()):
        over = at + len(modifier.phrase)
        if over >= stop or spoken[at:over] != modifier.phrase or spoken[over] not in modifier.heads:
            continue
        base = _plain_at(spoken, over, stop, rules)
        if base and (plain is None or len(plain.phrase) < len(modifier.phrase) + len(base.phrase)):
            return modified(modifier, base)
    return plain


def _plain_at(spoken: tuple[str, ...], at: int, stop: int, rules: Rules) -> ClaimRule | None:
    known = rules.get(spoken[at])
    if known is None:
        return None
    for length in known.lengths:
        rule = known.by_phrase.get(spoken[at : at + length]) if at + length <= stop else None
        if rule is not None:
            return rule
    return None
