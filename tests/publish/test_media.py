"""Audiovisual Core and media fragments, against TDWG's list of terms and the W3C's own examples."""

from __future__ import annotations

import csv
import zipfile
from pathlib import Path

import pytest

from earwitness.pipeline.publish import publish, read_publication
from earwitness.pipeline.publish.archive import DARWIN_CORE_ARCHIVE
from earwitness.pipeline.publish.audiovisual import AUDIOVISUAL_CORE
from earwitness.pipeline.publish.media import region_of
from earwitness.pipeline.publish.spreadsheets import CSV
from earwitness.schemas import InputError
from tests.publish import made

FILES = """\
[[media]]
recording = "kettle_02"
address = "b.mp4"
from = 3700.5
duration = 600
[[media]]
recording = "kettle_02"
address = "a.mp4"
from = 100.0
duration = 3600
"""


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_regions_are_those_of_the_rows(run: Path, metadata: Path, tmp_path: Path) -> None:
    out = publish(run, [AUDIOVISUAL_CORE], tmp_path / "out", publication=metadata).files[0]
    regions = {row["identifier"]: row for row in table(out / "regions.csv")}
    rows = {row["eventID"]: row for row in made.rows() if row["reviewStatus"] != "rejected"}
    assert list(regions) == list(rows)
    for name, region in regions.items():
        assert float(region["startTime"]) == rows[name]["startTime"]
        assert float(region["endTime"]) == rows[name]["endTime"]
        assert region["isROIOf"] == f"https://example.org/{rows[name]['recordingID']}.mp4"
        assert region["scientificName"] == (rows[name]["scientificName"] or "")
        assert ("machine draft" in region["comments"] and "not reviewed" in region["comments"]) == (
            rows[name]["reviewStatus"] == "draft"
        )
    media = {row["identifier"]: row for row in table(out / "media.csv")}
    assert media.keys() == {region["isROIOf"] for region in regions.values()}
    for address, row in media.items():
        assert row["hasROI"].split(" | ") == [name for name, region in regions.items() if region["isROIOf"] == address]
        assert row["Owner"] == "Museum of Invented Seas"
        # Audiovisual Core: dcterms:rights is an address, never words.
        assert row["rights"] == row["WebStatement"] == "https://creativecommons.org/licenses/by/4.0/legalcode"
        assert row["type"] == "MovingImage"


def test_terms_are_in_the_standards_list(run: Path, metadata: Path, tmp_path: Path, shared: Path) -> None:
    out = publish(run, [AUDIOVISUAL_CORE], tmp_path / "out", publication=metadata).files[0]
    known = {
        row["namespace"] + row["term"]
        for row in table(shared / "standards" / "tdwg_terms.csv")
        if row["deprecated"] != "true"
    }
    told = table(out / "terms.csv")
    for name in ("media.csv", "regions.csv"):
        assert [row["column"] for row in told if row["file"] == name] == list(table(out / name)[0])
    # The rights terms of XMP are borrowed too, and stand in another list.
    own = {row["term"] for row in told if not row["term"].startswith("http://ns.adobe.com/")}
    assert own <= known


def test_fragments_have_the_form_of_the_recommendation(tmp_path: Path) -> None:
    """Media Fragments URI 1.0, 4.2.1: `#t=10,20`, and with decimals `t=npt:10,20` says the same in seconds."""
    publication = read_publication(made.metadata(tmp_path))
    row = made.blank("kettle_01", "marker", 10.0, endTime=20.0)
    region = region_of(row, publication.files_of("kettle_01"))
    assert region
    assert region.address == "https://example.org/kettle_01.mp4#t=10,20"
    # The end is no part of a fragment: an event without length still shows something.
    short = region_of(row | {"endTime": 10.0}, publication.files_of("kettle_01"))
    assert short
    assert short.address.endswith("#t=10,10.001")


def test_times_run_on_from_file_to_file(tmp_path: Path) -> None:
    publication = read_publication(made.metadata(tmp_path, made.PUBLICATION + FILES))

    def told(start: float, end: float) -> str | None:
        row = made.blank("kettle_02", "marker", start, endTime=end)
        region = region_of(row, publication.files_of("kettle_02"))
        return region.address if region else None

    assert told(100.0, 101.0) == "a.mp4#t=0,1"
    assert told(3699.0, 3702.0) == "a.mp4#t=3599,3600"
    assert told(3700.2, 3702.0) is None
    assert told(3701.0, 3702.0) == "b.mp4#t=0.5,1.5"
    assert told(50.0, 51.0) is None
    assert told(9000.0, 9001.0) is None


def test_cells_are_safe_for_spreadsheets(tmp_path: Path) -> None:
    row = made.blank("kettle_01", "substrate", 1.0, habitat="=1+1")
    run, metadata = made.write(tmp_path / "run", [row]), made.metadata(tmp_path)
    out = publish(run, [AUDIOVISUAL_CORE], tmp_path / "out", publication=metadata).files[0]
    assert table(out / "regions.csv")[0]["title"] == "'=1+1"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('format = "audio/flac"', "Sound"),
        ('format = "video/mp4"', "MovingImage"),
        ("", "MovingImage"),
    ],
)
def test_sound_alone_is_no_film(line: str, told: str, run: Path, tmp_path: Path) -> None:
    """dc:type after the DCMI type vocabulary, in the media, and in the archive's media extension."""
    text = made.PUBLICATION.replace('format = "video/mp4"', line)
    out = publish(
        run, [AUDIOVISUAL_CORE, DARWIN_CORE_ARCHIVE], tmp_path / "out", publication=made.metadata(tmp_path, text)
    )
    assert table(out.files[0] / "media.csv")[0]["type"] == told
    with zipfile.ZipFile(out.files[1]) as parts:
        lines = csv.DictReader(parts.read("multimedia.txt").decode().splitlines(), delimiter="\t")
        assert {row["type"] for row in lines if row["eventID"].startswith("kettle_01")} == {told}


def test_columns_have_names_of_their_own(run: Path, metadata: Path, tmp_path: Path) -> None:
    out = publish(run, [AUDIOVISUAL_CORE], tmp_path / "out", publication=metadata).files[0]
    for name in ("media.csv", "regions.csv"):
        header = (out / name).read_text("utf-8").splitlines()[0].split(",")
        assert len(set(header)) == len(header)


def test_rows_at_whose_time_no_file_lies_are_counted(tmp_path: Path) -> None:
    rows = [made.blank("kettle_02", "marker", start, markerType="highlight") for start in (50.0, 101.0, 3700.2, 9000.0)]
    run, metadata = made.write(tmp_path / "run", rows), made.metadata(tmp_path, made.PUBLICATION + FILES)
    out = publish(run, [AUDIOVISUAL_CORE], tmp_path / "out", publication=metadata)
    assert [row["identifier"] for row in table(out.files[0] / "regions.csv")] == [rows[1]["eventID"]]
    (problem,) = out.edition.problems
    assert problem.reason == "rows at whose time no file lies have no media row: 3 of recording 'kettle_02'"
    assert "'from' and 'duration'" in problem.expected


def test_formats_without_media_say_nothing_of_them(run: Path, tmp_path: Path) -> None:
    text = made.PUBLICATION.partition("[[media]]")[0]
    assert publish(run, [CSV], tmp_path / "out", publication=made.metadata(tmp_path, text)).edition.problems == ()


def test_media_of_no_recording_of_the_run_are_refused(run: Path, tmp_path: Path) -> None:
    text = made.PUBLICATION.replace('recording = "kettle_01"', 'recording = "kettle_1"')
    expected = (
        r"recording 'kettle_01', 'kettle_02': it does not say where .*\[\[media\]\] with recording = \"kettle_01\""
    )
    with pytest.raises(InputError, match=expected):
        publish(run, [AUDIOVISUAL_CORE], tmp_path / "out", publication=made.metadata(tmp_path, text))
    assert not (tmp_path / "out").exists()
