"""The JSON Schemas: sound in themselves, true to the standards whose names they use, and able to refuse."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from earwitness.schemas import SCHEMAS, ContractError, columns, load_schema, validate
from tests.schemas import real

DARWIN_CORE = "http://rs.tdwg.org/dwc/terms/"
AUDIOVISUAL_CORE = "http://rs.tdwg.org/ac/terms/"
DUBLIN_CORE = ("http://purl.org/dc/terms/", "http://purl.org/dc/elements/1.1/")


@pytest.fixture(scope="module")
def rows() -> list[dict[str, Any]]:
    return real.run().events


@pytest.fixture(scope="module")
def occurrence(rows: list[dict[str, Any]]) -> dict[str, Any]:
    return next(row for row in rows if row["recordKind"] == "occurrence")


@pytest.mark.parametrize("name", SCHEMAS)
def test_schema_is_valid_by_the_draft_2020_12_meta_schema(name: str) -> None:
    schema = load_schema(name)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)


@pytest.fixture(scope="module")
def terms(shared: Path) -> dict[str, dict[str, str]]:
    """TDWG's list of terms (rs.tdwg.org, snapshot of 2026-07-19): term -> {namespace: deprecated}."""
    found: dict[str, dict[str, str]] = {}
    with (shared / "standards" / "tdwg_terms.csv").open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            found.setdefault(row["term"], {})[row["namespace"]] = row["deprecated"]
    return found


@pytest.mark.parametrize("column", columns("event"))
def test_column_names_agree_with_the_standards_list_of_terms(column: str, terms: dict[str, dict[str, str]]) -> None:
    """A column marked dwc or ac is a current term of that standard; one marked own takes no standard's name."""
    mark = load_schema("event")["properties"][column]["description"].split(".")[0]
    current = {space for space, deprecated in terms.get(column, {}).items() if not deprecated}
    if mark == "dwc":
        assert DARWIN_CORE in current
    elif mark == "ac":
        assert AUDIOVISUAL_CORE in current
    else:
        assert mark == "own"
        assert not current & {DARWIN_CORE, AUDIOVISUAL_CORE, *DUBLIN_CORE}


def test_columns_of_the_design_are_all_there() -> None:
    asked = """eventID recordingID recordKind startTime endTime timeUncertainty eventDate transcriptText speaker
        verbatimIdentification scientificName scientificNameAuthorship taxonID acceptedNameUsageID taxonRank kingdom
        phylum class order family genus vernacularName identificationQualifier identificationVerificationStatus
        nameScore alternatives certainty certaintyTerm certaintyCues occurrenceStatus individualCount organismQuantity
        organismQuantityType sex lifeStage behavior vitality associatedTaxa sizeValue sizeUnit sizeMethod
        previousIdentifications identificationRemarks basisOfRecord decimalLatitude decimalLongitude
        coordinateUncertaintyInMeters minimumDepthInMeters maximumDepthInMeters markerType markerRank reviewStatus
        reviewedBy reviewedAt softwareVersion checklistName checklistHash"""
    assert set(asked.split()) <= set(columns("event"))


def test_vitality_has_the_values_of_darwin_core() -> None:
    """Darwin Core, list of terms of 2026-05-26: the controlled values of dwc:vitality."""
    allowed = {"alive", "dead", "mixedLot", "uncertain", "notAssessed"}
    assert set(load_schema("event")["properties"]["vitality"]["enum"]) == {*allowed, None}


def test_drafted_rows_are_valid(rows: list[dict[str, Any]]) -> None:
    validate("event", rows)
    assert {row["recordKind"] for row in rows} == {"occurrence", "marker", "measurement", "substrate"}


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"certainty": 1.5}, "certainty"),
        ({"nameScore": -0.1}, "nameScore"),
        ({"startTime": -1}, "startTime"),
        ({"eventDate": "2031-06-14"}, "eventDate"),
        ({"recordKind": "animal"}, "recordKind"),
        ({"scientificName": None}, "scientificName"),
        ({"basisOfRecord": None}, "basisOfRecord"),
        ({"identificationVerificationStatus": "verified"}, "identificationVerificationStatus"),
        ({"coordinateUncertaintyInMeters": 0}, "coordinateUncertaintyInMeters"),
        ({"decimalLatitude": 91}, "decimalLatitude"),
        ({"organismQuantity": "many", "organismQuantityType": None}, "organismQuantityType"),
        ({"reviewStatus": "accepted"}, "reviewed"),
        ({"invented": 1}, "invented"),
        ({"checklistHash": "abc"}, "checklistHash"),
        ({"alternatives": [{"scientificName": "Munida"}]}, "alternatives"),
    ],
)
def test_broken_rows_are_refused(occurrence: dict[str, Any], change: dict[str, Any], named: str) -> None:
    validate("event", [occurrence])
    with pytest.raises(ContractError, match=named):
        validate("event", [occurrence, occurrence | change])


@pytest.mark.parametrize("column", load_schema("event")["required"])
def test_required_columns_are_missed(occurrence: dict[str, Any], column: str) -> None:
    short = {key: value for key, value in occurrence.items() if key != column}
    with pytest.raises(ContractError, match=column):
        validate("event", [short])
