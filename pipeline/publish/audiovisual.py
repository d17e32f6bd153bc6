"""Audiovisual Core: the recordings' files as media, the rows as time regions of them (startTime, endTime in seconds).

`media.csv`, `regions.csv`, and `terms.csv` with the whole address of every column's term. The rows of the archive's
media extension come from here too: the extension of 2020 has no region terms, so a region's address there has a media
fragment, and its times stand beside it under their own terms.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from earwitness.pipeline.publish.columns import told_row
from earwitness.pipeline.publish.media import Region, files_used, region_of
from earwitness.pipeline.publish.metadata import Publication
from earwitness.pipeline.publish.publisher import Edition, Publisher, Row
from earwitness.pipeline.publish.statements import DRAFT_STATEMENT, row_statement
from earwitness.pipeline.publish.terms import cell, uri
from earwitness.schemas import InputError, Problem
from earwitness.schemas.spreadsheet import guarded

_TAXON = ("scientificName", "taxonRank", "identificationQualifier", "vernacularName", "sex", "lifeStage")
_RIGHTS = ("dcterms:rights", "xmpRights:Owner", "xmpRights:UsageTerms", "xmpRights:WebStatement")
MEDIA = (
    "dcterms:identifier",
    "dc:type",
    "dcterms:title",
    "ac:accessURI",
    "dc:format",
    "ac:mediaDuration",
    "ac:hasROI",
    *_RIGHTS,
    "ac:metadataLanguageLiteral",
    "dcterms:description",
)
REGIONS = (
    "dcterms:identifier",
    "ac:isROIOf",
    "ac:startTime",
    "ac:endTime",
    "ac:accessURI",
    "dcterms:title",
    *(f"dwc:{name}" for name in _TAXON),
    "dcterms:temporal",
    "ac:tag",
    "ac:comments",
    *_RIGHTS,
)
EXTENSION = (
    "dwc:eventID",
    "dcterms:identifier",
    "dc:type",
    "dcterms:title",
    "ac:accessURI",
    "dc:format",
    "ac:startTime",
    "ac:endTime",
    "ac:isROIOf",
    *(f"dwc:{name}" for name in ("scientificName", "identificationQualifier", "vernacularName", "sex", "lifeStage")),
    *_RIGHTS,
    "ac:comments",
)


def write_audiovisual_core(edition: Edition, target: Path) -> None:
    """Write the records into a folder.

    Raises:
        InputError: the publication does not say where the video lies.
    """
    publication = edition.publication
    if publication is None:
        raise InputError(Problem("--publication", 0, "is not given", "a TOML file with licence and media"))
    media, regions = media_rows(edition, publication), list(region_rows(edition, publication))
    target.mkdir()
    for name, terms, rows in (("media.csv", MEDIA, media), ("regions.csv", REGIONS, regions)):
        table = [[guarded(cell(row.get(term))) for term in terms] for row in rows]
        _write(target / name, [[term.partition(":")[2] for term in terms], *table])
    listed = [(file, terms) for file, terms in (("media.csv", MEDIA), ("regions.csv", REGIONS))]
    described = [[file, term.partition(":")[2], uri(term)] for file, terms in listed for term in terms]
    _write(target / "terms.csv", [["file", "column", "term"], *described])


def _write(path: Path, lines: Sequence[Sequence[str]]) -> None:
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows(lines)
    path.write_text(text.getvalue(), encoding="utf-8", errors="replace", newline="")


def media_rows(edition: Edition, publication: Publication) -> list[dict[str, Any]]:
    """A record of each file of the edition's recordings."""
    regions: dict[str, list[str]] = {}
    files = {file.address: file for file in files_used(edition, publication)}
    for row in edition.rows:
        if region := region_of(row, publication):
            regions.setdefault(region.file.address, []).append(row["eventID"])
    return [
        {
            "dcterms:identifier": file.address,
            "dc:type": "MovingImage",
            "dcterms:title": f"{publication.title}: {Path(file.address).name}",
            "ac:accessURI": file.address,
            "dc:format": file.format,
            "ac:mediaDuration": file.duration,
            "ac:hasROI": " | ".join(regions.get(file.address, ())),
            **_rights(publication),
            "ac:metadataLanguageLiteral": publication.language,
            "dcterms:description": f"Regions are a {DRAFT_STATEMENT}, except where their comments say otherwise.",
        }
        for file in files.values()
    ]


def region_rows(edition: Edition, publication: Publication) -> Iterator[dict[str, Any]]:
    """A record of each row that lies in a known file."""
    for row in edition.rows:
        if region := region_of(row, publication):
            told = told_row(row, edition)
            yield _region(told, region, publication) | {
                "dwc:taxonRank": told["taxonRank"],
                "dcterms:temporal": told["eventDate"],
                "ac:tag": told["recordKind"],
            }


def extension_rows(edition: Edition, publication: Publication) -> Iterator[dict[str, Any]]:
    """The archive's media extension: every region as a stretch of video of its own."""
    files_used(edition, publication)
    for row in edition.rows:
        if region := region_of(row, publication):
            yield _region(told_row(row, edition), region, publication) | {
                "dwc:eventID": row["eventID"],
                "dcterms:identifier": region.address,
                "dc:type": "MovingImage",
                "dc:format": region.file.format,
            }


def _region(row: Row, region: Region, publication: Publication) -> dict[str, Any]:
    return {
        "dcterms:identifier": row["eventID"],
        "ac:isROIOf": region.file.address,
        "ac:startTime": region.start,
        "ac:endTime": region.end,
        "ac:accessURI": region.address,
        "dcterms:title": title(row),
        **{f"dwc:{name}": row[name] for name in _TAXON},
        "ac:comments": row_statement(row),
        **_rights(publication),
    }


def title(row: Row) -> str:
    """What a row is of, in a few words."""
    if row["recordKind"] == "occurrence":
        return " ".join(part for part in (row["scientificName"], row["identificationQualifier"]) if part)
    if row["recordKind"] == "measurement":
        parts = (row["measurementType"], row["measurementValue"], row["measurementUnit"])
        return " ".join(part for part in parts if part)
    return str(row["markerType"] or row["habitat"]).replace("_", " ")


def _rights(publication: Publication) -> dict[str, str]:
    licence, owner = publication.media_licence, publication.media_rights_holder
    values = (f"© {owner}, {licence.title}", owner, licence.title, licence.address)
    return dict(zip(_RIGHTS, values, strict=True))


AUDIOVISUAL_CORE = Publisher(
    "audiovisual-core",
    "media and their time regions in terms of Audiovisual Core",
    "audiovisual_core",
    write_audiovisual_core,
    archival=True,
)
