"""A small run written by hand: every kind of row, reviewed and not, with and without position, with text that bites."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from earwitness.pipeline.drafting import CAUTION
from earwitness.pipeline.table import write_run
from tests import drafted

Row = dict[str, Any]
HASH = "0" * 64
PUBLICATION = """\
title = "Dives of the Teapot"
abstract = "Drafts of records."
published = 2032-02-03
language = "en"
licence = "CC-BY-4.0"
rights_holder = "Museum of Invented Seas"
dataset_id = "https://example.org/teapot"
region = "Kettle Bank (invented)"
citation = "Plum A. (2032): Dives of the Teapot."
keywords = ["deep sea"]
[[creators]]
given_name = "Ada"
surname = "Plum & Sons"
orcid = "https://orcid.org/0000-0000-0000-0000"
[[contacts]]
organisation = "Museum of Invented Seas"
email = "data@example.org"
[[media]]
recording = "kettle_01"
address = "https://example.org/kettle_01.mp4"
format = "video/mp4"
"""


def blank(recording: str, kind: str, start: float, **told: Any) -> Row:
    """A drafted row of a kind with what is told and nothing else."""
    own = {"checklistName": "taxa.csv", "checklistHash": HASH} | (drafted.SIGHTING if kind == "occurrence" else {})
    return drafted.blank(recording, kind, start, **own | told)


def species(name: str, number: str, **told: Any) -> Row:
    """Columns of a taxon."""
    parts = {"scientificName": name, "taxonID": number, "acceptedNameUsageID": number, "kingdom": "Animalia"}
    return parts | {"taxonRank": "species" if " " in name else "genus", "verbatimIdentification": name.lower()} | told


def step(name: str | None, number: str | None, what: str, speaker: str | None, time: float) -> Row:
    """A determination."""
    told = {"scientificName": name, "taxonID": number, "step": what, "verbatimIdentification": "heard"}
    return told | {"speaker": speaker, "time": time, "certainty": 0.7}


def rows() -> list[Row]:
    """Eight rows of two recordings, on both sides of the date line. Real taxa, names from memory."""
    place = {"placeMethod": "interpolated", "placeGapSeconds": 0.5, "coordinateUncertaintyInMeters": 25.0}
    water = {"waterTemperatureInCelsius": 2.75, "practicalSalinity": 34.6, "dissolvedOxygen": 120.0}
    return [
        blank("kettle_01", "marker", 4.0, markerType="on_bottom", transcriptText="on bottom"),
        blank(
            "kettle_01",
            "occurrence",
            12.5,
            **species("Munida sarsi", "t5", vernacularName="squat lobster"),
            **place,
            **water,
            dissolvedOxygenUnit="umol/kg",
            decimalLatitude=-16.512345,
            decimalLongitude=179.987654,
            minimumDepthInMeters=1200.5,
            maximumDepthInMeters=1201.0,
            eventDate="2031-06-14T08:12:12.500Z/2031-06-14T08:12:15.000Z",
            individualCount=2,
            speaker="Maud Pellew",
            transcriptText='Thanks, Bertha. <b>"Munida" & co</b> --> =1+1\tthere\nyes | Zoë agrees',
            associatedOccurrences='"on":"kettle_01:o00040000" | "beside":"kettle_01:o00060000"',
            certaintyCues=["definitely"],
            determinations=[
                step("Munida", "t4", "named", "Maud Pellew", 12.5),
                step(None, None, "retracted", None, 13.0),
                step("Munida sarsi", "t5", "refined", "Maud Pellew", 14.0),
            ],
            previousIdentifications="Munida (Maud Pellew, 12.500 s, then refined)",
            sizeValue=3.5,
            sizeUnit="cm",
            sizeMethod="by eye",
            behavior="walking",
            vitality="alive",
        ),
        blank(
            "kettle_01",
            "occurrence",
            40.0,
            **species("Lophelia pertusa", "t9"),
            **place,
            decimalLatitude=-16.6,
            decimalLongitude=-179.95,
            organismQuantity="20",
            organismQuantityType="individuals, approximate",
            certainty=0.4,
            certaintyTerm="possible",
            speaker="=HYPERLINK(1)",
            reviewStatus="accepted",
            reviewedBy="Rita Reader",
            reviewedAt="2031-07-01T00:00:00Z",
            determinations=[step("Lophelia pertusa", "t9", "named", "S2", 40.0)],
        ),
        blank(
            "kettle_01",
            "occurrence",
            60.0,
            **species("Doris", "t7"),
            reviewStatus="rejected",
            reviewedBy="Rita Reader",
            reviewedAt="2031-07-01T00:00:00Z",
        ),
        blank(
            "kettle_01",
            "measurement",
            70.0,
            measurementType="depth",
            measurementValue="1200",
            measurementUnit="m",
            transcriptText="@depth is twelve hundred",
        ),
        blank("kettle_01", "substrate", 80.0, habitat="mud", transcriptText="-mud"),
        blank("kettle_02", "marker", 3661.001, markerType="sample", sampleContainer="box 3", transcriptText="sample"),
        blank(
            "kettle_02",
            "occurrence",
            3700.0,
            **species("Doris verrucosa", "t8"),
            speaker="Bertha",
            transcriptText="Bertha, that is a Doris verrucosa",
            reviewStatus="changed",
            reviewedBy="Rita Reader",
            reviewedAt="2031-07-02T00:00:00Z",
            determinations=[step("Doris", "t7", "named", "Bertha", 3700.0)],
        ),
    ]


def write(folder: Path, events: list[Row] | None = None, **settings: Any) -> Path:
    """A run's folder with these rows."""
    talk = {"path": "kettle.vtt", "sha256": HASH, "format": "webvtt", "encoding": "utf-8", "start": None}
    counts = {"cuesRead": 9, "cuesSkipped": 0, "cuesMarked": 0}
    run = {
        "software": "earwitness",
        "softwareVersion": "0.1.0",
        "caution": CAUTION,
        "transcripts": [talk | counts | {"recordingID": name} for name in ("kettle_01", "kettle_02")],
        "checklist": {"path": "taxa.csv", "sha256": HASH, "name": "taxa.csv", "taxa": 9},
        "settings": {"pseudonyms": False, **settings},
        "counts": {"events": 8},
        "timing": {},
    }
    write_run(folder, rows() if events is None else events, [], [], run)
    return folder


def read(folder: Path) -> list[Row]:
    """The rows of a run's folder."""
    return [json.loads(line) for line in (folder / "events.jsonl").read_text("utf-8").splitlines()]


def metadata(folder: Path, text: str = PUBLICATION) -> Path:
    """The metadata of a publication, in a file; with the video of both recordings."""
    file = folder / "publication.toml"
    more = '[[media]]\nrecording = "kettle_02"\naddress = "https://example.org/kettle_02.mp4"\n'
    file.write_text(text + (more if text == PUBLICATION else ""), encoding="utf-8")
    return file
