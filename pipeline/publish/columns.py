"""The columns of exports that are tables: those of the event table, and what a publication adds."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from typing import Any

from earwitness.pipeline.publish.blur import generalization, withheld
from earwitness.pipeline.publish.publisher import Edition, Row
from earwitness.pipeline.publish.statements import identification_remarks, row_statement, verification_status
from earwitness.schemas import columns, load_schema

ADDED = ("dataGeneralizations", "informationWithheld", "license", "rightsHolder", "statement")
"""Darwin Core's terms for what was blurred, Dublin Core's for the rights, and the row's standing in words."""


@cache
def kinds() -> dict[str, str]:
    """The JSON type of every column of the event table; enumerations are strings."""
    found = {}
    for name, rule in load_schema("event")["properties"].items():
        kind = rule.get("type", "string")
        found[name] = next(k for k in ([kind] if isinstance(kind, str) else kind) if k != "null")
    return found


def header() -> tuple[str, ...]:
    """All columns, in order."""
    return (*columns("event"), *ADDED)


def told_row(row: Row, edition: Edition) -> dict[str, Any]:
    """A row as it is published, with what the publication adds."""
    metadata, degrees = edition.publication, edition.options.grid_degrees
    occurrence = row["recordKind"] == "occurrence"
    return row | {
        "identificationVerificationStatus": verification_status(row) if occurrence else None,
        "identificationRemarks": identification_remarks(row) if occurrence else row["identificationRemarks"],
        "dataGeneralizations": generalization(row, degrees),
        "informationWithheld": withheld(row, degrees),
        "license": metadata.licence.address if metadata else None,
        "rightsHolder": metadata.rights_holder if metadata else None,
        "statement": row_statement(row),
    }


def flat_rows(edition: Edition) -> Iterator[dict[str, Any]]:
    """All rows, lists as JSON text."""
    for row in edition.rows:
        yield {
            name: json.dumps(value, ensure_ascii=False) if isinstance(value, list) else value
            for name, value in told_row(row, edition).items()
        }
