"""The vehicle's track on the map: from the logs of the recording's description, or not at all, with the reason."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline import draft
from earwitness.pipeline.publish import Fix, Issue, Options, publish, read_run
from earwitness.pipeline.publish.geojson import GEOJSON
from earwitness.pipeline.publish.geopackage import GEOPACKAGE
from earwitness.pipeline.publish.track import drawn_once, run_track
from earwitness.pipeline.report import gather
from tests.place.made import HEAD, at, describe, line_along, write_log

TALK = "WEBVTT\n\n{} --> {}\nWe have a flapjack octopus here.\n\n{} --> {}\nThere is a bamboo coral.\n"


@pytest.fixture
def described(dive: Path, tmp_path: Path) -> tuple[Path, Path]:
    """The built-in dive's description with its log, and a run that was drafted with it."""
    folder = tmp_path / "dive"
    folder.mkdir()
    for name in ("recording.toml", "vehicle_log.csv"):
        shutil.copy(dive / name, folder)
    run = draft(dive / "clean.vtt", dive / "checklist.csv", recordings=[folder / "recording.toml"])
    run.write(tmp_path / "run")
    return folder, tmp_path / "run"


def features(file: Path) -> list[dict[str, Any]]:
    told = json.loads(file.read_text("utf-8"))["features"]
    return [feature for feature in told if feature["properties"]["recordKind"] == "track"]


def tracks(file: Path) -> list[dict[str, Any]]:
    return [feature["geometry"] for feature in features(file)]


def test_the_track_is_that_of_the_log_and_goes_where_it_is_gone(described: tuple[Path, Path], tmp_path: Path) -> None:
    folder, run = described
    out = publish(run, [GEOJSON], tmp_path / "out")
    (line,) = tracks(out.files[0])
    assert line["type"] == "LineString"
    assert len(line["coordinates"]) > 20
    assert out.edition.problems == ()
    assert tracks(publish(run, [GEOJSON], tmp_path / "blurred", Options(grid_degrees=0.1)).files[0]) == []

    log = folder / "vehicle_log.csv"
    written = log.read_text("utf-8")
    log.write_text(written + "\n", encoding="utf-8")
    out = publish(run, [GEOJSON], tmp_path / "out")
    assert tracks(out.files[0]) == []
    assert [p.reason for p in out.edition.problems] == ["no track: the log has changed since the run"]
    log.write_text(written, encoding="utf-8")

    changed = folder / "recording.toml"
    changed.write_text(changed.read_text("utf-8") + "\n# a remark\n", encoding="utf-8")
    out = publish(run, [GEOJSON], tmp_path / "out")
    assert tracks(out.files[0]) == []
    assert [p.reason for p in out.edition.problems] == ["no track: the description has changed since the run"]

    log.unlink()
    out = publish(run, [GEOJSON], tmp_path / "out")
    assert tracks(out.files[0]) == []
    assert out.edition.problems[0].reason.startswith("no track: ")


def test_the_way_is_found_from_another_folder(
    described: tuple[Path, Path], dive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a path as given meant depends on where one works; the run tells the way from itself, too."""
    folder, _ = described
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    monkeypatch.chdir(folder.parent)
    description = folder.relative_to(folder.parent) / "recording.toml"
    run = draft(dive / "clean.vtt", dive / "checklist.csv", recordings=[description])
    run.write("drafted")
    monkeypatch.chdir(elsewhere)
    out = publish(folder.parent / "drafted", [GEOJSON], tmp_path / "out")
    assert len(tracks(out.files[0])) == 1
    assert out.edition.problems == ()


def test_blurring_does_not_hide_that_the_description_is_gone(described: tuple[Path, Path]) -> None:
    folder, run = described
    summary = read_run(run).run
    blur = Options(grid_degrees=0.1)
    assert run_track(summary, blur) == ((), ())
    (folder / "recording.toml").unlink()
    fixes, (problem,) = run_track(summary, blur)
    assert fixes == ()
    assert problem.reason == "no track, blurred or not: no such file"
    assert problem.file.endswith("recording.toml")
    assert "draft the recording again" in problem.expected


def drafted(folder: Path, checklist: Path, talks: Sequence[str], descriptions: Sequence[Path]) -> Path:
    """A run of invented talk, a line at 20 s and one at 50 s of each recording."""
    for name in talks:
        times = ("00:20.000", "00:22.000", "00:50.000", "00:52.000")
        (folder / f"{name}.vtt").write_text(TALK.format(*times), encoding="utf-8")
    paths = [folder / f"{name}.vtt" for name in talks]
    draft(paths, checklist, recordings=descriptions).write(folder / "run")
    return folder / "run"


def published(run: Path, to: Path) -> tuple[Issue, list[dict[str, Any]], list[tuple[str, int]]]:
    """The track as GeoJSON has it, and the GeoPackage's rows of it: recordingID, and how many there are."""
    issue = publish(run, [GEOJSON, GEOPACKAGE], to)
    with sqlite3.connect(issue.files[1]) as package:
        rows = package.execute("SELECT recordingID, count(*) FROM track GROUP BY recordingID").fetchall()
    return issue, features(issue.files[0]), rows


def profiles(issue: Issue) -> dict[str, tuple[float, float]]:
    """The depths that the report's timeline of each recording runs over, by its line of the vehicle."""
    content = gather(issue.edition)
    return {
        line.name: (min(d for part in line.profile for _, d in part), max(d for part in line.profile for _, d in part))
        for line in content.timelines
        if line.profile
    }


def test_two_transcripts_of_one_recording_have_its_track_and_it_is_drawn_once(dive: Path, tmp_path: Path) -> None:
    write_log(tmp_path, line_along(range(0, 90, 2)))
    description = describe(tmp_path, head=f'{HEAD}transcripts = ["pilot", "bridge"]')
    run = drafted(tmp_path, dive / "checklist.csv", ["pilot", "bridge"], [description])
    issue, lines, rows = published(run, tmp_path / "out")
    assert {fix.recording_id for fix in issue.edition.track} == {"pilot", "bridge"}
    assert [line["properties"]["recordingID"] for line in lines] == ["pilot | bridge"]
    assert len(lines[0]["geometry"]["coordinates"]) == 9
    assert rows == [("pilot | bridge", 1)]
    for name in ("pilot", "bridge"):
        alone = drafted(tmp_path, dive / "checklist.csv", [name], [description])
        (tmp_path / name).mkdir()
        assert profiles(published(alone, tmp_path / name / "out")[0]) == {name: (1010.0, 1025.0)}


def test_two_recordings_have_the_tracks_of_their_own_logs(dive: Path, tmp_path: Path) -> None:
    write_log(tmp_path, line_along(range(0, 90, 2)), name="one.csv")
    other = [(at(s + 90_000), 45, round(-30.5 + s * 1e-6, 7), 1500 + s / 2) for s in range(0, 90, 2)]
    write_log(tmp_path, other, name="two.csv")
    one = describe(tmp_path, file="one.csv").rename(tmp_path / "one.toml")
    head = 'id = "bracken_sill_8"\nstart = 2029-03-05T11:00:00Z\n'
    two = describe(tmp_path, head=head, file="two.csv").rename(tmp_path / "two.toml")
    run = drafted(tmp_path, dive / "checklist.csv", ["bracken_sill_7", "bracken_sill_8"], [one, two])
    issue, lines, rows = published(run, tmp_path / "out")
    assert [line["properties"]["recordingID"] for line in lines] == ["bracken_sill_7", "bracken_sill_8"]
    assert rows == [("bracken_sill_7", 1), ("bracken_sill_8", 1)]
    assert profiles(issue) == {"bracken_sill_7": (1010.0, 1025.0), "bracken_sill_8": (1510.0, 1525.0)}


def test_two_recordings_with_one_log_of_the_dive_draw_it_once(dive: Path, tmp_path: Path) -> None:
    """Each recording has the log by its own time: the second began 40 s after the first."""
    write_log(tmp_path, line_along(range(0, 150, 2)))
    one = describe(tmp_path).rename(tmp_path / "one.toml")
    two = describe(tmp_path, head='id = "other_camera"\nstart = 2029-03-04T10:00:40Z\n').rename(tmp_path / "two.toml")
    run = drafted(tmp_path, dive / "checklist.csv", ["bracken_sill_7", "other_camera"], [one, two])
    issue, lines, rows = published(run, tmp_path / "out")
    assert [line["properties"]["recordingID"] for line in lines] == ["bracken_sill_7 | other_camera"]
    assert rows == [("bracken_sill_7 | other_camera", 1)]
    first = {fix.recording_id: fix.time for fix in reversed(issue.edition.track)}
    assert first == {"bracken_sill_7": 0.0, "other_camera": -40.0}


def fixes(name: str, numbers: Sequence[int], since: int = 0) -> list[Fix]:
    """Fixes of a way, by their number on it."""
    return [Fix(name, 10.0 * (n - since), n / 1000, -30.0, moment=f"2029-03-04T10:{n:02d}:00Z") for n in numbers]


def steps(pieces: Sequence[Sequence[Fix]]) -> list[tuple[str, int, int]]:
    """The lines that are drawn: in whose name, from which fix to which."""
    pairs = [(one, two) for piece in pieces for one, two in pairwise(piece)]
    assert all(one.recording_id == two.recording_id for one, two in pairs)
    return [(one.recording_id, round(one.latitude * 1000), round(two.latitude * 1000)) for one, two in pairs]


def test_recordings_that_overlap_have_no_hole_and_nothing_twice() -> None:
    track = fixes("a", range(3, 8)) + fixes("b", range(10), since=2)
    assert steps(drawn_once(track)) == [
        *(("a | b", n, n + 1) for n in range(3, 7)),
        *(("b", n, n + 1) for n in (0, 1, 2)),
        *(("b", n, n + 1) for n in (7, 8)),
    ]


def test_what_has_no_moment_is_nobody_elses() -> None:
    ways = [[Fix(name, float(n), n / 1000, -30.0) for n in range(3)] for name in "ab"]
    assert drawn_once(ways[0] + ways[1]) == ways


def test_a_lone_fix_stays() -> None:
    assert drawn_once(fixes("a", [4])) == [fixes("a", [4])]
    assert drawn_once([]) == []


@given(st.lists(st.tuples(st.integers(0, 20), st.integers(2, 20)), min_size=1, max_size=5))
def test_every_step_of_every_recording_is_drawn_once(spans: list[tuple[int, int]]) -> None:
    ways = [fixes(f"r{n}", range(at, at + long), since=at) for n, (at, long) in enumerate(spans)]
    drawn = steps(drawn_once([fix for way in ways for fix in way]))
    assert sorted({(one, two) for _, one, two in drawn}) == sorted((one, two) for _, one, two in drawn)
    for way in ways:
        own = {(one, two) for name, one, two in drawn if way[0].recording_id in name.split(" | ")}
        assert own == {(one, two) for _, one, two in steps([way])}
