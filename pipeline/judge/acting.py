"""What a cue did to a mention, in plain words for people."""

from __future__ import annotations

from collections.abc import Mapping

from spacy.tokens import Doc

from earwitness.pipeline.judge.cues import ClaimCue
from earwitness.pipeline.judge.judgement import ActingCue, Status
from earwitness.pipeline.judge.rules import QUESTIONS, Category
from earwitness.pipeline.people import PersonName

_DID: Mapping[Category, str] = {
    "negation": "denied it",
    "absence": "said there is none",
    "undone": "said it was not done to any",
    "simile": "made it a comparison",
    "likeness": "made it a comparison, for what follows contradicts it",
    "general": "made it talk of the kind",
    "habitual": "made it talk of the kind",
    "prey": "made it food",
    "meal": "made it food in sight",
    "host": "made it what another animal is on or in",
    "figure": "made it a figure of speech",
    "recalled": "put it at another time",
    "elsewhere": "put it out of view",
}


def acted(doc: Doc, cue: ClaimCue, did: str | None = None) -> ActingCue:
    """A cue as it acted; what its category does, unless said otherwise."""
    words = doc[cue.start : cue.end].text
    did = did or _DID.get(cue.rule.category, "")
    return ActingCue(cue.start, cue.end, words, cue.rule.category, did, cue.rule.source, cue.rule.own)


def acted_on_certainty(doc: Doc, cues: list[ClaimCue], status: Status, certainty: float) -> list[ActingCue]:
    """Cues of sureness, with what they made of the certainty that stands."""
    acting = []
    for cue in cues:
        its = cue.rule.certainty
        if cue.rule.category == "booster":
            did = f"raised certainty to {its:g}" if its == certainty else "lies under a stronger one"
        elif its == certainty:
            did = f"lowered certainty to {its:g}"
        else:
            did = "a hedge too, not the weakest"
        if cue.rule.category == "alternative" and its == certainty:
            did += ": one of two names"
        if status == "asked" and cue.rule.category in QUESTIONS:
            did = "made it a question"
        acting.append(acted(doc, cue, did))
    return acting


def question_mark(doc: Doc, end: int) -> ActingCue:
    """The question mark that ends a sentence before token `end`."""
    at = next(i for i in range(end - 1, -1, -1) if "?" in doc[i].text)
    return ActingCue(at, at + 1, "?", "question mark", "made it a question", "")


def named_person(doc: Doc, person: PersonName) -> ActingCue:
    """A name of a person."""
    words = doc[person.start : person.end].text
    return ActingCue(person.start, person.end, words, "person", "made it a person's name", "")
