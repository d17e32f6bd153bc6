"""Event rows come in, the tables of a Darwin Core Archive go out: event core, occurrences, measurements,
identification history, media.

Every row of the event table is an event of its own under its recording's; the occurrence of an event has its ID.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from earwitness.pipeline.publish.audiovisual import EXTENSION, extension_rows
from earwitness.pipeline.publish.columns import told_row
from earwitness.pipeline.publish.measurements import COLUMNS as MEASUREMENT_COLUMNS
from earwitness.pipeline.publish.measurements import measurements
from earwitness.pipeline.publish.metadata import Publication
from earwitness.pipeline.publish.publisher import Edition, Row
from earwitness.pipeline.publish.statements import CAUTION, DRAFT_STATEMENT, is_reviewed, row_statement
from earwitness.pipeline.publish.terms import Table

DATUM = "EPSG:4326"
PROTOCOL = "video of a remotely operated vehicle, records drafted by machine from the spoken commentary"
_SAME_IN_EVENT = (
    "eventID",
    "eventDate",
    "habitat",
    "decimalLatitude",
    "decimalLongitude",
    "coordinateUncertaintyInMeters",
    "minimumDepthInMeters",
    "maximumDepthInMeters",
    "dataGeneralizations",
    "informationWithheld",
)
_EVENT = (
    "dwc:eventID",
    "dwc:parentEventID",
    "dwc:eventType",
    *(f"dwc:{name}" for name in _SAME_IN_EVENT[1:]),
    "dwc:geodeticDatum",
    "dwc:georeferenceRemarks",
    "dwc:fieldNotes",
    "dwc:eventRemarks",
)
_SAME_IN_OCCURRENCE = (
    "basisOfRecord",
    "occurrenceStatus",
    "scientificName",
    "scientificNameAuthorship",
    "taxonID",
    "acceptedNameUsageID",
    "taxonRank",
    "kingdom",
    "phylum",
    "class",
    "order",
    "family",
    "genus",
    "vernacularName",
    "verbatimIdentification",
    "identificationQualifier",
    "identificationVerificationStatus",
    "identificationRemarks",
    "previousIdentifications",
    "individualCount",
    "organismQuantity",
    "organismQuantityType",
    "sex",
    "lifeStage",
    "behavior",
    "vitality",
    "associatedTaxa",
    "associatedOccurrences",
)
_OCCURRENCE = (
    "dwc:eventID",
    "dwc:occurrenceID",
    *(f"dwc:{name}" for name in _SAME_IN_OCCURRENCE),
    "dwc:identifiedBy",
    "dwc:dateIdentified",
    "dwc:associatedMedia",
    "dwc:occurrenceRemarks",
)
_IDENTIFICATION = (
    "dwc:eventID",
    "dwc:identificationID",
    "dwc:occurrenceID",
    "dwc:scientificName",
    "dwc:taxonID",
    "dwc:verbatimIdentification",
    "dwc:identifiedBy",
    "dwc:dateIdentified",
    "dwc:isAcceptedIdentification",
    "dwc:identificationVerificationStatus",
    "dwc:identificationRemarks",
)


def archive_tables(edition: Edition, publication: Publication) -> list[Table]:
    """The core first, then the extensions; media where the publication tells where a row's video lies."""
    told = [told_row(row, edition) for row in edition.rows]
    occurrences = [row for row in told if row["recordKind"] == "occurrence"]
    media = list(extension_rows(told, publication))
    addresses = {row["dwc:eventID"]: row["ac:accessURI"] for row in media}
    tables = [
        Table("event.txt", "dwc:Event", "dwc:eventID", _EVENT, list(_events(told)), _constants(publication)),
        Table(
            "occurrence.txt",
            "dwc:Occurrence",
            "dwc:eventID",
            _OCCURRENCE,
            [_occurrence(row, addresses) for row in occurrences],
        ),
        Table(
            "extendedmeasurementorfact.txt",
            "obis:ExtendedMeasurementOrFact",
            "dwc:eventID",
            MEASUREMENT_COLUMNS,
            [record for row in told for record in measurements(row)],
        ),
        Table(
            "identification.txt",
            "dwc:Identification",
            "dwc:eventID",
            _IDENTIFICATION,
            [record for row in occurrences for record in identifications(row)],
        ),
    ]
    if media:
        tables.append(Table("multimedia.txt", "ac:Multimedia", "dwc:eventID", EXTENSION, media))
    return tables


def recording_event(recording: str) -> str:
    """ID of the event that a recording is."""
    return f"{recording}:recording"


def _constants(publication: Publication) -> dict[str, str]:
    constants = {
        "dwc:samplingProtocol": PROTOCOL,
        "dcterms:license": publication.licence.address,
        "dcterms:rightsHolder": publication.rights_holder,
        "dc:language": publication.language,
        "dwc:datasetName": publication.title,
        "dwc:datasetID": publication.dataset_id,
        "dwc:institutionCode": publication.institution_code,
        "dcterms:bibliographicCitation": publication.citation,
        "dwc:waterBody": publication.water_body,
        "dwc:locality": publication.region,
    }
    return {term: value for term, value in constants.items() if value}


def _events(rows: list[Row]) -> Iterator[dict[str, Any]]:
    for recording, group in groupby(rows, lambda row: str(row["recordingID"])):
        own = list(group)
        yield _recording(recording, own)
        yield from map(_event, own)


def _recording(recording: str, rows: list[Row]) -> dict[str, Any]:
    moments = [moment for row in rows if row["eventDate"] for moment in row["eventDate"].split("/")]
    least, most = ([row[c] for row in rows if row[c] is not None] for c in _SAME_IN_EVENT[6:8])
    return {
        "dwc:eventID": recording_event(recording),
        "dwc:eventType": "Survey",
        "dwc:eventDate": _span(moments),
        "dwc:minimumDepthInMeters": min(least, default=None),
        "dwc:maximumDepthInMeters": max(most, default=None),
        "dwc:eventRemarks": f"A recording with commentary; its rows are a {DRAFT_STATEMENT} where they do not say "
        f"that a person has reviewed them. {CAUTION}",
    }


def _span(moments: Sequence[str]) -> str | None:
    """The interval from the first to the last of moments in UTC."""
    # Without the Z, which sorts after a decimal point, they stand in the order of time with fractions and without.
    ordered = sorted(moments, key=lambda moment: moment.removesuffix("Z"))
    return "/".join(dict.fromkeys((ordered[0], ordered[-1]))) if ordered else None


def _event(row: Row) -> dict[str, Any]:
    sample = row["markerType"] == "sample"
    return {f"dwc:{name}": row[name] for name in _SAME_IN_EVENT} | {
        "dwc:parentEventID": recording_event(row["recordingID"]),
        "dwc:eventType": "Sample" if sample else "Observation",
        "dwc:geodeticDatum": DATUM if row["decimalLatitude"] is not None else None,
        "dwc:georeferenceRemarks": _georeference(row),
        "dwc:fieldNotes": row["transcriptText"],
        "dwc:eventRemarks": "; ".join(_event_remarks(row)),
    }


def _georeference(row: Row) -> str | None:
    parts = []
    if row.get("placeMethod"):
        parts.append(f"position and depth of the vehicle: {row['placeMethod']}")
    if row.get("placeGapSeconds") is not None:
        parts.append(f"nearest fix {row['placeGapSeconds']:g} s away")
    parts += row.get("placeFlags") or []
    return "; ".join(parts) or None


def _event_remarks(row: Row) -> Iterator[str]:
    yield row_statement(row)
    yield f"{row['recordKind']} at {row['startTime']:.3f} to {row['endTime']:.3f} s of the recording"
    if row["recordKind"] == "marker":
        rank = f" {row['markerRank']}" if row["markerRank"] is not None else ""
        yield f"{row['markerType'].replace('_', ' ')}{rank}"
    if row["sampleContainer"]:
        yield f"container: {row['sampleContainer']}"


def _occurrence(row: Row, addresses: Mapping[str, str]) -> dict[str, Any]:
    reviewed = is_reviewed(row)
    cues = f" ({' | '.join(row['certaintyCues'])})" if row["certaintyCues"] else ""
    return {f"dwc:{name}": row[name] for name in _SAME_IN_OCCURRENCE} | {
        "dwc:eventID": row["eventID"],
        "dwc:occurrenceID": row["eventID"],
        "dwc:identifiedBy": row["reviewedBy"] if reviewed else None,
        "dwc:dateIdentified": row["reviewedAt"] if reviewed else None,
        "dwc:associatedMedia": addresses.get(row["eventID"]),
        "dwc:occurrenceRemarks": f"{row_statement(row)}; speaker sounds {row['certaintyTerm']}{cues}",
    }


def identifications(row: Row) -> Iterator[dict[str, Any]]:
    """How the name came about: each name that was said, by whom; last what a person made of it."""
    steps = row["determinations"]
    stands = [n for n, step in enumerate(steps) if step["taxonID"] == row["taxonID"]]
    decided = is_reviewed(row)
    base = {"dwc:eventID": row["eventID"], "dwc:occurrenceID": row["eventID"]}
    for number, step in enumerate(steps):
        yield base | {
            "dwc:identificationID": f"{row['eventID']}:d{number + 1}",
            # A step without a name took back what was said.
            "dwc:scientificName": step["scientificName"],
            "dwc:taxonID": step["taxonID"],
            "dwc:verbatimIdentification": step["verbatimIdentification"],
            "dwc:identifiedBy": step["speaker"],
            "dwc:isAcceptedIdentification": bool(stands) and number == stands[-1] and not decided,
            "dwc:identificationVerificationStatus": "unverified",
            "dwc:identificationRemarks": f"{step['step']} at {step['time']:.3f} s of the recording, certainty "
            f"{step['certainty']:g}; {DRAFT_STATEMENT}",
        }
    if decided:
        yield base | {
            "dwc:identificationID": f"{row['eventID']}:reviewed",
            "dwc:scientificName": row["scientificName"],
            "dwc:taxonID": row["taxonID"],
            "dwc:identifiedBy": row["reviewedBy"],
            "dwc:dateIdentified": row["reviewedAt"],
            "dwc:isAcceptedIdentification": True,
            "dwc:identificationVerificationStatus": row["identificationVerificationStatus"],
            "dwc:identificationRemarks": row_statement(row),
        }
