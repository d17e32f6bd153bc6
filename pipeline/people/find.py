"""Names of people said aloud, found by how they are said: introduced, addressed, thanked."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from spacy.tokens import Doc


@dataclass(frozen=True, slots=True)
class PersonName:
    """A person's name or nickname at tokens [start, end) of a Doc.

    Args:
        name: as written first, the same for every saying of it.
    """

    start: int
    end: int
    name: str


def find_people(doc: Doc, own_words: Path | None = None) -> tuple[PersonName, ...]:
    """The names of people in a Doc, in order, never overlapping; those in speaker labels are known from the start."""
    return ()
