"""Measurements and facts of rows, one record each (extended measurement-or-fact of OBIS)."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from earwitness.pipeline.publish.publisher import Row
from earwitness.pipeline.publish.statements import row_statement

COLUMNS = (
    "dwc:eventID",
    "dwc:measurementID",
    "dwc:occurrenceID",
    "dwc:measurementType",
    "obis:measurementTypeID",
    "dwc:measurementValue",
    "dwc:measurementUnit",
    "obis:measurementUnitID",
    "dwc:measurementMethod",
    "dwc:measurementRemarks",
)


@cache
def _kinds() -> tuple[Mapping[str, str], ...]:
    text = (files("earwitness.pipeline.publish") / "measurements.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def measurements(row: Row) -> Iterator[dict[str, Any]]:
    """All records of a row."""
    base = {"dwc:eventID": row["eventID"], "dwc:measurementRemarks": row_statement(row)}
    if row["recordKind"] == "measurement":
        yield base | {
            "dwc:measurementID": f"{row['eventID']}:spoken",
            "dwc:measurementType": f"{row['measurementType']} as spoken",
            "dwc:measurementValue": row["measurementValue"],
            "dwc:measurementUnit": row["measurementUnit"],
            "dwc:measurementMethod": "said aloud by people who watch the instruments",
        }
    occurrence = row["recordKind"] == "occurrence"
    for kind in _kinds():
        value = row.get(kind["column"])
        if value is None or (kind["of"] == "occurrence" and not occurrence):
            continue
        yield base | {
            "dwc:measurementID": f"{row['eventID']}:{kind['column']}",
            "dwc:occurrenceID": row["eventID"] if kind["of"] == "occurrence" else None,
            "dwc:measurementType": kind["type"],
            "obis:measurementTypeID": kind["type_id"],
            "dwc:measurementValue": value,
            "dwc:measurementUnit": row.get(kind["unit_column"]) if kind["unit_column"] else kind["unit"],
            "obis:measurementUnitID": kind["unit_id"],
            "dwc:measurementMethod": _method(kind, row),
        }
    if occurrence and row["individualCount"] is not None:
        yield base | {
            "dwc:measurementID": f"{row['eventID']}:individualCount",
            "dwc:occurrenceID": row["eventID"],
            "dwc:measurementType": "precision of the count",
            "dwc:measurementValue": "individuals, exact number or one animal spoken of",
            "dwc:measurementMethod": "as spoken",
        }


def _method(kind: Mapping[str, str], row: Row) -> str | None:
    told = row.get(kind["method_column"]) if kind["method_column"] else kind["method"]
    if kind["column"].startswith("certainty") and row["certaintyCues"]:
        return f"{told}: {' | '.join(row['certaintyCues'])}"
    if kind["method"].startswith("vehicle log") and row.get("placeMethod"):
        return f"{told}, {row['placeMethod']}"
    return told
