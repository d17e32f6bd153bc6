"""What a turn does to the talk before it: corrects, agrees, offers an alternative, starts a new animal, retreats."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, get_args

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

Role = Literal["correction", "refusal", "agreement", "alternative", "new", "retreat"]
_RANK_WORDS = re.compile(r"^(genus|family|order|class|phylum)$")
_OPENING = 4
_RANK_ONLY_WORDS = 8
_RANK_LEADS = {"only", "put", "leave", "just", "at", "left", "say", "yes", "keep", "level", "is"}


@dataclass(frozen=True, slots=True)
class Turn:
    """The roles met in a stretch of talk, and a higher rank that is asked for without a name ("genus only").

    `refuses`: the stretch is a no and nothing else.
    """

    corrects: bool = False
    refuses: bool = False
    agrees: bool = False
    alternative: bool = False
    new: bool = False
    retreats: bool = False
    rank: str | None = None


@cache
def _roles(own: Path | None) -> Phrases:
    """The word list of turns, with roles checked."""
    for row in word_rows("turns", own):
        row.one_of("role", get_args(Role))
    return phrase_table("turns", own=own)


def opening_turn(doc: Doc, turn_start: int, mention_start: int, mention_end: int, own: Path | None = None) -> Turn:
    """What the words before a mention do: how its turn opens, and what stands right before the name.

    `turn_start` is where its utterance begins, or the last name ends that was stated in it: a "no" before that name
    was said of that name.
    """
    _, words = words_of(doc, turn_start, mention_start)
    table = _roles(own)
    anywhere = {row["role"] for _, _, row in phrases_in(words, table)}
    _, near = words_of(doc, max(doc[mention_start].sent.start, turn_start), mention_start)
    opening = {row["role"] for run in (words, near) for first, _, row in phrases_in(run, table) if first == 0}
    beside = {row["role"] for _, _, row in phrases_in(near[-_OPENING:], table)}
    _, after = words_of(doc, mention_end, min(mention_end + _OPENING, doc[mention_start].sent.end))
    behind = {row["role"] for first, _, row in phrases_in(after, table) if first == 0}
    # Two roads to a correction: the turn opens with one, or says the word itself ("correction to the last").
    corrects = bool({"correction", "refusal"} & opening) or any(
        w in ("correction", "actually", "rather") for w in words
    )
    return Turn(
        corrects=corrects,
        agrees="agreement" in opening,
        alternative="alternative" in beside,
        new="new" in beside | behind or (not near and "new" in anywhere and not corrects and len(words) <= _OPENING),
        retreats="retreat" in {row["role"] for _, _, row in phrases_in(near, table)} | behind,
    )


def nameless_turn(doc: Doc, sentence: Span, own: Path | None = None) -> Turn:
    """What a sentence without a name does: "Yes.", "Genus only.", "Leave it at family."."""
    _, words = words_of(doc, sentence.start, sentence.end)
    if not words:
        return Turn()
    opening = [(last, row["role"]) for first, last, row in phrases_in(words, _roles(own)) if first == 0]
    roles = {role for _, role in opening}
    ranks = [word for word in words if _RANK_WORDS.match(word)]
    short = len(words) <= 2 or bool(_RANK_LEADS & set(words))
    rank = ranks[-1] if ranks and len(words) <= _RANK_ONLY_WORDS and short else None
    # "It is." agrees; "it is huge" goes on to say something.
    said_on = any(last < len(words) and words[last - 1] in ("is", "are") for last, _ in opening)
    return Turn(agrees="agreement" in roles and not said_on, refuses=opening == [(len(words), "refusal")], rank=rank)
