"""Rules first, then a reading of the talk around each name, which may overrule them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from spacy.tokens import Doc

from earwitness.pipeline.judge.claim_model import Reading, claim_model
from earwitness.pipeline.judge.judge import ASKED, judge_by_rules
from earwitness.pipeline.judge.judgement import (
    PLAIN_STATEMENT,
    TALK_ONLY,
    ActingCue,
    Judgement,
    Status,
)
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.people import PersonName
from earwitness.pipeline.words.terms import certainty_term

DENIED = 0.05
"""Certainty of what reads as denied without a phrase of denial: as the plain denials of words/claims.csv."""
LIKELY, SURE = 0.5, 0.95
"""Share from which a reading overrules the rules, and from which it overrules "there is a"; a choice, no source."""
_CUED: frozenset[Status] = frozenset({"hedged", "asked", "denied"})
"""Statuses that the rules give for words that were said: no reading makes a plain statement of them."""
_DOUBT = (0.2, 0.85)
"""Bounds of what reads as doubted; outside them it would be denied, or plainly stated."""


def judge_mentions(
    doc: Doc,
    mentions: tuple[Mention, ...],
    own_words: Path | None = None,
    people: tuple[PersonName, ...] = (),
) -> tuple[Judgement, ...]:
    """One judgement a mention, in order; a mention that touches a name of `people` is a person's."""
    judged = list(judge_by_rules(doc, mentions, own_words, people))
    if mentions:
        for number, reading in claim_model().read(doc, mentions, judged):
            judged[number] = _weighed(mentions[number], judged[number], reading)
    return tuple(judged)


def _weighed(mention: Mention, ruled: Judgement, reading: Reading) -> Judgement:
    """The rules' judgement where the reading is the same, else the reading's; what a list of the user's own says
    stands.
    """
    status = reading.status
    kept = ruled.status == "person" or any(cue.own for cue in ruled.acting)
    if status == ruled.status or kept or reading.share < (SURE if ruled.stated else LIKELY):
        return ruled
    if status == "observed" and ruled.status in _CUED:
        return ruled
    did = f"the talk around it reads as {status} ({reading.share:.2f}); by its phrases it was {ruled.status}"
    acting = (*ruled.acting, ActingCue(mention.start, mention.end, mention.text, "reading", did, "claim_model"))
    if status in TALK_ONLY:
        return Judgement(status, None, None, ruled.cues, acting=acting, role=ruled.role)
    certainty = {
        "observed": PLAIN_STATEMENT,
        "asked": ASKED,
        "denied": DENIED,
        "hedged": round(min(max(reading.certainty, _DOUBT[0]), _DOUBT[1]), 2),
    }[status]
    judgement = Judgement(status, certainty, certainty_term(certainty), ruled.cues, acting=acting, role=ruled.role)
    return replace(judgement, absent=status == "denied" and reading.offered < 0.5)
