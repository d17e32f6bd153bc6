"""Names as they are said: a Checklist comes in, one entry for every way its taxa may be spoken of goes out.

Scientific names, vernaculars in singular and plural, English forms of group names. Refuses nothing; names that leave
no letters and names of more words than anybody says are left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, get_args

from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.english_forms import english_forms
from earwitness.taxonomy.fold import spoken_key
from earwitness.taxonomy.plurals import name_forms

NameNumber = Literal["", "singular", "plural"]
NameKind = Literal["scientific", "vernacular", "english"]
NUMBERS: tuple[NameNumber, ...] = get_args(NameNumber)
KINDS: tuple[NameKind, ...] = get_args(NameKind)

LONGEST_NAME = 6
"""Names of more words than this are not looked for in running text (0.1% of the large checklist's)."""


@dataclass(frozen=True, slots=True)
class NameEntry:
    """One name as it may be said: `text` as the checklist writes it, `key` as spoken, `row` of the checklist.

    `number` is singular or plural for an English word that has both, else empty.
    """

    text: str
    key: str
    row: int
    kind: NameKind
    number: NameNumber = ""


def names_as_said(checklist: Checklist) -> Iterator[NameEntry]:
    """Every name of the checklist as it may be said, scientific names first; no row has a key twice."""
    names = checklist.taxa["scientificName"].to_list()
    ranks = checklist.taxa["taxonRank"].to_list()
    keys = spoken_key("\n".join(name or "" for name in names)).split("\n") if names else []
    seen: set[tuple[str, int]] = set()

    def fresh(text: str, key: str, row: int, kind: NameKind, number: NameNumber = "") -> Iterator[NameEntry]:
        if key and (key, row) not in seen and key.count(" ") < LONGEST_NAME:
            seen.add((key, row))
            yield NameEntry(text, key, row, kind, number)

    for row, (name, key) in enumerate(zip(names, keys, strict=True)):
        yield from fresh(name, key.strip(), row, "scientific")
    for row, vernaculars in enumerate(checklist.taxa["vernacularNames"].to_list()):
        for vernacular in vernaculars or ():
            forms = name_forms(vernacular)
            for place, form in enumerate(forms):
                yield from fresh(vernacular, spoken_key(form), row, "vernacular", _number(place, len(forms)))
    for row, (name, rank) in enumerate(zip(names, ranks, strict=True)):
        for place, form in enumerate(english_forms(name or "", rank or "")):
            yield from fresh(name, spoken_key(form), row, "english", "plural" if place % 2 else "singular")


def _number(place: int, forms: int) -> NameNumber:
    """Grammatical number of a form: the singular stands first, and a word with one form has none to tell."""
    if forms == 1:
        return ""
    return "plural" if place else "singular"
