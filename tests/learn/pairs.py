"""The development pairs as the learning scripts take them: phones and letters of what was said and what was heard."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from zlib import crc32

from earwitness.taxonomy.fold import letters_of, spoken_key
from earwitness.taxonomy.pronounce import pronounce
from tests.bench.places import SHARED

FOLDS = 5


@dataclass(frozen=True)
class Pair:
    """One name as said and as heard; `fold` is the same for all names of one genus."""

    heard: str
    said: str
    taxon_id: str
    scientific_name: str
    kind: str
    voice: str
    fold: int

    @property
    def sounds(self) -> tuple[str, str]:
        """Phones said, phones heard."""
        return pronounce(self.said), pronounce(self.heard)

    @property
    def letters(self) -> tuple[str, str]:
        """Letters said, letters heard."""
        return letters_of(self.said), letters_of(self.heard)


def fold_of(name: str) -> int:
    """The fold of a name, by its first word: no genus is learned from and measured on."""
    return crc32(spoken_key(name).split(" ", 1)[0].encode()) % FOLDS


def sentences() -> list[dict[str, str]]:
    """All rows of the development set."""
    with (SHARED / "misheard" / "dev.csv").open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def pairs() -> list[Pair]:
    """The rows whose heard span is known."""
    return [
        Pair(
            spoken_key(row["heard_span"]),
            spoken_key(row["spoken_name"]),
            row["taxonID"],
            row["scientificName"],
            row["name_kind"],
            row["voice"],
            fold_of(row["spoken_name"]),
        )
        for row in sentences()
        if spoken_key(row["heard_span"])
    ]
