"""Darwin Core Archive: event core with extensions, meta.xml and eml.xml in one zip, after the Darwin Core text guide.

Files are tab-separated and never quoted, as the guide allows: no value holds a tab or a line end. The same input
gives the same bytes.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from xml.etree import ElementTree as ET

from earwitness.pipeline.publish.archive_tables import archive_tables
from earwitness.pipeline.publish.eml import eml
from earwitness.pipeline.publish.media import media_remarks
from earwitness.pipeline.publish.publisher import Edition, Publisher
from earwitness.pipeline.publish.terms import Table, cell, uri
from earwitness.pipeline.publish.xml_text import serialised
from earwitness.schemas import InputError, Problem

TEXT_GUIDE = "http://rs.tdwg.org/dwc/text/"
_XSI = "http://www.w3.org/2001/XMLSchema-instance"
_OLDEST = (1980, 1, 1, 0, 0, 0)
"""The first moment a zip can hold: the moment of writing would make each archive another file."""
_UNIX = 3
"""The system that is told to have made it: else the same run would give another file on another system."""


def write_archive(edition: Edition, target: Path) -> None:
    """Write the archive.

    Raises:
        InputError: there is no metadata.
    """
    publication = edition.publication
    if publication is None:
        raise InputError(Problem("--publication", 0, "is not given", "a TOML file with licence and rights holder"))
    tables = archive_tables(edition, publication)
    parts = {"meta.xml": meta_xml(tables), "eml.xml": eml(edition, publication)}
    parts |= {table.file: table_text(table).encode("utf-8", "replace") for table in tables}
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            entry = zipfile.ZipInfo(name, _OLDEST)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system = _UNIX
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, data)


def table_text(table: Table) -> str:
    """The file of a table: a line of names, then the records."""
    terms = table.used()
    lines = [tuple(term.partition(":")[2] for term in terms)]
    lines += zip(*(_cells([row.get(term) for row in table.rows]) for term in terms), strict=True)
    return "".join("\t".join(line) + "\n" for line in lines)


def _cells(values: Sequence[object]) -> Iterator[str]:
    """The cells of a column. Texts repeat: each is made a cell once."""
    made: dict[str, str] = {}
    for value in values:
        if type(value) is not str:
            yield cell(value)
        else:
            if value not in made:
                made[value] = cell(value)
            yield made[value]


def meta_xml(tables: list[Table], metadata: str = "eml.xml") -> bytes:
    """The description of the files; the first table is the core, the others are its extensions."""
    archive = ET.Element("archive", {"xmlns": TEXT_GUIDE, "xmlns:xsi": _XSI, "metadata": metadata})
    archive.set("xsi:schemaLocation", f"{TEXT_GUIDE} {TEXT_GUIDE}tdwg_dwc_text.xsd")
    for number, table in enumerate(tables):
        attributes = {
            "encoding": "UTF-8",
            "fieldsTerminatedBy": "\\t",
            "linesTerminatedBy": "\\n",
            "fieldsEnclosedBy": "",
            "ignoreHeaderLines": "1",
            "rowType": uri(table.row_type),
        }
        part = ET.SubElement(archive, "extension" if number else "core", attributes)
        ET.SubElement(ET.SubElement(part, "files"), "location").text = table.file
        terms = table.used()
        ET.SubElement(part, "coreid" if number else "id", {"index": str(terms.index(table.key))})
        for place, term in enumerate(terms):
            # In an extension the key is the core's ID and no term of the record.
            if not (number and term == table.key):
                ET.SubElement(part, "field", {"index": str(place), "term": uri(term)})
        for term, value in table.constants.items():
            ET.SubElement(part, "field", {"term": uri(term), "default": cell(value)})
    return serialised(archive)


DARWIN_CORE_ARCHIVE = Publisher(
    "dwca",
    "Darwin Core Archive: events, occurrences, measurements, identifications, media",
    "dwca.zip",
    write_archive,
    True,
    media_remarks,
)
