"""Audiovisual Core: the recordings' files as media, the rows as time regions of them (startTime, endTime in seconds).

`media.csv`, `regions.csv`, and `terms.csv` with the whole address of every column's term. The rows of the archive's
media extension come from here too: the extension of 2020 has no region terms, so a region's address there has a media
fragment, and its times stand beside it under their own terms.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from earwitness.pipeline.publish.columns import told_row
from earwitness.pipeline.publish.media import Region, files_used, media_remarks, regions
from earwitness.pipeline.publish.metadata import MediaFile, Publication
from earwitness.pipeline.publish.publisher import Edition, Publisher, Row
from earwitness.pipeline.publish.statements import DRAFT_STATEMENT, row_statement
from earwitness.pipeline.publish.terms import cell, uri
from earwitness.schemas import InputError, Problem
from earwitness.schemas.spreadsheet import guarded_throughout

_TAXON = ("scientificName", "taxonRank", "identificationQualifier", "vernacularName", "sex", "lifeStage")
_RIGHTS = ("dcterms:rights", "xmpRights:Owner", "xmpRights:UsageTerms", "xmpRights:WebStatement")
"""dcterms:rights is an address: Audiovisual Core has words in dc:rights, a column of the same name."""
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
        InputError: the publication does not say of any recording where its video lies.
    """
    publication = edition.publication
    if publication is None:
        raise InputError(Problem("--publication", 0, "is not given", "a TOML file with licence and media"))
    media, own = media_rows(edition, publication), list(region_rows(edition, publication))
    if not media:
        problem = next(iter(media_remarks(edition)))
        raise InputError(replace(problem, severity="skipped"))
    target.mkdir()
    for name, terms, rows in (("media.csv", MEDIA, media), ("regions.csv", REGIONS, own)):
        table = [[guarded_throughout(cell(row.get(term))) for term in terms] for row in rows]
        _write(target / name, [[term.partition(":")[2] for term in terms], *table])
    listed = [(file, terms) for file, terms in (("media.csv", MEDIA), ("regions.csv", REGIONS))]
    described = [[file, term.partition(":")[2], uri(term)] for file, terms in listed for term in terms]
    _write(target / "terms.csv", [["file", "column", "term"], *described])


def _write(path: Path, lines: Sequence[Sequence[str]]) -> None:
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows(lines)
    path.write_text(text.getvalue(), encoding="utf-8", errors="replace", newline="")


def media_rows(edition: Edition, publication: Publication) -> list[dict[str, Any]]:
    """A record of each known file of the edition's recordings."""
    own: dict[str, list[str]] = {}
    files = {file.address: file for known in files_used(edition.rows, publication).values() for file in known}
    for row, region in regions(edition.rows, publication):
        own.setdefault(region.file.address, []).append(row["eventID"])
    return [
        {
            "dcterms:identifier": file.address,
            "dc:type": _type(file),
            "dcterms:title": f"{publication.title}: {Path(file.address).name}",
            "ac:accessURI": file.address,
            "dc:format": file.format,
            "ac:mediaDuration": file.duration,
            "ac:hasROI": " | ".join(own.get(file.address, ())),
            **_rights(publication),
            "ac:metadataLanguageLiteral": publication.language,
            "dcterms:description": f"Regions are a {DRAFT_STATEMENT}, except where their comments say otherwise.",
        }
        for file in files.values()
    ]


def region_rows(edition: Edition, publication: Publication) -> Iterator[dict[str, Any]]:
    """A record of each row that lies in a known file."""
    for row, region in regions(edition.rows, publication):
        told = told_row(row, edition)
        yield _region(told, region, publication) | {
            "dwc:taxonRank": told["taxonRank"],
            "dcterms:temporal": told["eventDate"],
            "ac:tag": told["recordKind"],
        }


def extension_rows(rows: Sequence[Row], publication: Publication) -> Iterator[dict[str, Any]]:
    """The archive's media extension, of rows as they are published: every region as a stretch of video of its own."""
    for row, region in regions(rows, publication):
        yield _region(row, region, publication) | {
            "dwc:eventID": row["eventID"],
            "dcterms:identifier": region.address,
            "dc:type": _type(region.file),
            "dc:format": region.file.format,
        }


def _type(file: MediaFile) -> str:
    """The DCMI type of a file: a film unless it is known to be sound alone."""
    return "Sound" if (file.format or "").startswith("audio/") else "MovingImage"


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
    values = (licence.address, owner, licence.title, licence.address)
    return dict(zip(_RIGHTS, values, strict=True))


AUDIOVISUAL_CORE = Publisher(
    "audiovisual-core",
    "media and their time regions in terms of Audiovisual Core",
    "audiovisual_core",
    write_audiovisual_core,
    archival=True,
    remarks=media_remarks,
)
