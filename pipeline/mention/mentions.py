"""The types of the mention stage, and how they lie on a spaCy Doc."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from spacy.tokens import Doc, Span

How = Literal["exact", "group", "abbreviated", "epithet", "similar", "corrected"]
Number = Literal["singular", "plural", ""]
_KEY = "earwitness_mentions"
MENTIONS = "mentions"


@dataclass(frozen=True, slots=True)
class Candidate:
    """One taxon that heard words may mean.

    Args:
        row: accepted row of the checklist.
        said_row: row of the name that fits the words (a synonym's where one was said).
        matched: that name as the checklist writes it.
        how: "exact" (scientific, vernacular or English form, singular or plural), "group" (the lowest group that
            holds all taxa of this vernacular), "abbreviated" (L. pertusa), "epithet" (pertusa), "similar" (misspelt
            or misheard), "corrected" (people said before what these words mean).
        score: 0-1, how likely it is that the words mean this name (nameScore).
        number: "singular" or "plural" of an English word, "" where it cannot be told ("fish", Latin names).
    """

    row: int
    said_row: int
    matched: str
    how: How
    score: float
    number: Number = ""


@dataclass(frozen=True, slots=True)
class Mention:
    """Tokens [start, end) of the Doc that may name a taxon; `candidates` best first, never empty."""

    start: int
    end: int
    text: str
    candidates: tuple[Candidate, ...]
    qualifier: str | None = None

    @property
    def best(self) -> Candidate:
        """The candidate with the highest score."""
        return self.candidates[0]


def set_mentions(doc: Doc, mentions: tuple[Mention, ...]) -> None:
    """Attach mentions to the Doc, as our types and as `doc.spans["mentions"]` labelled with the matched name."""
    doc.user_data[_KEY] = mentions
    doc.spans[MENTIONS] = [Span(doc, m.start, m.end, label=m.best.matched) for m in mentions]


def mentions_of(doc: Doc) -> tuple[Mention, ...]:
    """The mentions found on this Doc, in order; empty before the mention stage has run."""
    found: Any = doc.user_data.get(_KEY, ())
    return tuple(found)
