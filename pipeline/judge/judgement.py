"""The types of the judge stage, and how they lie on a spaCy Doc."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal, get_args

from spacy.tokens import Doc

Status = Literal[
    "observed", "hedged", "asked", "denied", "compared", "general", "recalled", "elsewhere", "person", "figure"
]
Role = Literal["host", "prey"]
STATUSES: tuple[Status, ...] = get_args(Status)
TALK_ONLY: frozenset[Status] = frozenset({"compared", "general", "recalled", "elsewhere", "person", "figure"})
"""Statuses that say nothing of an animal on the screen."""

_KEY = "earwitness_judgements"

PLAIN_STATEMENT = 0.95
"""Certainty of a statement without a hedge: the middle of the scale's top term (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class ActingCue:
    """A cue that acted on a mention.

    Args:
        start, end: its tokens [start, end).
        words: as written in the transcript.
        category: of the word list, or "question mark", "person" and the like where no list holds it.
        did: what it did, in a few plain words for people ("lowered certainty to 0.45", "made it a question").
        source: of the word list's row; "" where there is none.
        own: that this row stands in a list of the user's own.
    """

    start: int
    end: int
    words: str
    category: str
    did: str
    source: str
    own: bool = False


@dataclass(frozen=True, slots=True)
class Judgement:
    """What is claimed of one mention.

    Args:
        status: observed, hedged, asked (offered as a question), denied, compared (a simile), general (talk about the
            kind), recalled (seen at another time), elsewhere (not in view), person (somebody's name), figure (a figure
            of speech).
        certainty: 0-1, how sure the speaker sounds; None where nothing is claimed of an animal on the screen.
        term: certain, probable, possible, doubtful; None as above.
        cues: the words that made it so, in order.
        acting: the same cues with their places, and what each did.
        stated: that it was said to be here in so many words ("there is a", "that is a"), and nothing spoke against it.
        role: "host" (another animal is said to be on or in it), "prey" (said to be eaten), or None.
        absent: of a denial, that it says such animals are not there ("no fish in view"), not that this one is no such
            animal ("not a sponge").
    """

    status: Status
    certainty: float | None
    term: str | None
    cues: tuple[str, ...] = ()
    absent: bool = False
    acting: tuple[ActingCue, ...] = ()
    role: Role | None = None
    stated: bool = False


def set_judgements(doc: Doc, judgements: tuple[Judgement, ...]) -> None:
    """Attach one judgement a mention to the Doc."""
    doc.user_data[_KEY] = judgements


def judgements_of(doc: Doc) -> tuple[Judgement, ...]:
    """The judgements of this Doc's mentions, in the mentions' order; empty before the judge stage has run."""
    found: Any = doc.user_data.get(_KEY, ())
    return tuple(found)
