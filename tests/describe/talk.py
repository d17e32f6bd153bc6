"""Invented talk through the stages up to describe, over the checklist of the built-in dive."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from spacy.language import Language

from earwitness.pipeline.describe import LASER_CM, Description, describe
from earwitness.pipeline.settle import Sighting, settle
from earwitness.taxonomy import NameIndex
from tests.judge import talk as judge_talk

Line = str | tuple[str, str] | tuple[str, str, float]
"""A caption: text, or (speaker, text), or (speaker, text, silence before it in seconds)."""
Said = dict[str, Any]


@dataclass(frozen=True)
class Described:
    """Sightings with what was said of them, and names in place of checklist rows."""

    names: tuple[str, ...]
    sightings: tuple[Sighting, ...]
    descriptions: tuple[Description, ...]

    def said(self) -> dict[str, Said]:
        """What was said, by name of the sighting; those of which nothing was said are left out."""
        told = {}
        for name, description in zip(self.names, self.descriptions, strict=True):
            values = {field: getattr(description, field) for field in Description.__dataclass_fields__}
            values["size"] = self._size(description)
            values["relations"] = [f"{r.kind} {self.names[r.other]}" for r in description.relations]
            values["characters"] = list(description.characters)
            if any(values.values()):
                told[name] = {field: value for field, value in values.items() if value}
        return told

    @staticmethod
    def _size(description: Description) -> str | None:
        size = description.size
        return f"{size.value:g} {size.unit}, {size.method}" if size else None


class Listener:
    """Runs talk through segment, mention, judge, settle and describe."""

    def __init__(self, index: NameIndex, nlp: Language):
        self.index, self.judge = index, judge_talk.Listener(index, nlp)

    def __call__(self, *talk: Line, laser_cm: float = LASER_CM, own_words: Path | None = None) -> Described:
        """Each argument is a caption of its own, as `tests.judge.talk.Listener.judged` takes them."""
        doc, mentions, judgements = self.judge.judged(*talk, own_words=own_words)
        checklist = self.index.checklist
        sightings = settle(doc, mentions, judgements, checklist)
        told = describe(doc, mentions, judgements, sightings, checklist, laser_cm=laser_cm, own_words=own_words)
        names = tuple(checklist.taxon(sighting.row).scientific_name for sighting in sightings)
        return Described(names, sightings, told)
