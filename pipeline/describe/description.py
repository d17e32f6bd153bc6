"""The types of the describe stage."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LASER_CM = 10.0
"""Distance (cm) of the two laser dots where nobody says it (common practice, no source); a setting."""

Vitality = Literal["alive", "dead", "mixedLot", "uncertain"]


@dataclass(frozen=True, slots=True)
class Size:
    """A size as spoken.

    Args:
        value: in `unit`; the middle where a range was said.
        unit: "cm" or "m" or "mm", as spoken.
        method: "estimated by eye", "lasers 10 cm apart", with the range where one was said ("..., 30-40 cm").
    """

    value: float
    unit: str
    method: str


@dataclass(frozen=True, slots=True)
class Relation:
    """A sighting's relation to another of the same recording.

    Args:
        kind: what was said, as a preposition or a role: on, in, with, under, host of, holding.
        other: number of the other sighting.
    """

    kind: str
    other: int


@dataclass(frozen=True, slots=True)
class Description:
    """What was said of one sighting besides its name and number. None or empty: nothing was said.

    Args:
        size: the last size said of it.
        sex: male, female, both (`male | female`).
        life_stage: adult, juvenile, larva, egg and the like.
        behavior: as the word list names them, joined by " | ".
        vitality: a term of Darwin Core.
        colour: colours or colour morph, joined by " | ".
        position: where on the picture.
        habitat: whale fall, hydrothermal vent, cold seep, wreck and the like.
        characters: reasons given for its name, as spoken, for the identification remarks.
        relations: to other sightings.
    """

    size: Size | None = None
    sex: str | None = None
    life_stage: str | None = None
    behavior: str | None = None
    vitality: Vitality | None = None
    colour: str | None = None
    position: str | None = None
    habitat: str | None = None
    characters: tuple[str, ...] = ()
    relations: tuple[Relation, ...] = ()
