"""From cues in reach to one judgement a mention."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import ClaimCue, claim_cues, claim_words
from earwitness.pipeline.judge.judgement import (
    PLAIN_STATEMENT,
    TALK_ONLY,
    Judgement,
    Status,
    certainty_term,
)
from earwitness.pipeline.judge.scope import clause_walls, covers
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.people import PersonName
from earwitness.pipeline.segment import UTTERANCES

ASKED = 0.4
"""Certainty of what is offered with a question mark alone: as the questions of words/claims.csv."""
_AFTERTHOUGHT_WORDS = 4


def judge_mentions(
    doc: Doc,
    mentions: tuple[Mention, ...],
    own_words: Path | None = None,
    people: tuple[PersonName, ...] = (),
) -> tuple[Judgement, ...]:
    """One judgement a mention, in order; a mention that touches a name of `people` is a person's."""
    by_sentence: dict[int, list[int]] = {}
    for number, mention in enumerate(mentions):
        by_sentence.setdefault(doc[mention.start].sent.start, []).append(number)
    judged: dict[int, Judgement] = {}
    for utterance in doc.spans[UTTERANCES]:
        last_said: list[int] = []
        for sentence in utterance.sents:
            cues = claim_cues(doc, sentence.start, sentence.end, own_words)
            here = by_sentence.get(sentence.start, [])
            if here:
                walls = clause_walls(doc, sentence.start, sentence.end, cues, own_words)
                spans = [(mentions[number].start, mentions[number].end) for number in here]
                active: list[list[ClaimCue]] = [[] for _ in here]
                for cue in cues:
                    if not _is_answer(doc, cue):
                        for place in covers(cue, spans, walls):
                            active[place].append(cue)
                for number, acting in zip(here, active, strict=True):
                    judged[number] = _judge(doc, sentence, mentions[number], cues, acting)
                last_said = here
            elif last_said and _is_afterthought(doc, sentence, cues):
                judged[last_said[-1]] = _with_afterthought(judged[last_said[-1]], cues)
    return tuple(judged[number] for number in range(len(mentions)))


def _judge(doc: Doc, sentence: Span, mention: Mention, cues: list[ClaimCue], active: list[ClaimCue]) -> Judgement:
    similes = [c for c in active if c.rule.category == "simile"]
    denials = [c for c in active if c.rule.category in ("negation", "absence")]
    asking = [c for c in active if c.rule.category == "question"]
    asks = _is_question(doc, sentence, cues, mention)
    status: Status
    if similes:
        return _talk(doc, "compared", similes)
    for status in ("general", "recalled", "elsewhere"):
        found = [c for c in active if c.rule.category == status]
        if found:
            return _talk(doc, status, found)
    if asks or (asking and not denials):
        return _claim(doc, "asked", ASKED, asking, extra=("?",) if asks else ())
    if denials:
        absent = all(c.rule.category == "absence" for c in denials)
        return replace(_claim(doc, "denied", max(_certainties(denials)), denials), absent=absent)
    hedges = [c for c in active if c.rule.category == "hedge"]
    boosters = [c for c in active if c.rule.category == "booster"]
    if hedges:
        return _claim(doc, "hedged", min(_certainties(hedges)), hedges)
    if boosters:
        return _claim(doc, "observed", max(_certainties(boosters)), boosters)
    return _claim(doc, "observed", PLAIN_STATEMENT, [])


def _certainties(cues: list[ClaimCue]) -> list[float]:
    return [c.rule.certainty for c in cues if c.rule.certainty is not None]


def _talk(doc: Doc, status: Status, cues: list[ClaimCue]) -> Judgement:
    return Judgement(status, None, None, tuple(doc[c.start : c.end].text for c in cues))


def _claim(doc: Doc, status: Status, certainty: float, cues: list[ClaimCue], extra: tuple[str, ...] = ()) -> Judgement:
    words = tuple(doc[c.start : c.end].text for c in cues) + extra
    return Judgement(status, certainty, certainty_term(certainty), words)


def _is_answer(doc: Doc, cue: ClaimCue) -> bool:
    """A "no" with a comma or a stop behind it answers somebody; it denies nothing that follows."""
    if cue.rule.phrase not in (("no",), ("never",), ("none",)) or cue.end >= len(doc):
        return False
    return not any(c.isalnum() for c in doc[cue.end].text)


def _is_question(doc: Doc, sentence: Span, cues: list[ClaimCue], mention: Mention) -> bool:
    """A sentence that ends in a question mark and does not ask what, which or where."""
    if not sentence.text.endswith("?"):
        return False
    words = claim_words(list(sentence))
    asks_for_detail = bool(words) and any(c.rule.category == "wh" and c.start == words[0][0] for c in cues)
    inverted = any(c.rule.category == "question" and c.start < mention.start for c in cues)
    tag = any(c.rule.category == "hedge" and c.rule.direction == "backward" and c.end > mention.end for c in cues)
    return (inverted or not asks_for_detail) and not tag


def _is_afterthought(doc: Doc, sentence: Span, cues: list[ClaimCue]) -> bool:
    """A short sentence that is all hedge: "Perhaps.", "Not confirmed."."""
    return any(c.rule.category == "hedge" for c in cues) and len(claim_words(list(sentence))) <= _AFTERTHOUGHT_WORDS


def _with_afterthought(judgement: Judgement, cues: list[ClaimCue]) -> Judgement:
    if judgement.status in TALK_ONLY or judgement.certainty is None or judgement.status == "denied":
        return judgement
    doubts = [c.rule for c in cues if c.rule.category == "hedge" and c.rule.certainty is not None]
    certainty = min([judgement.certainty, *(rule.certainty for rule in doubts if rule.certainty is not None)])
    status: Status = "asked" if judgement.status == "asked" else "hedged"
    words = judgement.cues + tuple(" ".join(rule.phrase) for rule in doubts)
    return Judgement(status, certainty, certainty_term(certainty), words)
