"""Values that people set on an event come in; the columns that change come out, checked and in step with each other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from earwitness.pipeline.review.decisions import OWN_COLUMNS, RefusedError, Row
from earwitness.pipeline.review.naming import raised, renamed
from earwitness.pipeline.words.terms import certainty_middles, certainty_term
from earwitness.schemas import ContractError, columns, validate
from earwitness.taxonomy import Checklist

EDITABLE = (
    "startTime",
    "endTime",
    "identificationQualifier",
    "certainty",
    "certaintyTerm",
    "occurrenceStatus",
    "individualCount",
    "organismQuantity",
    "organismQuantityType",
    "sex",
    "lifeStage",
    "behavior",
    "vitality",
    "colour",
    "positionInFrame",
    "habitat",
    "sizeValue",
    "sizeUnit",
    "sizeMethod",
    "associatedTaxa",
    "identificationRemarks",
    "markerType",
    "markerRank",
    "sampleContainer",
    "measurementType",
    "measurementValue",
    "measurementUnit",
)
"""Columns that people set; the name goes by its taxonID, taxonRank raises it, links have an action of their own."""
REVIEW = ("reviewStatus", "reviewedBy", "reviewedAt", "identificationVerificationStatus")
_WITH_THE_NAME = (
    *("scientificNameAuthorship", "acceptedNameUsageID", "vernacularName", "taxonRank"),
    *("kingdom", "phylum", "class", "order", "family", "genus"),
    *("nameScore", "alternatives", "previousIdentifications"),
)
"""Columns that follow from the taxon, or tell of the way to it."""
LONGEST_TEXT = 2000
"""Characters of what people write; own choice."""
LARGEST = 1_000_000_000
"""Number that people write; own choice, with room in every format that we publish."""
_ABOUT = "individuals, approximate"


def clean_text(text: object) -> str | None:
    """Text as people write it, on one line without what cannot be printed; None where nothing is left.

    Raises:
        RefusedError: it is no text, or too long.
    """
    if text is None:
        return None
    if not isinstance(text, str):
        raise RefusedError("invalid", f"{text!r} is no text")
    tidy = " ".join("".join(char if char.isprintable() else " " for char in text).split())
    if len(tidy) > LONGEST_TEXT:
        raise RefusedError("invalid", f"{len(tidy)} characters are too many", f"up to {LONGEST_TEXT}")
    return tidy or None


def edited(checklist: Checklist, row: Mapping[str, Any], wanted: Mapping[str, Any], taxon_id: str | None) -> Row:
    """The columns of an event that change where people set these values and that taxon.

    Raises:
        RefusedError: a column is not for people to set, a value cannot stand there, or the taxon is unknown.
    """
    wanted = dict(wanted)
    rank = wanted.pop("taxonRank", None)
    if rank is not None and taxon_id is None:
        taxon_id = raised(checklist, row, str(rank))
    if taxon_id is not None and row["recordKind"] != "occurrence":
        raise RefusedError("invalid", f"a {row['recordKind']} has no name", "choose an occurrence")
    new = renamed(checklist, row, taxon_id) if taxon_id is not None else {}
    for column, value in wanted.items():
        if column not in EDITABLE:
            raise RefusedError("invalid", f"{column!r} is not a column to set", f"one of {', '.join(EDITABLE)}")
        new[column] = _tidied(column, value)
    _agree(new)
    return {column: value for column, value in new.items() if row[column] != value}


def _tidied(column: str, value: object) -> object:
    if isinstance(value, str):
        return clean_text(value)
    if isinstance(value, int | float) and (isinstance(value, bool) or not abs(value) <= LARGEST):
        raise RefusedError("invalid", f"{column} cannot be {value}", f"a number up to {LARGEST:,}")
    if isinstance(value, float) and value.is_integer() and column in ("individualCount", "markerRank"):
        return int(value)
    if isinstance(value, int | float) and not isinstance(value, bool) and column in ("startTime", "endTime"):
        return round(value, 3)
    return value


def _agree(new: Row) -> None:
    """Columns that say one thing in two ways are changed together."""
    if new.get("individualCount") is not None:
        new |= {"organismQuantity": None, "organismQuantityType": None}
    elif new.get("organismQuantity") is not None:
        new["individualCount"] = None
        if new.get("organismQuantityType") is None:
            new["organismQuantityType"] = _ABOUT
    elif "organismQuantity" in new:
        new["organismQuantityType"] = None
    term, certainty = new.get("certaintyTerm"), new.get("certainty")
    if isinstance(certainty, int | float) and 0 <= certainty <= 1 and term is None:
        new["certaintyTerm"] = certainty_term(certainty)
    elif isinstance(term, str) and certainty is None:
        if term not in certainty_middles():
            raise RefusedError("invalid", f"certaintyTerm {term!r}", f"one of {', '.join(certainty_middles())}")
        new["certainty"] = certainty_middles()[term]


def check(row: Row) -> None:
    """Whether an event may stand so.

    Raises:
        RefusedError: it breaks the schema, or ends before it begins.
    """
    try:
        validate("event", [row])
    except ContractError as error:
        raise RefusedError("invalid", str(error).partition(": ")[2][:300], "a value that the column takes") from error
    if row["endTime"] < row["startTime"]:
        raise RefusedError("invalid", "endTime is before startTime", "a time that is not earlier")


def content_differs(row: Mapping[str, Any], draft: Mapping[str, Any]) -> bool:
    """Whether an event says something else than its draft, the review itself aside."""
    return any(row[column] != draft[column] for column in columns("event") if column not in REVIEW)


def means_the_same(row: Mapping[str, Any], draft: Mapping[str, Any]) -> bool:
    """Whether an event says what was drafted, by whatever way its name came back."""
    beside = (*REVIEW, *_WITH_THE_NAME, *OWN_COLUMNS)
    return all(value == draft.get(column) for column, value in row.items() if column not in beside)
