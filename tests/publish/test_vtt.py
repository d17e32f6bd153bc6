"""WebVTT tracks, read by webvtt-py; and in a browser, beside a video that plays (see test_browser.py)."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
import webvtt

from earwitness.pipeline.publish import publish
from earwitness.pipeline.publish.vtt import READING, WEBVTT, timestamp
from tests.publish import made


@pytest.fixture
def tracks(run: Path, tmp_path: Path) -> Path:
    return publish(run, [WEBVTT], tmp_path / "out").files[0]


def test_a_file_of_each_kind_for_each_recording(tracks: Path) -> None:
    names = [f"kettle_0{n}.{kind}.vtt" for n in (1, 2) for kind in ("captions", "metadata")]
    assert sorted(path.name for path in tracks.iterdir()) == names


def test_metadata_cues_hold_the_rows(tracks: Path) -> None:
    cues = list(webvtt.read(tracks / "kettle_01.metadata.vtt"))
    table = [r for r in made.rows() if r["recordingID"] == "kettle_01" and r["reviewStatus"] != "rejected"]
    assert [cue.identifier for cue in cues] == [row["eventID"] for row in table]
    for cue, row in zip(cues, table, strict=True):
        told = json.loads(cue.raw_text)
        assert cue.start_in_seconds == int(row["startTime"])
        for key, value in row.items():
            if value not in (None, []) and key not in (
                "identificationVerificationStatus",
                "identificationRemarks",
                "associatedOccurrences",
            ):
                assert told[key] == value
        assert ("machine draft from spoken commentary, not" in told["statement"]) == (row["reviewStatus"] == "draft")


def test_captions_say_what_and_that_it_is_a_draft(tracks: Path) -> None:
    cues = {cue.identifier: cue for cue in webvtt.read(tracks / "kettle_01.captions.vtt")}
    assert cues["kettle_01:o00012500"].text == "Munida sarsi (squat lobster)\n2, certain, machine draft"
    assert cues["kettle_01:o00040000"].text == "Lophelia pertusa\nabout 20, possible, accepted"
    assert cues["kettle_01:m00004000"].text == "on bottom, machine draft"
    assert cues["kettle_01:q00070000"].text == "depth 1200 m, machine draft"
    assert cues["kettle_01:s00080000"].text == "ground: mud, machine draft"
    cue = cues["kettle_01:o00012500"]
    assert (cue.start, cue.end) == ("00:00:12.500", timestamp(12.5 + READING))


def test_the_form_is_that_of_the_specification(run: Path, tmp_path: Path) -> None:
    """WebVTT (W3C), 4: the line of times has one arrow with blanks, three decimals; starts never go back."""
    odd = made.blank("kettle_01", "substrate", 3.0, habitat="a --> b\n\n<i>c</i> & d", eventID="x --> y\nz")
    folder = publish(made.write(tmp_path / "odd", [*made.rows(), odd]), [WEBVTT], tmp_path / "out2").files[0]
    for path in folder.iterdir():
        blocks = path.read_text("utf-8").split("\n\n")
        assert blocks[0] == "WEBVTT"
        starts = []
        for block in blocks[1:]:
            if block.startswith(("NOTE", "STYLE")):
                assert "-->" not in block
                continue
            name, times, *text = block.rstrip("\n").split("\n")
            assert "-->" not in name
            assert re.fullmatch(r"\d{2,}:[0-5]\d:[0-5]\d\.\d{3} --> \d{2,}:[0-5]\d:[0-5]\d\.\d{3}", times)
            assert text
            assert all(line.strip() and "-->" not in line for line in text)
            starts.append(times.split(" --> ")[0])
            assert times.split(" --> ")[0] < times.split(" --> ")[1]
        assert starts == sorted(starts)
        assert starts


def test_times_past_an_hour_and_a_hundred() -> None:
    assert timestamp(3661.001) == "01:01:01.001"
    assert timestamp(0.0) == "00:00:00.000"
    assert timestamp(59.9996) == "00:01:00.000"
    assert timestamp(360000.5) == "100:00:00.500"


def test_names_of_recordings_make_names_of_files(tmp_path: Path) -> None:
    names = ("../dive 1", "..dive_1", "DIVE_1", "?")
    rows = [made.blank(name, "substrate", 1.0, habitat="mud") for name in names]
    run = made.write(tmp_path / "run", rows)
    summary = json.loads((run / "run.json").read_text("utf-8"))
    summary["transcripts"] = [summary["transcripts"][0] | {"recordingID": name} for name in names]
    (run / "run.json").write_text(json.dumps(summary), encoding="utf-8")
    folder = publish(run, [WEBVTT], tmp_path / "out").files[0]
    told = sorted(path.name for path in folder.iterdir() if "captions" in path.name)
    assert len({name.lower() for name in told}) == 4
    assert all(re.fullmatch(r"\w[\w.-]*", name) for name in told)
