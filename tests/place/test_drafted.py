"""`earwitness draft --recording`, and the demonstration dive with its places."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline import draft
from earwitness.pipeline.place import read_recording
from earwitness.pipeline.place.geodesic import distances
from earwitness.schemas import InputError, validate
from earwitness.taxonomy import NameIndex, load_checklist
from tests.conftest import Told
from tests.place.made import describe, line_along, write_log


@pytest.fixture(scope="module")
def index(dive: Path) -> NameIndex:
    return NameIndex(load_checklist(dive / "checklist.csv"))


@pytest.fixture(scope="module")
def demo(dive: Path, index: NameIndex) -> Any:
    return draft(dive / "clean.vtt", index, recordings=[dive / "recording.toml"])


def test_the_demonstration_has_plausible_places(demo: Any) -> None:
    site = demo.summary["recordings"][0]
    assert "invented" in site["site"]
    assert "invented" in site["title"]
    for row in demo.events:
        assert row["placeMethod"] in ("interpolated", "nearest fix")
        assert float(distances(row["decimalLatitude"], row["decimalLongitude"], 43.94, -125.09)) < 5000
        assert 20 < row["coordinateUncertaintyInMeters"] < 200
        assert 0 <= row["minimumDepthInMeters"] <= row["maximumDepthInMeters"] < 1200
        assert 3 < row["waterTemperatureInCelsius"] < 15
        assert 32 < row["practicalSalinity"] < 35
        assert row["dissolvedOxygenUnit"] == "umol/kg"
        assert "clock corrected" in row["placeFlags"]
    ways = {row["placeMethod"] for row in demo.events}
    assert ways == {"interpolated", "nearest fix"}
    assert any("spike" in row["placeFlags"] for row in demo.events)


def test_the_demonstrations_depths_are_those_that_are_said(demo: Any) -> None:
    spoken = [row for row in demo.events if row["measurementType"] == "depth"]
    assert len(spoken) >= 4
    for row in spoken:
        assert row["minimumDepthInMeters"] == pytest.approx(float(row["measurementValue"]), abs=10)
    assert not any("spoken depth" in flag for row in demo.events for flag in row["placeFlags"])


def test_a_run_with_places_can_be_written_and_read_back(demo: Any, tmp_path: Path) -> None:
    demo.write(tmp_path)
    rows = [json.loads(line) for line in (tmp_path / "events.jsonl").read_text("utf-8").splitlines()]
    validate("event", rows)
    assert rows == demo.events
    with (tmp_path / "events.csv").open(encoding="utf-8", newline="") as lines:
        first = next(csv.DictReader(lines))
    assert json.loads(first["placeFlags"]) == rows[0]["placeFlags"]
    summary = json.loads((tmp_path / "run.json").read_text("utf-8"))
    (recording,) = summary["recordings"]
    assert recording["recordingIDs"] == ["clean"]
    assert [Path(log["path"]).name for log in recording["logs"]] == ["vehicle_log.csv"]
    assert summary["transcripts"][0]["start"].startswith("2031-08-19T15:20:00.4")
    assert recording["people"] == [
        {"name": "Odile", "role": "lead biologist"},
        {"name": "Corwin", "role": "second scientist"},
    ]
    with (tmp_path / "problems.csv").open(encoding="utf-8", newline="") as lines:
        assert ["spike" in row["reason"] for row in csv.DictReader(lines)] == [True]


def test_with_pseudonyms_the_run_names_nobody(dive: Path, index: NameIndex, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    draft(dive / "clean.vtt", index, recordings=[dive / "recording.toml"], pseudonyms=key).write(tmp_path / "run")
    (recording,) = json.loads((tmp_path / "run" / "run.json").read_text("utf-8"))["recordings"]
    assert "people" not in recording
    written = "".join(path.read_text("utf-8") for path in (tmp_path / "run").glob("*.json*"))
    assert "Odile" not in written
    assert "Corwin" not in written


def test_without_a_description_nothing_is_made_up(dive: Path, index: NameIndex) -> None:
    run = draft(dive / "clean.vtt", index)
    assert run.summary["recordings"] == []
    for row in run.events:
        assert row["placeFlags"] == []
        for name in ("eventDate", "decimalLatitude", "minimumDepthInMeters", "placeMethod", "practicalSalinity"):
            assert row[name] is None


def test_other_columns_do_not_depend_on_places(demo: Any, dive: Path, index: NameIndex) -> None:
    """Above all the IDs, by which people's corrections are joined."""
    plain = draft(dive / "clean.vtt", index).events
    for with_place, without in zip(demo.events, plain, strict=True):
        changed = {name for name in without if with_place[name] != without[name]}
        assert "eventID" not in changed
        assert changed <= {name for name in without if without[name] in (None, [])}


def test_problems_of_a_log_are_told_once_for_two_transcripts_of_one_recording(dive: Path, index: NameIndex) -> None:
    run = draft([dive / "clean.vtt", dive / "heard.vtt"], index, recordings=[dive / "recording.toml"])
    assert sum("spike" in problem.reason for problem in run.problems) == 1
    assert run.summary["recordings"][0]["recordingIDs"] == ["clean", "heard"]


def test_a_start_given_twice_is_refused(dive: Path, index: NameIndex) -> None:
    recording = read_recording(dive / "recording.toml")
    assert recording.clock is not None
    with pytest.raises(InputError, match="one of the two"):
        draft(dive / "clean.vtt", index, recordings=[recording], starts={"clean": recording.clock.utc(0)})


TALK = "WEBVTT\n\n00:05.000 --> 00:08.000\nThat is a flapjack octopus.\n"


def test_the_command_with_recordings(dive: Path, tmp_path: Path, here: Callable[..., Told]) -> None:
    (tmp_path / "bracken_sill_7.vtt").write_text(TALK)
    write_log(tmp_path, line_along(range(0, 30, 5)))
    talk, description = tmp_path / "bracken_sill_7.vtt", describe(tmp_path)
    arguments = ["draft", talk, "--checklist", dive / "checklist.csv", "--out", tmp_path / "out"]
    code, _, complaint = here(*arguments, "--recording", description)
    assert code == 0, complaint
    assert "not fit for navigation" in (tmp_path / "out" / "run.json").read_text("utf-8")
    (row,) = [json.loads(line) for line in (tmp_path / "out" / "events.jsonl").read_text("utf-8").splitlines()]
    assert row["eventDate"].startswith("2029-03-04T10:00:0")
    assert row["minimumDepthInMeters"] == pytest.approx(1003, abs=1)


@pytest.mark.parametrize(
    ("rows", "description", "told"),
    [
        (line_along(range(7200, 7300, 5)), {}, "log of the same time"),
        ([("2029-03-04T10:00:00Z", -130, 45, 9)], {}, "log.csv:2"),
        (line_along([0, 5]), {"head": 'id = "other"\nstart = 2029-03-04T10:00:00Z'}, "describes none"),
        (line_along([0, 5]), {"head": 'id = "bracken_sill_7"\nstart = 2029-13-04T10:00:00Z'}, "recording.toml:2"),
    ],
)
def test_what_cannot_be_used_is_one_clear_line_and_nothing_is_written(
    rows: Any, description: dict[str, Any], told: str, dive: Path, tmp_path: Path, here: Callable[..., Told]
) -> None:
    (tmp_path / "bracken_sill_7.vtt").write_text(TALK)
    write_log(tmp_path, rows)
    out = tmp_path / "out"
    arguments = ["--checklist", dive / "checklist.csv", "--out", out, "--recording", describe(tmp_path, **description)]
    code, printed, complaint = here("draft", tmp_path / "bracken_sill_7.vtt", *arguments)
    assert (code, printed) == (3, "")
    assert told in complaint
    assert len(complaint.strip().splitlines()) == 1
    assert not out.exists()


def test_two_recordings_with_one_id_are_one_clear_line(dive: Path, tmp_path: Path, here: Callable[..., Told]) -> None:
    (tmp_path / "a.vtt").write_text(TALK)
    for name in ("one.toml", "two.toml"):
        (tmp_path / name).write_text('id = "a"\n')
    recordings = ["--recording", tmp_path / "one.toml", "--recording", tmp_path / "two.toml"]
    where = ["--checklist", dive / "checklist.csv", "--out", tmp_path / "out"]
    code, _, complaint = here("draft", tmp_path / "a.vtt", *where, *recordings)
    assert code == 3
    assert "two.toml:1: describes the recording 'a', and so does" in complaint
    assert not (tmp_path / "out").exists()
