"""From cues in reach to one judgement a mention."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace
from pathlib import Path

from spacy.tokens import Doc

from earwitness.pipeline.judge.acting import acted, acted_on_certainty, named_person, question_mark
from earwitness.pipeline.judge.answers import Thread, asks_about_kinds
from earwitness.pipeline.judge.cues import ClaimCue
from earwitness.pipeline.judge.judgement import (
    PLAIN_STATEMENT,
    TALK_ONLY,
    ActingCue,
    Judgement,
    Role,
    Status,
)
from earwitness.pipeline.judge.noun_phrase import names_a_kind
from earwitness.pipeline.judge.questions import is_asked
from earwitness.pipeline.judge.rules import DENIALS, QUESTIONS, Category
from earwitness.pipeline.judge.sentence import Sentence
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.people import PersonName
from earwitness.pipeline.segment import UTTERANCES
from earwitness.pipeline.words.terms import certainty_term

ASKED = 0.4
"""Certainty of what is offered with a question mark alone: as the questions of words/claims.csv."""
_Ranked = tuple[tuple[Status, tuple[Category, ...]], ...]
_NO_ANIMAL: _Ranked = (
    ("figure", ("figure",)),
    ("recalled", ("recalled",)),
    ("compared", ("simile",)),
)
_TALK: _Ranked = (
    ("general", ("general",)),
    ("elsewhere", ("elsewhere",)),
    ("general", ("habitual", "prey")),
)
"""Statuses of talk and the categories that make them, the strongest first: before likeness and after it."""


def judge_by_rules(
    doc: Doc,
    mentions: tuple[Mention, ...],
    own_words: Path | None = None,
    people: tuple[PersonName, ...] = (),
) -> tuple[Judgement, ...]:
    """One judgement a mention, in order; a mention that touches a name of `people` is a person's."""
    starts = [mention.start for mention in mentions]
    persons = {n: person for person in people for n in _touched(person, mentions, starts)}
    judged: dict[int, Judgement] = {}
    thread = Thread()
    # Walked once: `utterance.sents` takes time by the length of the recording.
    sentences = iter(list(doc.sents))
    span = next(sentences, None)
    for utterance in doc.spans[UTTERANCES]:
        last: int | None = None
        asks, thread.here = False, False
        thread.topic.begin_utterance()
        unfinished: ClaimCue | None = None
        first = bisect_left(starts, utterance.start)
        while span is not None and span.start < utterance.end:
            over = bisect_left(starts, span.end, lo=first)
            here, first = range(first, over), over
            # A person's name is no animal: no cue is spent on it.
            meant = [n for n in here if n not in persons]
            sentence = Sentence(doc, span.start, span.end, [mentions[n] for n in meant], own_words, unfinished)
            marked = span.text.rstrip().endswith("?")
            for place, number in enumerate(meant):
                judged[number] = _judge(sentence, place, marked)
            thread.continued(doc, sentence, meant, judged, marked=marked)
            asks = asks_about_kinds(sentence, meant, judged, marked=marked) or (asks and not meant)
            for number in here:
                if number in persons:
                    judged[number] = _talk("person", [named_person(doc, persons[number])])
            for guest, host in sentence.guest_hosts():
                _set_host(judged, meant[host] if host is not None else last, meant[guest])
            unfinished = sentence.unfinished(opens=last is None)
            if meant:
                last = meant[-1]
            elif last is not None and sentence.is_remark():
                judged[last] = _with_afterthought(doc, judged[last], sentence.cues)
            span = next(sentences, None)
        thread.asked = asks
    return tuple(judged[number] for number in range(len(mentions)))


def _touched(person: PersonName, mentions: tuple[Mention, ...], starts: list[int]) -> list[int]:
    at = max(bisect_left(starts, person.start) - 1, 0)
    touched = []
    while at < len(mentions) and mentions[at].start < person.end:
        if mentions[at].end > person.start:
            touched.append(at)
        at += 1
    return touched


def _set_host(judged: dict[int, Judgement], host: int | None, guest: int) -> None:
    """Give the role of host, unless one of the two is no animal in sight."""
    if host is None or host == guest:
        return
    if {judged[host].status, judged[guest].status} & {"person", "figure", "compared"} or judged[host].role:
        return
    judged[host] = replace(judged[host], role="host")


def _judge(sentence: Sentence, number: int, marked: bool) -> Judgement:
    doc, acting = sentence.doc, sentence.acting[number]
    role: Role | None = "prey" if _of(acting, "prey", "meal") else None
    food = [acted(doc, cue) for cue in _of(acting, "meal")]
    for status, categories in _NO_ANIMAL:
        if found := _of(acting, *categories):
            return _talk(status, [acted(doc, cue) for cue in found])
    likened = _of(acting, "likeness")
    denials = _of(acting, *DENIALS)
    if likened and not denials and sentence.is_contradicted(number):
        return _talk("compared", [acted(doc, cue) for cue in likened])
    kind = names_a_kind(sentence.mentions[number], sentence.forms[number])
    for status, categories in _TALK:
        found = _of(acting, *categories)
        # "That is not a crab, they usually hide" denies; "crabs usually do not swim" is talk of the kind.
        if found and not (status == "general" and denials and not kind and role is None):
            return replace(_talk(status, [acted(doc, cue) for cue in found]), role=role)
    asked = is_asked(sentence, number, marked)
    asking = _of(acting, *QUESTIONS) if asked else []
    hedges = _of(acting, "hedge", "likeness", "alternative")
    if asked and (marked or not denials):
        certainty = min([ASKED, *_certainties(hedges)] if not asking else _certainties(asking + hedges))
        mark = [question_mark(doc, sentence.end)] if marked else []
        return _claim("asked", certainty, [*acted_on_certainty(doc, asking, "asked", certainty), *mark, *food], role)
    if denials:
        absent = all(cue.rule.category != "negation" for cue in denials)
        told = [acted(doc, cue) for cue in denials]
        return replace(_claim("denied", max(_certainties(denials)), [*told, *food], role), absent=absent)
    boosters = _of(acting, "booster")
    if hedges:
        certainty = min(_certainties(hedges))
        return _claim("hedged", certainty, [*acted_on_certainty(doc, hedges, "hedged", certainty), *food], role)
    certainty = max([PLAIN_STATEMENT, *_certainties(boosters)])
    observed = _claim("observed", certainty, [*acted_on_certainty(doc, boosters, "observed", certainty), *food], role)
    return replace(observed, stated=number in sentence.stated)


def _of(cues: list[ClaimCue], *categories: Category) -> list[ClaimCue]:
    return [cue for cue in cues if cue.rule.category in categories]


def _certainties(cues: list[ClaimCue]) -> list[float]:
    return [cue.rule.certainty for cue in cues if cue.rule.certainty is not None]


def _talk(status: Status, acting: list[ActingCue]) -> Judgement:
    return Judgement(status, None, None, tuple(cue.words for cue in acting), acting=tuple(acting))


def _claim(status: Status, certainty: float, acting: list[ActingCue], role: Role | None) -> Judgement:
    words = tuple(cue.words for cue in acting)
    return Judgement(status, certainty, certainty_term(certainty), words, acting=tuple(acting), role=role)


def _with_afterthought(doc: Doc, judgement: Judgement, cues: list[ClaimCue]) -> Judgement:
    if judgement.status in TALK_ONLY or judgement.certainty is None or judgement.status == "denied":
        return judgement
    doubts = _of(cues, "hedge")
    certainty = min([judgement.certainty, *_certainties(doubts)])
    # Who answers the own question with a "perhaps" asks no longer.
    acting = [*judgement.acting, *acted_on_certainty(doc, doubts, "hedged", certainty)]
    return _claim("hedged", certainty, acting, judgement.role)
