"""Counts and qualifiers in one form on both sides.

In: the count of a gold row or of an event row. Out: "3", "~20", "≥3", a word such as "many", or None.
Refuses nothing: what it cannot read stays as written, and so never agrees by accident.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from earwitness.pipeline.score.figures import share
from earwitness.pipeline.score.gold import GoldEvent
from earwitness.pipeline.words import word_rows

_NUMBER = re.compile(r"(?P<mark>~|≈|≥|>=|)\s*(?P<number>\d+(?:\.\d+)?)(?P<plus>\+?)")
_MARKS = {"": "", "~": "~", "≈": "~", "≥": "≥", ">=": "≥"}
_BY_TYPE = {"individuals": "", "individuals, approximate": "~", "individuals, at least": "≥"}
COUNT_PART = 0.2
"""A number counts as near when it is off by no more than this part of the gold's; a choice, no source."""

Sides = Sequence[tuple[GoldEvent, Mapping[str, Any]]]

SPOKEN = "abundance as spoken"
MANY = "many"


@dataclass(frozen=True, slots=True)
class CountScore:
    """Counts as spoken, compared in one form ("3", "~20", "≥3", "many").

    Args:
        asked: gold occurrences with a count.
        paired: of these, those in a related pair (`Agreement.related`).
        exact: of these, those where the run's form is the very same, or both say an abundance (`agrees`).
        numeric: related pairs where both sides hold a number, exact or not.
        near: of these, those where the run's is within `COUNT_PART` of the gold's.
        invented: related pairs where the run gives a count and the gold none.
    """

    asked: int
    paired: int
    exact: int
    numeric: int
    near: int
    invented: int

    def to_json(self) -> dict[str, Any]:
        """Counts and shares as a plain dict."""
        return {
            "asked": self.asked,
            "paired": self.paired,
            "exact": self.exact,
            "exactOfAsked": share(self.exact, self.asked),
            "exactOfPaired": share(self.exact, self.paired),
            "numeric": self.numeric,
            "nearOfNumeric": share(self.near, self.numeric),
            "nearPart": COUNT_PART,
            "invented": self.invented,
        }


@dataclass(frozen=True, slots=True)
class QualifierScore:
    """Open-nomenclature signs over related pairs: how many agree, both none too; and where gold has one."""

    pairs: int
    agree: int
    asked: int
    asked_agree: int

    def to_json(self) -> dict[str, Any]:
        """Counts and shares as a plain dict."""
        return {
            "pairs": self.pairs,
            "agree": self.agree,
            "agreeShare": share(self.agree, self.pairs),
            "withQualifierInGold": self.asked,
            "agreeOfThose": share(self.asked_agree, self.asked),
        }


def canonical(text: str | None) -> str | None:
    """A count as gold rows write it: "3", "~20", "many"; "3+" and ">=3" become "≥3"; None where none."""
    text = " ".join((text or "").split()).casefold()
    if not text:
        return None
    if not (match := _NUMBER.fullmatch(text)):
        return text
    value = float(match["number"])
    number = str(int(value)) if value.is_integer() else str(value)
    return ("≥" if match["plus"] else _MARKS[match["mark"]]) + number


def count_of(row: Mapping[str, Any]) -> str | None:
    """The count of an event row: individualCount, else organismQuantity read by organismQuantityType."""
    if (exact := row.get("individualCount")) is not None:
        return canonical(str(exact))
    quantity = row.get("organismQuantity")
    if quantity is None or not str(quantity).strip():
        return None
    kind = " ".join(str(row.get("organismQuantityType") or "individuals").split()).casefold()
    if kind == SPOKEN:
        return canonical(str(quantity))
    if kind in _BY_TYPE:
        return canonical(_BY_TYPE[kind] + str(quantity))
    return f"{str(quantity).strip()} {kind}".casefold()


def number_in(count: str | None) -> float | None:
    """The number of a canonical count, whether exact, about or at least; None for words and for no count."""
    match = _NUMBER.fullmatch(count or "")
    return float(match["number"]) if match else None


def agrees(gold: str | None, run: str | None) -> bool:
    """Whether two canonical counts say the same.

    The gold has one word of abundance, "many", whatever was said ("dozens", "several", "thousands of them"); a run
    keeps the word that was said. "A few" is no number to the gold, and so not many.
    """
    return gold == run or (gold == MANY and run in _abundant())


@cache
def _abundant() -> frozenset[str]:
    """The words that counts as spoken use for many."""
    return frozenset(row["quantity"] for row in word_rows("quantities") if row["kind"] == "abundance") - {"few"}


def within(run: float, gold: float, part: float) -> bool:
    """Whether `run` is off by no more than `part` of `gold`; the last bit of rounding is forgiven."""
    return abs(run - gold) <= part * abs(gold) + 1e-9


def qualifier_of(text: str | None) -> str | None:
    """The open-nomenclature sign of an identificationQualifier: "cf." of "cf. dianthus" or "CF"; None where
    empty.

    Darwin Core lets identificationQualifier carry the name after the sign ("cf. agrifolia"); gold rows carry
    the sign; "inc." stands behind the name it doubts (Horton et al. 2021).
    """
    words = (text or "").casefold().split()
    if not words:
        return None
    sign = words[-1] if words[-1].rstrip(".") == "inc" else words[0]
    return sign.rstrip(".") + "."


def compare_qualifiers(sides: Sides) -> QualifierScore:
    """Compare the qualifiers of matched gold events and event rows."""
    both = [(qualifier_of(g.qualifier), qualifier_of(r.get("identificationQualifier"))) for g, r in sides]
    asked = [(g, r) for g, r in both if g]
    return QualifierScore(len(both), sum(g == r for g, r in both), len(asked), sum(g == r for g, r in asked))


def compare_counts(sides: Sides, asked: int) -> CountScore:
    """Compare the counts of matched rows; `asked`: how many gold occurrences have a count, matched or not."""
    both = [(canonical(gold.count), count_of(run)) for gold, run in sides]
    numbers = [
        (r, g) for g, r in ((number_in(gold), number_in(run)) for gold, run in both) if g is not None and r is not None
    ]
    return CountScore(
        asked=asked,
        paired=sum(gold is not None for gold, _ in both),
        exact=sum(gold is not None and agrees(gold, run) for gold, run in both),
        numeric=len(numbers),
        near=sum(within(r, g, COUNT_PART) for r, g in numbers),
        invented=sum(gold is None and run is not None for gold, run in both),
    )
