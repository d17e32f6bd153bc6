"""Darwin Core Archives: read back by python-dwca-reader row for row, terms against the published definitions, eml.xml
by metapype's rules of EML, meta.xml against the Darwin Core text guide."""

from __future__ import annotations

import csv
import re
import warnings
import zipfile
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from dwca.read import DwCAReader

from earwitness.pipeline import draft
from earwitness.pipeline.publish import FORMATS, Options, publish
from earwitness.pipeline.publish.archive import DARWIN_CORE_ARCHIVE, meta_xml, table_text
from earwitness.pipeline.publish.archive_tables import recording_event
from earwitness.pipeline.publish.terms import Table, cell, uri
from tests.publish import made

DWC = "http://rs.tdwg.org/dwc/terms/"
OBIS = "http://rs.iobis.org/obis/terms/"
GUIDE = "{http://rs.tdwg.org/dwc/text/}"
CORE = {"eventDate", "habitat", "decimalLatitude", "decimalLongitude", "coordinateUncertaintyInMeters"}
CORE |= {"minimumDepthInMeters", "maximumDepthInMeters"}
OCCURRENCE = {
    "basisOfRecord",
    "occurrenceStatus",
    "scientificName",
    "taxonID",
    "taxonRank",
    "kingdom",
    "vernacularName",
}
OCCURRENCE |= {"verbatimIdentification", "individualCount", "organismQuantity", "organismQuantityType", "behavior"}
OCCURRENCE |= {"vitality", "previousIdentifications", "class", "order", "genus", "sex", "lifeStage", "associatedTaxa"}


@pytest.fixture
def archive(run: Path, metadata: Path, tmp_path: Path) -> Path:
    return publish(run, [DARWIN_CORE_ARCHIVE], tmp_path / "out", publication=metadata).files[0]


def records(archive: Path) -> tuple[list[dict[str, str]], dict[str, list[dict[str, str]]]]:
    """Core rows and extension rows by row type, as the outside reader sees them."""
    with DwCAReader(str(archive)) as reader:
        core = [dict(row.data) | {"id": row.id} for row in reader]
        extensions: dict[str, list[dict[str, str]]] = {}
        for row in reader:
            for extra in row.extensions:
                extensions.setdefault(extra.rowtype, []).append(dict(extra.data) | {"coreid": extra.core_id})
    return core, extensions


def assert_tells(record: dict[str, str], row: dict[str, Any], names: set[str]) -> None:
    for name in names:
        told, value = record.get(DWC + name, ""), row[name]
        if isinstance(value, int | float):
            assert float(told) == value, name
        else:
            assert told == " ".join((value or "").split()), name


def test_the_core_is_the_event_table_row_for_row(archive: Path) -> None:
    core, _ = records(archive)
    table = {row["eventID"]: row for row in made.rows() if row["reviewStatus"] != "rejected"}
    own = [record for record in core if record[DWC + "parentEventID"]]
    assert [record["id"] for record in own] == list(table)
    assert len({record["id"] for record in core}) == len(core)
    for record in own:
        row = table[record["id"]]
        assert_tells(record, row, CORE)
        assert record[DWC + "parentEventID"] == recording_event(row["recordingID"])
        assert record[DWC + "fieldNotes"] == " ".join(row["transcriptText"].split())
        assert record[DWC + "geodeticDatum"] == ("EPSG:4326" if row["decimalLatitude"] is not None else "")
    assert {r["id"] for r in core} - set(table) == {"kettle_01:recording", "kettle_02:recording"}


def test_occurrences_are_those_of_the_table(archive: Path) -> None:
    _, extensions = records(archive)
    table = {
        r["eventID"]: r for r in made.rows() if r["recordKind"] == "occurrence" and r["reviewStatus"] != "rejected"
    }
    told = {record["coreid"]: record for record in extensions[DWC + "Occurrence"]}
    assert told.keys() == table.keys()
    for name, record in told.items():
        assert record[DWC + "occurrenceID"] == name
        assert_tells(record, table[name], OCCURRENCE)
    # What was related to a rejected row stays behind.
    assert told["kettle_01:o00012500"][DWC + "associatedOccurrences"] == '"on":"kettle_01:o00040000"'


def test_the_demo_dive_stands_in_its_archive_row_for_row(dive: Path, tmp_path: Path) -> None:
    """The built-in dive, drafted and published with its own metadata."""
    drafted = draft(dive / "heard.vtt", dive / "checklist.csv")
    drafted.write(tmp_path / "run")
    out = publish(tmp_path / "run", [DARWIN_CORE_ARCHIVE], tmp_path / "out", publication=dive / "publication.toml")
    core, extensions = records(out.files[0])
    own = [record for record in core if record[DWC + "parentEventID"]]
    assert [record["id"] for record in own] == [event["eventID"] for event in drafted.events]
    occurrences = {record["coreid"]: record for record in extensions[DWC + "Occurrence"]}
    events = [event for event in drafted.events if event["recordKind"] == "occurrence"]
    assert list(occurrences) == [event["eventID"] for event in events]
    assert len(events) > 20
    for event in events:
        assert_tells(occurrences[event["eventID"]], event, OCCURRENCE)
    assert len(extensions["http://rs.tdwg.org/ac/terms/Multimedia"]) == len(drafted.events)


def test_a_row_is_a_draft_until_a_person_has_reviewed_it(archive: Path) -> None:
    core, extensions = records(archive)
    remarks = {record["id"]: record[DWC + "eventRemarks"] for record in core}
    told = {record["coreid"]: record for record in extensions[DWC + "Occurrence"]}
    reviewed = {"kettle_01:o00040000", "kettle_02:o03700000"}
    for row in made.rows():
        name = row["eventID"]
        if row["reviewStatus"] == "rejected":
            continue
        draft_row = name not in reviewed
        assert ("machine draft from spoken commentary" in remarks[name]) == draft_row
        if name in told:
            assert (told[name][DWC + "identificationVerificationStatus"] == "unverified") == draft_row
            assert told[name][DWC + "identificationRemarks"].startswith("Machine draft") == draft_row
            assert told[name][DWC + "identifiedBy"] == ("" if draft_row else "Rita Reader")


def test_measurements_have_sizes_water_counts_and_certainty(archive: Path) -> None:
    _, extensions = records(archive)
    told = {
        record[DWC + "measurementID"].rpartition(":")[2]: record
        for record in extensions[OBIS + "ExtendedMeasurementOrFact"]
        if record["coreid"] == "kettle_01:o00012500"
    }
    assert told["sizeValue"][DWC + "measurementValue"] == "3.5"
    assert told["sizeValue"][DWC + "measurementUnit"] == "cm"
    assert told["sizeValue"][DWC + "measurementMethod"] == "by eye"
    assert told["sizeValue"][DWC + "occurrenceID"] == "kettle_01:o00012500"
    # The water is the event's, not the animal's.
    assert told["waterTemperatureInCelsius"][DWC + "occurrenceID"] == ""
    assert told["waterTemperatureInCelsius"][DWC + "measurementValue"] == "2.75"
    assert told["waterTemperatureInCelsius"][OBIS + "measurementTypeID"].endswith("/P01/current/TEMPPR01/")
    assert told["dissolvedOxygen"][DWC + "measurementUnit"] == "umol/kg"
    assert told["certainty"][DWC + "measurementValue"] == "0.95"
    assert "definitely" in told["certainty"][DWC + "measurementMethod"]
    assert told["nameScore"][DWC + "measurementValue"] == "0.9"
    assert "exact" in told["individualCount"][DWC + "measurementValue"]
    spoken = [
        r for r in extensions[OBIS + "ExtendedMeasurementOrFact"] if r[DWC + "measurementType"] == "depth as spoken"
    ]
    assert [(r["coreid"], r[DWC + "measurementValue"], r[DWC + "measurementUnit"]) for r in spoken] == [
        ("kettle_01:q00070000", "1200", "m")
    ]


def test_the_history_tells_every_step_and_which_stands(archive: Path) -> None:
    _, extensions = records(archive)
    history: dict[str, list[dict[str, str]]] = {}
    for record in extensions[DWC + "Identification"]:
        history.setdefault(record["coreid"], []).append(record)
    drafted = history["kettle_01:o00012500"]
    assert [r[DWC + "scientificName"] for r in drafted] == ["Munida", "", "Munida sarsi"]
    assert [r[DWC + "isAcceptedIdentification"] for r in drafted] == ["false", "false", "true"]
    assert {r[DWC + "identificationVerificationStatus"] for r in drafted} == {"unverified"}
    changed = history["kettle_02:o03700000"]
    assert [r[DWC + "identifiedBy"] for r in changed] == ["Bertha", "Rita Reader"]
    assert [r[DWC + "scientificName"] for r in changed] == ["Doris", "Doris verrucosa"]
    assert [r[DWC + "isAcceptedIdentification"] for r in changed] == ["false", "true"]


def test_media_rows_have_fragments_and_regions(archive: Path) -> None:
    _, extensions = records(archive)
    media = {record["coreid"]: record for record in extensions["http://rs.tdwg.org/ac/terms/Multimedia"]}
    ac = "http://rs.tdwg.org/ac/terms/"
    assert media["kettle_01:o00012500"][ac + "accessURI"] == "https://example.org/kettle_01.mp4#t=12.5,15"
    assert media["kettle_01:o00012500"][ac + "startTime"] == "12.5"
    assert media["kettle_01:o00012500"][ac + "endTime"] == "15"
    assert media["kettle_02:m03661001"][ac + "accessURI"] == "https://example.org/kettle_02.mp4#t=3661.001,3663.501"


def definition(file: str) -> set[str]:
    """Terms of a published core or extension definition, as the package dwca-writer carries it."""
    spec = find_spec("dwcawriter")
    assert spec
    assert spec.submodule_search_locations
    path = Path(next(iter(spec.submodule_search_locations))) / "data" / file
    root = ET.parse(path).getroot()
    return {
        str(node.get("namespace")).rstrip("/") + "/" + str(node.get("name"))
        if node.get("qualName") is None
        else str(node.get("qualName"))
        for node in root.iter("{http://rs.gbif.org/extension/}property")
    }


DEFINED = {
    "event.txt": ("core/dwc_event_2022-02-02.xml", {DWC + "eventType"}),
    "occurrence.txt": ("core/dwc_occurrence_2022-02-02.xml", {DWC + "vitality"}),
    "extendedmeasurementorfact.txt": ("extension/obis/extended_measurement_or_fact.xml", set()),
    "identification.txt": (
        "extension/dwc/identification_history_2022-02-02.xml",
        {DWC + "isAcceptedIdentification", DWC + "occurrenceID"},
    ),
    "multimedia.txt": (
        "extension/ac/audubon_2020_10_06.xml",
        {f"http://rs.tdwg.org/ac/terms/{name}" for name in ("startTime", "endTime", "isROIOf")},
    ),
}
"""The definition of each file's terms, and the terms that are younger than it (checked against TDWG's list below)."""


def fields(archive: Path) -> dict[str, list[str]]:
    with zipfile.ZipFile(archive) as parts:
        meta = ET.fromstring(parts.read("meta.xml"))
    return {
        str(part.findtext(f"{GUIDE}files/{GUIDE}location")): [str(f.get("term")) for f in part.iter(f"{GUIDE}field")]
        for part in meta
    }


def test_terms_are_those_of_the_published_definitions(archive: Path) -> None:
    told = fields(archive)
    assert told.keys() == DEFINED.keys()
    for file, terms in told.items():
        source, younger = DEFINED[file]
        assert set(terms) - definition(source) <= younger, file
        assert len(set(terms)) == len(terms), file


def test_terms_are_in_the_standards_list(archive: Path, shared: Path) -> None:
    with (shared / "standards" / "tdwg_terms.csv").open(encoding="utf-8", newline="") as lines:
        rows = [row for row in csv.DictReader(lines) if row["deprecated"] != "true"]
    known = {row["namespace"] + row["term"] for row in rows}
    for file, terms in fields(archive).items():
        listed = [t for t in terms if t.startswith(("http://rs.tdwg.org/", "http://purl.org/"))]
        assert set(listed) <= known, file


def test_eml_is_valid_by_metapypes_rules(archive: Path) -> None:
    with warnings.catch_warnings():
        # The checker reads its own version in a way that Python will give up.
        warnings.simplefilter("ignore", DeprecationWarning)
        from metapype.eml import validate
        from metapype.model.metapype_io import from_xml

    with zipfile.ZipFile(archive) as parts:
        text = parts.read("eml.xml").decode()
    node = from_xml(text)
    errors: list[Any] = []
    validate.tree(node, errors)
    # Its rules have no ulink, which EML's text module allows in a paragraph, and by which aggregators know a licence.
    assert [error[1] for error in errors if not re.search("\\b(?:ulink|citetitle)\\b", error[1])] == []
    # The checker can find fault.
    errors.clear()
    broken = from_xml(text.replace("<pubDate>2032-02-03</pubDate>", "<pubDate>some day</pubDate><title/>"))
    validate.tree(broken, errors)
    assert [error[1] for error in errors if "title" in error[1]]
    assert "machine" in text
    assert "not fit for navigation" in text
    assert 'url="https://creativecommons.org/licenses/by/4.0/legalcode"' in text
    assert "<surName>Plum &amp; Sons</surName>" in text


def test_the_reader_finds_metadata_and_constants(archive: Path) -> None:
    with DwCAReader(str(archive)) as reader:
        assert reader.metadata is not None
        assert reader.metadata.findtext("dataset/title") == "Dives of the Teapot"
        row = next(iter(reader))
        assert row.data["http://purl.org/dc/terms/license"] == "https://creativecommons.org/licenses/by/4.0/legalcode"
        assert row.data["http://purl.org/dc/terms/rightsHolder"] == "Museum of Invented Seas"


def test_meta_xml_is_that_of_the_text_guides_example() -> None:
    """Darwin Core text guide (TDWG, version of 2023-09-13), sections 1.1 and 3.1: what its examples' cores say."""
    names = ("taxonID", "scientificName", "acceptedNameUsageID", "parentNameUsageID", "originalNameUsageID")
    whales = Table("whales.txt", "dwc:Taxon", "dwc:taxonID", tuple(f"dwc:{n}" for n in names), [])
    full = [{f"dwc:{n}": "x" for n in names}]
    types = Table(
        "types.csv", "dwc:Identification", "dwc:taxonID", ("dwc:taxonID", "dwc:typeStatus"), [{"dwc:typeStatus": "x"}]
    )
    constant = {"dwc:datasetID": "urn:lsid:tim.lsid.tdwg.org:collections:1"}
    root = ET.fromstring(
        meta_xml([Table(whales.file, whales.row_type, whales.key, whales.columns, full, constant), types])
    )
    assert root.tag == f"{GUIDE}archive"
    core, extension = root
    assert (core.tag, extension.tag) == (f"{GUIDE}core", f"{GUIDE}extension")
    expected = {"encoding": "UTF-8", "fieldsTerminatedBy": "\\t", "linesTerminatedBy": "\\n", "ignoreHeaderLines": "1"}
    assert {key: core.get(key) for key in expected} == expected
    assert core.get("rowType") == "http://rs.tdwg.org/dwc/terms/Taxon"
    assert core.findtext(f"{GUIDE}files/{GUIDE}location") == "whales.txt"
    assert [e.tag.removeprefix(GUIDE) for e in core][:2] == ["files", "id"]
    assert core[1].get("index") == "0"
    listed = [
        (f.get("index"), str(f.get("term")).removeprefix(DWC)) for f in core.iter(f"{GUIDE}field") if f.get("index")
    ]
    assert listed == [(str(n), name) for n, name in enumerate(names)]
    # "A constant value has no index, but applies to all rows."
    (fixed,) = [f for f in core.iter(f"{GUIDE}field") if f.get("index") is None]
    assert (fixed.get("term"), fixed.get("default")) == (uri("dwc:datasetID"), constant["dwc:datasetID"])
    assert [e.tag.removeprefix(GUIDE) for e in extension] == ["files", "coreid", "field"]


def test_no_value_breaks_a_line() -> None:
    table = Table(
        "t.txt",
        "dwc:Event",
        "dwc:eventID",
        ("dwc:eventID", "dwc:habitat"),
        [{"dwc:eventID": "a", "dwc:habitat": "b\tc\r\nd\x85e"}],
    )
    assert table_text(table) == "eventID\thabitat\na\tb c d e\n"
    assert cell("a \x00b\x07") == "a \N{REPLACEMENT CHARACTER}b\N{REPLACEMENT CHARACTER}"
    assert [cell(text) for text in (" a", "a ", "a  b", "a\u2028b", "a\xa0b", "naïve 🦑")] == [
        *("a", "a", "a b", "a b", "a b", "naïve 🦑")
    ]
    assert [cell(value) for value in (-0.0, -1e-12)] == ["0", "0"]
    assert [cell(value) for value in (1.50, 1e-7, 3, True, None, -0.25)] == [
        "1.5",
        "0.0000001",
        "3",
        "true",
        "",
        "-0.25",
    ]


def test_the_same_run_gives_the_same_bytes(run: Path, metadata: Path, tmp_path: Path) -> None:
    first, second = (publish(run, FORMATS, tmp_path / name, publication=metadata) for name in ("one", "two"))
    for one, two in zip(first.files, second.files, strict=True):
        files = sorted(one.rglob("*")) if one.is_dir() else [one]
        for path in files:
            other = two / path.relative_to(one) if one.is_dir() else two
            assert path.read_bytes() == other.read_bytes(), path.name


def test_without_media_there_is_no_media_extension(run: Path, tmp_path: Path) -> None:
    text = made.PUBLICATION.partition("[[media]]")[0]
    out = publish(run, [DARWIN_CORE_ARCHIVE], tmp_path / "out", publication=made.metadata(tmp_path, text))
    assert "multimedia.txt" not in fields(out.files[0])
    (problem,) = out.edition.problems
    assert "no media rows for recording 'kettle_01', 'kettle_02':" in problem.reason


def test_recordings_without_a_media_row_are_told_in_one_line_with_the_remedy(run: Path, tmp_path: Path) -> None:
    """No address is made up: the others' rows have media, and the problem says what to write."""
    text = made.PUBLICATION + "# only the first\n"
    out = publish(run, FORMATS, tmp_path / "out", Options(), made.metadata(tmp_path, text))
    _, extensions = records(out.files[0])
    media = extensions["http://rs.tdwg.org/ac/terms/Multimedia"]
    assert [m["coreid"] for m in media] == [
        row["eventID"] for row in made.rows() if row["recordingID"] == "kettle_01" and row["reviewStatus"] != "rejected"
    ]
    # Two formats lack the same: it is told once.
    (problem,) = out.edition.problems
    assert (problem.file, problem.severity) == (str(tmp_path / "publication.toml"), "noted")
    assert problem.reason == "no media rows for recording 'kettle_02': it does not say where the video lies"
    assert problem.expected.startswith('[[media]] with recording = "kettle_02" and address = "https://..."')


@pytest.mark.parametrize(
    ("moments", "told"),
    [
        # A moment without a fraction is before the same second's half, although "Z" comes after "." as a letter.
        (["2031-06-14T08:12:12Z/2031-06-14T08:12:12.500Z"], "2031-06-14T08:12:12Z/2031-06-14T08:12:12.500Z"),
        (["2031-06-14T08:12:12.500Z", "2031-06-14T08:12:12Z"], "2031-06-14T08:12:12Z/2031-06-14T08:12:12.500Z"),
        (["2031-06-14T08:12:12Z", "2031-06-14T08:12:12Z"], "2031-06-14T08:12:12Z"),
        ([None, "2032-01-01T00:00:00Z/2032-01-01T00:00:09Z"], "2032-01-01T00:00:00Z/2032-01-01T00:00:09Z"),
        ([None, None], ""),
    ],
)
def test_a_recording_spans_its_rows_in_time(moments: list[str | None], told: str, tmp_path: Path) -> None:
    rows = [
        made.blank("kettle_01", "substrate", 5.0 * n, habitat="mud", eventDate=date) for n, date in enumerate(moments)
    ]
    out = publish(
        made.write(tmp_path / "run", rows),
        [DARWIN_CORE_ARCHIVE],
        tmp_path / "out",
        publication=made.metadata(tmp_path),
    )
    core, _ = records(out.files[0])
    assert core[0]["id"] == "kettle_01:recording"
    assert core[0].get(DWC + "eventDate", "") == told


def test_an_archive_is_the_same_file_on_every_system(archive: Path) -> None:
    with zipfile.ZipFile(archive) as parts:
        assert {(part.create_system, part.date_time) for part in parts.infolist()} == {(3, (1980, 1, 1, 0, 0, 0))}


def test_columns_keep_their_records_together() -> None:
    """Each record's cells stand in its own line: texts that repeat, equal numbers of other types."""
    columns = ("dwc:eventID", "dwc:habitat", "dwc:individualCount", "dwc:eventRemarks")
    values = [("a", "mud", 1, True), ("b", "mud", 1.0, "mud"), ("c", None, True, "1"), ("d", "", 0, False)]
    rows = [dict(zip(columns, row, strict=True)) for row in values]
    assert table_text(Table("t.txt", "dwc:Event", "dwc:eventID", columns, rows)).splitlines() == [
        "eventID\thabitat\tindividualCount\teventRemarks",
        "a\tmud\t1\ttrue",
        "b\tmud\t1\tmud",
        "c\t\ttrue\t1",
        "d\t\t0\tfalse",
    ]


def test_statuses_may_be_detected(run: Path, metadata: Path, tmp_path: Path) -> None:
    out = publish(run, [DARWIN_CORE_ARCHIVE], tmp_path / "out", Options(status_words="detected"), metadata)
    _, extensions = records(out.files[0])
    assert {r[DWC + "occurrenceStatus"] for r in extensions[DWC + "Occurrence"]} == {"detected"}
