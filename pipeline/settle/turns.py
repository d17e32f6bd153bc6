"""What the words before a name do to the talk so far: correct it, go back up, offer another, start a new animal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, cast, get_args

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.settle.numbers import SpokenNumber, number_at
from earwitness.pipeline.settle.pointing import opens_with_place, says_where
from earwitness.pipeline.settle.quantities import count_words
from earwitness.pipeline.settle.replies import NTH, lead_roles
from earwitness.pipeline.settle.roles import Role, roles, words_for
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

Subject = Literal["it", "that", ""]
__all__ = ["Role", "Turn", "opening_turn"]

_CORRECTING = {"correction", "refusal", "strike"}
_STARTING = {"new", "more", "second", "other"}
_RETREATING = {"retreat", "stet"}
_OPENING = 4
_SUBJECT_WITHIN = 9
_RETREATS_WITHIN = 7
_BETWEEN = 3
_PLACED_WITHIN = 4


@dataclass(frozen=True, slots=True)
class Turn:
    """The roles met before a name.

    Args:
        corrects: a correction, a no, or "scratch that".
        alternative: "or", "could also be".
        counters: another opinion, however unlike: "I would have said".
        new: of an animal not spoken of yet: "another", "a second".
        presents: shows an animal rather than naming one: "there is a".
        retreats: goes back to a higher group, or says what is to be written: "leave it at", "put".
        closes: says what follows from the talk so far: "a squid, then".
        subject: what is said to be the name: "it" (the animal just spoken of), "that" (one that is pointed at).
        definite: one that is known: "the crab".
        side: which of several: "the one on the left is".
        reads_back: the logger repeats what was said.
        agrees: opens with a yes.
        reaches: how many of them the name makes: 2 of "a second crab".
        adds: how many more there are: 2 of "two more crabs", 1 of "another crab".
        place: only says where something else is: "four more behind the crab".
        object: something is done to it: "eats the crab", "off the crab".
        placed: where it is stands right behind the name: "a crab on the ledge".
    """

    corrects: bool = False
    alternative: bool = False
    counters: bool = False
    new: bool = False
    presents: bool = False
    retreats: bool = False
    closes: bool = False
    subject: Subject = ""
    definite: bool = False
    side: str = ""
    reads_back: bool = False
    agrees: bool = False
    reaches: int = 0
    adds: int = 0
    place: bool = False
    placed: bool = False
    object: bool = False


@cache
def _subjects(own: Path | None) -> Phrases:
    for row in word_rows("subjects", own):
        row.one_of("subject", get_args(Subject))
    return phrase_table("subjects", own=own)


def opening_turn(
    doc: Doc,
    turn_start: int,
    mention_start: int,
    mention_end: int,
    utterance_end: int,
    sentence: Span,
    own: Path | None = None,
) -> Turn:
    """What the words before a mention do: how its turn opens, and what stands right before the name.

    `turn_start` is where its utterance begins, or the last name ends that was stated in it: a "no" before that name
    was said of that name.
    """
    _, words = words_of(doc, turn_start, mention_start)
    table = roles(own)
    all_met = phrases_in(words, table)
    anywhere = {row["role"] for _, _, row in all_met}
    _, near = words_of(doc, max(sentence.start, turn_start), mention_start)
    met = phrases_in(near, table)
    opening = {row["role"] for run in (all_met, met) for first, _, row in run if first == 0}
    beside = {row["role"] for _, _, row in phrases_in(near[-_OPENING:], table)}
    _, after = words_of(doc, mention_end, min(mention_end + 2 * _OPENING, sentence.end))
    behind, _ = lead_roles(after, phrases_in(after, table))
    _, following = words_of(doc, mention_end, min(mention_end + 2 * _OPENING, utterance_end))
    subject = _subject(near, own)
    shown = "presents" in {row["role"] for _, _, row in met} or opens_with_place(near, own)
    presents = shown and not subject
    # Two roads to a correction: the turn opens with one, or says the word itself ("correction to the last").
    corrects = bool(_CORRECTING & opening) or any(w in ("correction", "actually", "rather") for w in words)
    # "Wait, there is a crab" corrects nothing.
    corrects = corrects and not (presents and "refusal" not in opening)
    starts = _STARTING & (beside | behind)
    return Turn(
        corrects=corrects,
        alternative="alternative" in beside,
        counters="counter" in {row["role"] for _, _, row in met},
        new=bool(starts) or (not near and bool(_STARTING & anywhere) and not corrects and len(words) <= _OPENING),
        presents=presents,
        retreats=bool((_RETREATING | {"written"}) & behind) or _retreats(near, own),
        closes=_closes(doc, mention_end, near, after),
        subject=subject,
        definite=_is_definite(near[-_BETWEEN:]),
        side=_side(near),
        agrees=bool({"assent", "agreement"} & (opening | behind)),
        reaches=_reaches(near, own),
        adds=_adds(near, own),
        place=is_place(near),
        object=len(near) > 2
        and near[-1] in words_for("definite", own)
        and near[-2] not in words_for("place", own) | words_for("at a name", own),
        placed=says_where(after[:_PLACED_WITHIN], own),
        reads_back=bool(
            {"readback", "written"} & {row["role"] for _, _, row in phrases_in([*words, *following], table)}
        ),
    )


def _reaches(near: list[str], own: Path | None) -> int:
    """ "A second crab", "a third small crab": how many that makes."""
    for at in _shortly_before(near, own):
        if near[at] in NTH:
            return NTH[near[at]] if words_for("bound", own).isdisjoint(near[max(at - 1, 0) : at + 1]) else 0
    return 0


def _adds(near: list[str], own: Path | None) -> int:
    """ "Two more crabs", "another crab", "another two small crabs": how many more."""
    for at in _shortly_before(near, own):
        if near[at] == "another":
            number = number_at(near, at + 1)
            return _whole(number) or 1
        if near[at] == "more" and at:
            starts = (first for first in range(max(at - _BETWEEN, 0), at))
            numbers = (number_at(near[:at], first) for first in starts)
            return next((_whole(number) for number in numbers if number and number.last == at), 0)
    return 0


def _whole(number: SpokenNumber | None) -> int:
    return int(number.value) if number and not number.spelt and number.value == int(number.value) else 0


def _shortly_before(near: list[str], own: Path | None) -> Iterator[int]:
    """Places of the last words before a name, back to the first that can be no adjective of it."""
    roles_apart = ("definite", "indefinite", "place", "being", "leads away", "asks for another")
    stop = {"of"}.union(*(words_for(role, own) for role in roles_apart), count_words("counter", own)) - {"another"}
    for at in range(len(near) - 1, max(len(near) - 1 - _BETWEEN, -1), -1):
        if near[at] in stop:
            return
        yield at


def is_place(near: list[str]) -> bool:
    """Whether the words before a name make it a place: "behind the"."""
    return len(near) > 1 and near[-1] in words_for("definite") and near[-2] in words_for("place")


def _is_definite(near: list[str]) -> bool:
    """Whether the last determiner before a name says that it is known: "the crab", not "on the ledge a crab"."""
    determiners = [word for word in near if word in words_for("definite") | words_for("indefinite")]
    return bool(determiners) and determiners[-1] in words_for("definite")


def _retreats(near: list[str], own: Path | None) -> bool:
    """Whether words before a name go back to it: "leave it at the", or a mere "so", "just" or "put" right before it."""
    near = near[-_RETREATS_WITHIN:]
    met = [(last, row) for _, last, row in phrases_in(near, roles(own)) if row["role"] in _RETREATING]
    # "So a sea toad" says the same in other words; "so sea toad" says what is left.
    met = [(last, row) for last, row in met if row["phrase"] != "so" or last == len(near)]
    return near[-1:] == ["then"] or any(" " in row["phrase"] or len(near) - last <= 1 for last, row in met)


def _closes(doc: Doc, end: int, near: list[str], after: list[str]) -> bool:
    """ "Coralliid, then.", "then a squid": a name that closes what was said before."""
    if near[-2:-1] == ["then"] and near[-1] in words_for("indefinite"):
        return True
    ends = [token.is_punct for token in doc[end : end + 3]]
    return after[:1] == ["then"] and (len(after) == 1 or ends[1:2] == [True] or ends[2:3] == [True])


def _subject(near: list[str], own: Path | None) -> Subject:
    """What is said to be the name: the last "it is" before it, unless words between lead away from it."""
    articles = words_for("indefinite", own) | words_for("definite", own)
    its = next((at for at in (-1, -2) if near[at:][:1] == ["its"]), 0)
    if its and (its == -1 or near[-1] in articles) and not words_for("away from it", own) & set(near[its - 1 : its]):
        # "So its rossella", as recognisers write it; not "with its brittle star".
        return "it"
    # "It may equally be": an adverb inside changes nothing.
    near = [word for word in near[-_SUBJECT_WITHIN:] if not (word.endswith("ly") or word in words_for("adverb", own))]
    met = phrases_in(near, _subjects(own))
    between = near[met[-1][1] :] if met else []
    if (
        not met
        or words_for("away from it", own) & set(between)
        or any(w.endswith("ing") and w not in words_for("naming", own) for w in between)
    ):
        return ""
    return cast(Subject, met[-1][2]["subject"])


def _side(near: list[str]) -> str:
    """ "The one on the left is", "the left one is": the word that tells which."""
    if "one" not in near or near[-1] not in ("is", "a", "an", "the", "be", "was"):
        return ""
    return next((word for word in near if word in words_for("side")), "")
