"""Invented talk with the names of animals in it, and the people that are found there."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from spacy.language import Language
from spacy.tokens import Doc

from earwitness.pipeline.mention import Candidate, Mention
from earwitness.pipeline.people import PersonName, find_people
from earwitness.pipeline.read.transcript import Cue, Transcript
from earwitness.pipeline.segment import segment

# Names of real taxa, most of them people's names or nicknames as well. Latin with a capital, vernaculars without.
NAMES = """
shrimp limpet crab octopus coral squid sculpin anemone robin urchin lobster snail
sea robin|bubblegum coral|squat lobster|pearl oyster|starfish|Doris verrucosa
Doris Daphne Diana Nerine Marina Iris Ariadne Munida
"""


@dataclass(frozen=True)
class Told:
    """Talk with the people and the animals in it."""

    doc: Doc
    mentions: tuple[Mention, ...]
    people: tuple[PersonName, ...]

    @property
    def named(self) -> list[str]:
        """Words that are people's names, in order."""
        return [self.doc[p.start : p.end].text for p in self.people]

    @property
    def animals(self) -> list[str]:
        """Mentions that no name touches, in order."""
        touched = {i for p in self.people for i in range(p.start, p.end)}
        return [m.text for m in self.mentions if not touched & set(range(m.start, m.end))]


def mentions_in(doc: Doc) -> tuple[Mention, ...]:
    """Every NAME in a Doc, singular or plural, longest first: what the mention stage would find, and a little more."""
    lines = NAMES.strip().splitlines()
    names = [*lines[0].split(), *lines[1].split("|"), *lines[2].split()]
    forms = {form: name for name in names for form in (name.lower(), f"{name.lower()}s")}
    found: list[Mention] = []
    at = 0
    while at < len(doc):
        for size in (2, 1):
            span = doc[at : at + size]
            if len(span) == size and span.text.lower() in forms:
                candidate = Candidate(0, 0, forms[span.text.lower()], "exact", 0.9)
                found.append(Mention(span.start, span.end, span.text, (candidate,)))
                at += size
                break
        else:
            at += 1
    return tuple(found)


class Teller:
    """Makes Told of captions: words, or a speaker and words."""

    def __init__(self, nlp: Language):
        self.nlp = nlp

    def __call__(self, *lines: str | tuple[str, str], own: Path | None = None) -> Told:
        cues = []
        for number, line in enumerate(lines):
            speaker, text = (None, line) if isinstance(line, str) else line
            cues.append(Cue(5.0 * number, 5.0 * number + 4.0, text, speaker=speaker))
        doc = segment(Transcript("dive", "dive.vtt", "webvtt", "utf-8", "0" * 64, tuple(cues)), self.nlp)
        mentions = mentions_in(doc)
        return Told(doc, mentions, find_people(doc, own, mentions))
