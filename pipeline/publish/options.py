"""How rows are chosen and changed for a publication."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from earwitness.schemas import InputError, Problem

StatusWords = Literal["present", "detected"]
LARGEST_CELL = 10.0
"""Degrees; a coarser grid tells nothing of a place."""


@dataclass(frozen=True, slots=True)
class Options:
    """What the user wants to go out.

    Args:
        reviewed_only: only rows that a person has accepted or changed.
        least_certainty: leave out occurrences whose speaker was less sure (0-1).
        grid_degrees: replace positions by the centre of their cell in a grid of this width, and leave the track out.
        pseudonyms: key file of pseudonyms (see `earwitness.pipeline.people`).
        status_words: "present" for present and absent, as the occurrence core asks; "detected" for detected and
            notDetected, as the list of terms has it since 2026.

    Raises:
        InputError: a number out of range.
    """

    reviewed_only: bool = False
    least_certainty: float | None = None
    grid_degrees: float | None = None
    pseudonyms: Path | None = None
    status_words: StatusWords = "present"

    def __post_init__(self) -> None:
        if self.least_certainty is not None and not 0 <= self.least_certainty <= 1:
            raise InputError(Problem("--least-certainty", 0, f"{self.least_certainty} is no certainty", "0 to 1"))
        if self.grid_degrees is not None and not 0 < self.grid_degrees <= LARGEST_CELL:
            expected = f"degrees above 0 and up to {LARGEST_CELL:g}, like 0.1"
            raise InputError(Problem("--blur", 0, f"{self.grid_degrees} is no width of a grid", expected))

    def told(self) -> dict[str, object]:
        """The options as publication.json keeps them; where the key of pseudonyms lies is nobody's business."""
        return {
            "reviewedOnly": self.reviewed_only,
            "leastCertainty": self.least_certainty,
            "gridDegrees": self.grid_degrees,
            "pseudonyms": self.pseudonyms is not None,
            "statusWords": self.status_words,
        }
