"""What words without a name do to the animal just spoken of: a yes, a no, "genus only", "and another one", "a rock"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Literal

from spacy.tokens import Doc

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.settle.numbers import number_at
from earwitness.pipeline.settle.quantities import BARE_UP_TO
from earwitness.pipeline.settle.roles import roles, words_for
from earwitness.pipeline.words import WordRow, word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

Yes = Literal["yes", "agreed", ""]
Pick = Literal["first", "second", "other", ""]
Stop = Literal["stet.", "indet.", ""]
Thing = Literal["said", "it", "that", "bare", ""]
Met = list[tuple[int, int, WordRow]]
_RANK_WORDS = re.compile(r"^(genus|family|order|class|phylum)$")
_SHORT = 8
_ASIDE = 3
_BEFORE_A_THING = 6
NTH = {
    "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "ninth": 9, "tenth": 10,
}  # fmt: skip
_SUBJECT_BY = 5
"""Words by which a subject has been said."""


@dataclass(frozen=True, slots=True)
class Reply:
    """What a stretch without a name does.

    Args:
        strikes: takes back what was said last: "scratch that".
        voids: asks for no record ("don't count it"), or says there is no animal ("not alive").
        thing: it is called a thing that is no animal ("a rock"); "said" where a no or a "just" goes with it, else
            what was pointed with ("it is a rock", "that is a rock"), "bare" where no more is said ("A rock.").
        refuses: opens with a no; `alone` where nothing else is said.
        doubts: does not believe the name.
        agrees: "yes" may be mere listening, "agreed" is not.
        pick: of two names on offer, the one that is taken.
        rank: a rank that is asked for without a name ("genus only").
        species: the species that was offered is to stand.
        stop: that the name goes no lower by choice (stet.), or cannot (indet.).
        undecided: that it cannot be told.
        more: so many more of the same kind ("and another one").
        total: how many there are, where that is said with it ("and another, so three").
        logging: asks what is to be written.
        predicate: opens with "is" or the like: "... is another" says something of the name before it.
        speaks_of_it: goes on about the animal spoken of, as "it", "she" or "this one", and names none.
        words: how many words there are.
    """

    strikes: bool = False
    voids: bool = False
    thing: Thing = ""
    refuses: bool = False
    alone: bool = False
    doubts: bool = False
    agrees: Yes = ""
    pick: Pick = ""
    rank: str | None = None
    species: bool = False
    stop: Stop = ""
    undecided: bool = False
    more: int = 0
    total: int | None = None
    logging: bool = False
    predicate: bool = False
    speaks_of_it: bool = False
    words: int = 0


@cache
def _along(own: Path | None) -> frozenset[str]:
    return frozenset(row["word"].lower() for row in word_rows("along", own))


def reply_of(doc: Doc, start: int, end: int, own: Path | None = None) -> Reply:
    """What the words among tokens [start, end), none of them a name, do."""
    _, words = words_of(doc, start, end)
    if not words:
        return Reply()
    met = phrases_in(words, roles(own))
    lead, behind = lead_roles(words, met)
    anywhere = {row["role"] for _, _, row in met}
    few = anywhere if len(words) <= _SHORT else lead
    asks = doc[start:end].text.rstrip().endswith("?")
    refuses = "refusal" in lead
    more, total = (0, None) if asks else _more(words, met, own)
    stop: Stop = "stet." if "stet" in anywhere else "indet." if "indet" in anywhere else ""
    return Reply(
        strikes="strike" in few,
        voids=not asks and ("lifeless" in anywhere or ("void" in anywhere and not _of_others(words, own))),
        thing="" if asks else _thing(words, lead, own),
        refuses=refuses and not asks,
        alone=behind == len(words),
        doubts="doubt" in few,
        agrees="" if asks or refuses else _agrees(words, met, lead, behind),
        pick=_pick(few),
        rank=None if asks else _rank(words, anywhere),
        species="species" in anywhere and not asks,
        stop=stop,
        undecided=any(row["role"] == "undecided" and last == len(words) for _, last, row in met),
        more=more,
        total=total,
        logging="logging" in anywhere,
        predicate=words[0] in words_for("being", own),
        speaks_of_it=_speaks_of_it(words),
        words=len(words),
    )


def lead_roles(words: list[str], met: Met) -> tuple[set[str], int]:
    """The roles of the phrases that open the stretch, nothing but "oh" and "well" between; and where they end."""
    lead: set[str] = set()
    at = 0
    heads = {first: (last, row["role"]) for first, last, row in met}
    while at < len(words):
        if at in heads:
            at, role = heads[at]
            lead.add(role)
        elif words[at] in words_for("hesitation"):
            at += 1
        else:
            break
    return lead, at


def _agrees(words: list[str], met: Met, lead: set[str], behind: int) -> Yes:
    if not {"assent", "agreement"} & lead or "none" in lead:
        return ""
    # "It is." agrees; "it is huge" goes on to say something.
    said_on = behind < len(words) and any(
        words[last - 1] in words_for("being") and last <= behind for _, last, _ in met
    )
    if said_on:
        return ""
    return "agreed" if "agreement" in lead else "yes"


def _pick(met: set[str]) -> Pick:
    return "first" if "first" in met else "second" if "second" in met else "other" if "other" in met else ""


def _rank(words: list[str], anywhere: set[str]) -> str | None:
    places = [i for i, word in enumerate(words) if _RANK_WORDS.match(word)]
    if not places or (places[-1] and words[places[-1] - 1] in words_for("asks for another")):
        return None
    said = [word for word in words if word not in words_for("hesitation")]
    asked_for = bool({"stet", "retreat", "indet"} & anywhere)
    short = len(said) <= 2 or (len(words) <= _SHORT and bool(words_for("leads to a rank") & set(words)))
    return words[places[-1]] if asked_for or short else None


def _more(words: list[str], met: Met, own: Path | None) -> tuple[int, int | None]:
    """How many more are shown, and how many that makes; nothing if anything else is said ("another dropstone")."""
    more, total, at = 0, None, 0
    phrases = {first: last for first, last, row in met if row["role"] == "more"}
    while at < len(words):
        number = number_at(words, at)
        if at in phrases or _is_nth_one(words, at):
            last = phrases.get(at, at + 2)
            by = number_at(words, last) if words[last - 1] == "another" else None
            if by and not by.spelt and by.value == int(by.value):
                # "Another two"; "another five hundred" are metres.
                more, at = more + int(by.value), by.last
                if more >= BARE_UP_TO:
                    return 0, None
                continue
            more, total = more + 1, _nth(words[at:last]) or total
            if _is_shown(words, at, last, own):
                # "There is a fifth in the other corner", "with another riding on it".
                return more, total if total is not None else last_total(words[last:])
            if words[last - 1] in words_for("pro-form", own) and words[last : last + 1] != ["of"]:
                # "Another one" leaves no doubt of what: wherever it is, whatever it does.
                return more, total if total is not None else last_total(words[last:])
            at = last
        elif number and not number.spelt and number.value == int(number.value):
            if words[number.last : number.last + 1] in (["more"], ["others"], ["extra"]):
                more, at = more + int(number.value), number.last + 1
                if at < len(words) and words[at] in words_for("place", own):
                    # "Three more in the next hole along."
                    return more, last_total(words[at:])
            else:
                # "The smaller one": no count.
                total = int(number.value) if number.value > 1 else total
                at = number.last
        elif words[at] in _along(own) or words[at] in words_for("hesitation", own):
            at += 1
        else:
            return _shown_further_on(words, at, phrases, own)
    return (more, total) if more else (0, None)


def _shown_further_on(
    words: list[str], after: int, phrases: dict[int, int], own: Path | None
) -> tuple[int, int | None]:
    """ "In the far corner there is a fifth": whatever comes before it."""
    for first, last in phrases.items():
        led = [end for _, end, _ in phrases_in(words[:first], _leads(own))]
        if first > after and led[-1:] == [first] and _is_shown(words, first, last, own):
            return 1, _nth(words[first:last])
    return 0, None


def _is_shown(words: list[str], first: int, last: int, own: Path | None) -> bool:
    """Whether "another", "a third" is said to be there, by itself, with where it is or what it does behind it."""
    led = phrases_in(words[:first], _leads(own))
    there = (bool(led) and led[-1][1] == first) or words[max(first - 1, 0) : first] in (["with"], ["and"])
    rest = words[last:]
    place = bool(rest) and (rest[0].endswith("ing") or rest[0] in words_for("place", own) | words_for("side", own))
    return there and (place or (bool(led) and not rest))


@cache
def _leads(own: Path | None) -> Phrases:
    return phrase_table("there_are", own=own)


def _is_nth_one(words: list[str], at: int) -> bool:
    """ "Second one to starboard"; "the second one" is one that is known."""
    before = words[at - 1] if at else ""
    return words[at] in NTH and words[at + 1 : at + 2] == ["one"] and before not in ("the", "that", "this", "its")


def _nth(phrase: list[str]) -> int | None:
    """How many a "second" or "third" one makes."""
    return next((NTH[word] for word in phrase if word in NTH), None)


def last_total(words: list[str]) -> int | None:
    """ "..., so three", "that makes four": how many are counted up to."""
    for at in range(len(words)):
        led = at >= 1 and (words[at - 1] in ("so", "makes", "total") or words[at - 2 : at] == ["that", "is"])
        number = number_at(words, at) if led else None
        if number and not number.spelt and number.value > 1 and number.value == int(number.value):
            return int(number.value)
    return None


def _speaks_of_it(words: list[str]) -> bool:
    """Whether "it", "she" or "this one" is the subject of a sentence that names no animal."""
    opening = [word for word in words if word not in words_for("hesitation")][:_SUBJECT_BY]
    pointed = any(pair in (["this", "one"], ["that", "one"]) for pair in map(list, pairwise(opening)))
    return pointed or bool(words_for("pronoun") & set(opening))


def names_the_other(question: list[str], answer: list[str], own: Path | None) -> bool:
    """Whether an answer picks what a question offered beside the name: "..., or a pebble?" "A pebble."."""
    if "or" not in question:
        return False
    offered = [
        word for word in question[question.index("or") + 1 :] if word not in words_for("article", own) | _along(own)
    ]
    answered = [
        word for word in answer if word not in words_for("article", own) | _along(own) | words_for("hesitation", own)
    ]
    # What the answer opens with is what was chosen; "no" and the like are answers of another kind.
    return bool(offered) and answered[: len(offered)] == offered and not {"no", "not"} & set(answer)


def _thing(words: list[str], lead: set[str], own: Path | None) -> Thing:
    """Whether it is called a thing that is no animal: "no wait it is a rock", "just a shadow", "a fold in the mat"."""
    listed = phrases_in(words, {**phrase_table("substrates", own=own), **phrase_table("not_animals", own=own)})
    corrects = bool({"correction", "refusal"} & lead)
    said = [word for word in words if word not in words_for("article", own) | words_for("hesitation", own)]
    if not corrects and listed and words[listed[0][0] : listed[0][1]] == said:
        return "bare"
    for first, last, _ in listed:
        if last < len(words) and words[last] not in words_for("after a thing", own):
            continue
        head = words[max(first - _BEFORE_A_THING, 0) : first]
        being = next((i for i in range(len(head) - 1, -1, -1) if head[i] in words_for("being", own)), None)
        if being is None and any(
            a in words_for("making", own) and b in words_for("head", own) for a, b in pairwise(head)
        ):
            # "I make it a bag."
            return "it"
        if words_for("once believed", own) & set(head):
            # "I thought it was a shell."
            continue
        # "The open ones are only shells", "underneath it is rock": something else is called so.
        if being is not None and (
            being == 0
            or head[being - 1] not in words_for("head", own)
            or set(head[: being - 1]) & words_for("leads away", own)
        ):
            continue
        between = set(head[being + 1 :] if being is not None else head)
        if words_for("leads away", own) & between:
            continue
        bare = len(head) == first and bool(words_for("article", own) & between)
        if {"just", "only"} & between or (corrects and (being is not None or bare)):
            return "said"
        if being is not None:
            return "it" if head[being - 1] in ("it", "they") else "that"
    return ""


def _of_others(words: list[str], own: Path | None) -> bool:
    """Whether other things are spoken of: "the open ones are only shells, don't count those"."""
    return len(words) > _SHORT or "ones" in words or bool(phrases_in(words, phrase_table("substrates", own=own)))


def stretches(start: int, end: int, spans: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The parts of tokens [start, end) before, between and after spans of it."""
    edges = [start, *(edge for span in spans for edge in span), end]
    return [(a, b) for a, b in list(pairwise(edges))[::2]]
