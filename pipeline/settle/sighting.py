"""The types of the settle stage: sightings with their determinations, and notes (markers, measurements, substrate)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

CountKind = Literal["exact", "about", "at least", "abundance"]
NoteKind = Literal["marker", "measurement", "substrate"]
Step = Literal["named", "refined", "retreated", "corrected", "alternative", "offered", "confirmed", "retracted"]


@dataclass(frozen=True, slots=True)
class Count:
    """How many were said: a number ("exact", "about", "at least") or a word ("abundance": many, few, several)."""

    quantity: str
    kind: CountKind


@dataclass(frozen=True, slots=True)
class Determination:
    """One step in the naming of an animal.

    Args:
        row: accepted row of the checklist; None where a retraction left no name.
        mention: number of the mention whose words gave the name; an earlier one where the step was made without a
            name ("genus only") or brought one back.
        step: named, refined (to a lower taxon), retreated (to a higher one), corrected (to another), alternative
            (another was offered beside it: the group that holds both stands), offered (said, not taken), confirmed,
            retracted (denied afterwards).
        certainty: the speaker's, 0-1.
    """

    row: int | None
    mention: int
    step: Step
    certainty: float


@dataclass(frozen=True, slots=True)
class Sighting:
    """An animal or a group of one kind that was on the screen, as the talk left it.

    Args:
        mentions: numbers of the mentions that speak of it, in order.
        first, last: tokens [first, last) from the first to the last of them.
        row: accepted row of the checklist that stands.
        said: number of the mention whose words stand for that name.
        certainty: 0-1 of the determination that stands.
        determinations: how the name came about, in order; those that do not stand are the previous identifications.
        count: how many, None where nothing was said.
        qualifier: sign of open nomenclature said with the name that stands.
        answers: first tokens of the sentences without a name that changed it: counts, answers.
    """

    mentions: tuple[int, ...]
    first: int
    last: int
    row: int
    said: int
    certainty: float
    determinations: tuple[Determination, ...] = field(default=())
    count: Count | None = None
    qualifier: str | None = None
    answers: tuple[int, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class Note:
    """Something said of the dive and not of an animal, at tokens [start, end).

    Args:
        kind: marker, measurement or substrate.
        type: marker type, measured quantity, or substrate ("litter" among them).
        value: measured value, or None.
        unit: unit of the value.
        rank: rank of a highlight, as spoken.
        container: of a sample: what it went into, as spoken.
    """

    kind: NoteKind
    type: str
    start: int
    end: int
    value: float | None = None
    unit: str | None = None
    rank: int | None = None
    container: str | None = None
