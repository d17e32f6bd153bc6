"""eml.xml: the metadata of a publication in the Ecological Metadata Language 2.2.0, with what the rows cover."""

from __future__ import annotations

import re
from collections.abc import Sequence
from xml.etree import ElementTree as ET

from earwitness.pipeline.publish.archive_tables import PROTOCOL
from earwitness.pipeline.publish.lines import bounds
from earwitness.pipeline.publish.metadata import Agent, Publication
from earwitness.pipeline.publish.publisher import Edition
from earwitness.pipeline.publish.statements import CAUTION
from earwitness.pipeline.publish.xml_text import serialised

EML = "https://eml.ecoinformatics.org/eml-2.2.0"
_XSI = "http://www.w3.org/2001/XMLSchema-instance"
_DRAFT = "Records drafted by machine from spoken commentary on video: "


def eml(edition: Edition, publication: Publication) -> bytes:
    """The document; elements in the order of the EML schema."""
    package = publication.dataset_id or f"earwitness:{re.sub(r'[^a-z0-9]+', '-', publication.title.lower()).strip('-')}"
    root = ET.Element(
        "eml:eml",
        {
            "xmlns:eml": EML,
            "xmlns:xsi": _XSI,
            "xsi:schemaLocation": f"{EML} {EML}/eml.xsd",
            "packageId": f"{package}/{publication.published}",
            "system": "earwitness",
            "scope": "system",
            "xml:lang": "en",
        },
    )
    dataset = ET.SubElement(root, "dataset")
    if publication.dataset_id:
        _text(dataset, "alternateIdentifier", publication.dataset_id)
    _text(dataset, "title", publication.title)
    _agents(dataset, "creator", publication.creators)
    _agents(dataset, "metadataProvider", publication.contacts)
    _text(dataset, "pubDate", publication.published)
    _text(dataset, "language", publication.language)
    _paragraphs(dataset, "abstract", [_DRAFT + CAUTION, *publication.abstract.split("\n\n")])
    if publication.keywords:
        keywords = ET.SubElement(dataset, "keywordSet")
        for word in publication.keywords:
            _text(keywords, "keyword", word)
        _text(keywords, "keywordThesaurus", "n/a")
    rights = f"Rights holder: {publication.rights_holder}. This work is licensed under "
    _licence(dataset, rights, publication)
    _coverage(dataset, edition, publication)
    _agents(dataset, "contact", publication.contacts)
    methods = ET.SubElement(ET.SubElement(dataset, "methods"), "methodStep")
    told = [f"{PROTOCOL[0].upper()}{PROTOCOL[1:]}.", *(publication.methods or "").split("\n\n")]
    _paragraphs(methods, "description", told)
    if publication.citation:
        extra = ET.SubElement(ET.SubElement(root, "additionalMetadata"), "metadata")
        _text(ET.SubElement(extra, "gbif"), "citation", publication.citation)
    return serialised(root)


def _text(parent: ET.Element, name: str, text: str) -> ET.Element:
    element = ET.SubElement(parent, name)
    element.text = " ".join(text.split())
    return element


def _paragraphs(parent: ET.Element, name: str, texts: Sequence[str]) -> None:
    element = ET.SubElement(parent, name)
    for text in texts:
        if text.strip():
            _text(element, "para", text)


def _agents(dataset: ET.Element, name: str, agents: Sequence[Agent]) -> None:
    for agent in agents:
        element = ET.SubElement(dataset, name)
        if agent.surname:
            person = ET.SubElement(element, "individualName")
            if agent.given_name:
                _text(person, "givenName", agent.given_name)
            _text(person, "surName", agent.surname)
        for tag, value in (
            ("organizationName", agent.organisation),
            ("positionName", agent.position),
            ("electronicMailAddress", agent.email),
            ("onlineUrl", agent.address),
        ):
            if value:
                _text(element, tag, value)
        if agent.orcid:
            _text(element, "userId", agent.orcid).set("directory", "https://orcid.org/")


def _licence(dataset: ET.Element, text: str, publication: Publication) -> None:
    paragraph = ET.SubElement(ET.SubElement(dataset, "intellectualRights"), "para")
    paragraph.text = text
    link = ET.SubElement(paragraph, "ulink", {"url": publication.licence.address})
    _text(link, "citetitle", publication.licence.title)
    licensed = ET.SubElement(dataset, "licensed")
    _text(licensed, "licenseName", publication.licence.title)
    _text(licensed, "url", publication.licence.address)


def _coverage(dataset: ET.Element, edition: Edition, publication: Publication) -> None:
    places = [
        (row["decimalLongitude"], row["decimalLatitude"])
        for row in edition.rows
        if row["decimalLatitude"] is not None and row["decimalLongitude"] is not None
    ]
    moments = [moment for row in edition.rows if row["eventDate"] for moment in row["eventDate"].split("/")]
    taxa = sorted({(row["taxonRank"] or "", row["scientificName"]) for row in edition.rows if row["scientificName"]})
    if not (places or moments or taxa):
        return
    coverage = ET.SubElement(dataset, "coverage")
    if places:
        area = ET.SubElement(coverage, "geographicCoverage")
        _text(area, "geographicDescription", publication.region or "where the vehicle was")
        box = ET.SubElement(area, "boundingCoordinates")
        west, south, east, north = bounds(places)
        for side, value in (("west", west), ("east", east), ("north", north), ("south", south)):
            _text(box, f"{side}BoundingCoordinate", f"{value:.6f}")
    if moments:
        period = ET.SubElement(ET.SubElement(coverage, "temporalCoverage"), "rangeOfDates")
        for name, moment in (("beginDate", min(moments)), ("endDate", max(moments))):
            _text(ET.SubElement(period, name), "calendarDate", moment[:10])
    if taxa:
        listed = ET.SubElement(coverage, "taxonomicCoverage")
        _text(listed, "generalTaxonomicCoverage", "Names heard, not verified unless a record says so.")
        for rank, name in taxa:
            taxon = ET.SubElement(listed, "taxonomicClassification")
            if rank:
                _text(taxon, "taxonRankName", rank)
            _text(taxon, "taxonRankValue", name)
