"""The vehicle's track on the map: from the logs of the recording's description, or not at all, with the reason."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from earwitness.pipeline import draft
from earwitness.pipeline.publish import Options, publish
from earwitness.pipeline.publish.geojson import GEOJSON


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


def tracks(file: Path) -> list[dict[str, object]]:
    told = json.loads(file.read_text("utf-8"))["features"]
    return [feature["geometry"] for feature in told if feature["properties"]["recordKind"] == "track"]


def test_the_track_is_that_of_the_log_and_goes_where_it_is_gone(described: tuple[Path, Path], tmp_path: Path) -> None:
    folder, run = described
    out = publish(run, [GEOJSON], tmp_path / "out")
    (line,) = tracks(out.files[0])
    assert line["type"] == "LineString"
    assert len(line["coordinates"]) > 20  # type: ignore[arg-type]
    assert out.edition.problems == ()
    assert tracks(publish(run, [GEOJSON], tmp_path / "blurred", Options(grid_degrees=0.1)).files[0]) == []

    changed = folder / "recording.toml"
    changed.write_text(changed.read_text("utf-8") + "\n# a remark\n", encoding="utf-8")
    out = publish(run, [GEOJSON], tmp_path / "out")
    assert tracks(out.files[0]) == []
    assert [p.reason for p in out.edition.problems] == ["no track: the description has changed since the run"]

    (folder / "vehicle_log.csv").unlink()
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
