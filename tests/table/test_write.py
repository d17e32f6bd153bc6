"""Files of a run: the same rows in each, written whole or not at all, the same bytes for the same input."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from earwitness.pipeline import Run, draft
from earwitness.pipeline.table import FILES, write_run
from earwitness.pipeline.table import write as write_module
from earwitness.pipeline.table.frame import LISTS
from earwitness.schemas import ContractError, InputError, Problem, columns


@pytest.fixture(scope="module")
def run(dive: Path) -> Run:
    return draft(dive / "clean.vtt", dive / "checklist.csv")


@pytest.fixture(scope="module")
def out(run: Run, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("run") / "deep" / "out"
    run.write(folder)
    return folder


def test_every_file_is_there_and_nothing_else(out: Path) -> None:
    assert sorted(path.name for path in out.iterdir()) == sorted(FILES)


def test_json_lines_are_the_rows(run: Run, out: Path) -> None:
    assert [json.loads(line) for line in (out / "events.jsonl").read_text("utf-8").splitlines()] == run.events
    assert [json.loads(line) for line in (out / "mentions.jsonl").read_text("utf-8").splitlines()] == run.mentions
    assert [json.loads(line) for line in (out / "utterances.jsonl").read_text("utf-8").splitlines()] == run.utterances


def test_csv_says_the_same_as_json_lines(run: Run, out: Path) -> None:
    with (out / "events.csv").open(encoding="utf-8", newline="") as lines:
        read = list(csv.DictReader(lines))
    assert list(read[0]) == list(columns("event"))
    assert len(read) == len(run.events)
    for told, row in zip(read, run.events, strict=True):
        for name, value in row.items():
            if isinstance(value, list):
                assert json.loads(told[name]) == value
            elif isinstance(value, int | float):
                assert float(told[name]) == value
            else:
                assert told[name] == ("" if value is None else value)


def test_parquet_says_the_same_as_json_lines(run: Run, out: Path) -> None:
    read = pl.read_parquet(out / "events.parquet")
    assert read.columns == list(columns("event"))
    assert read.schema["startTime"] == pl.Float64
    assert read.schema["individualCount"] == pl.Int64
    for told, row in zip(read.to_dicts(), run.events, strict=True):
        assert {k: json.loads(v) if k in LISTS else v for k, v in told.items()} == row


def test_frame_has_the_rows_with_types(run: Run) -> None:
    frame = run.frame()
    assert list(frame.columns) == list(columns("event"))
    assert frame["individualCount"].dtype == "Int64"
    assert frame["startTime"].dtype == "Float64"
    counted = [row["individualCount"] for row in run.events if row["individualCount"] is not None]
    assert frame["individualCount"].dropna().tolist() == counted
    assert frame["eventID"].is_unique


def test_times_have_millisecond_precision_and_order(run: Run) -> None:
    for row in run.events:
        assert round(row["startTime"], 3) == row["startTime"]
        assert row["startTime"] <= row["endTime"]
        assert row["timeUncertainty"] >= 0


def test_a_second_run_replaces_the_first_and_leaves_other_files(run: Run, tmp_path: Path) -> None:
    run.write(tmp_path)
    (tmp_path / "notes.txt").write_text("mine")
    before = (tmp_path / "events.csv").read_bytes()
    Run(run.events[:3], [], [], run.summary).write(tmp_path)
    assert (tmp_path / "notes.txt").read_text() == "mine"
    assert len((tmp_path / "events.jsonl").read_text("utf-8").splitlines()) == 3
    assert (tmp_path / "events.csv").read_bytes() != before


@pytest.mark.parametrize("breaks", ["to_polars", "_csv", "_json_lines"])
def test_nothing_is_half_written(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, breaks: str) -> None:
    run.write(tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}

    def full(*_: Any) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(write_module, breaks, full)
    with pytest.raises(OSError, match="no space left"):
        Run(run.events[:1], [], [], run.summary).write(tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_broken_row_writes_nothing(run: Run, tmp_path: Path) -> None:
    with pytest.raises(ContractError):
        write_run(tmp_path / "out", [run.events[0] | {"certainty": 7}], [], [], run.summary)
    assert not (tmp_path / "out").exists()


def test_a_file_in_the_way_is_one_clear_error(run: Run, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("")
    with pytest.raises(InputError, match="taken"):
        run.write(tmp_path / "taken")


def test_no_cell_starts_a_formula(run: Run, tmp_path: Path) -> None:
    """Text that a spreadsheet would run is defused in the CSV and kept in JSON Lines."""
    event = run.events[0] | {"transcriptText": "=HYPERLINK(1)", "speaker": "@pilot"}
    problem = Problem("-dive.vtt", 1, "+1 odd", "@x")
    write_run(tmp_path, [event], [], [problem], run.summary)
    for name in ("events.csv", "problems.csv"):
        with (tmp_path / name).open(encoding="utf-8", newline="") as lines:
            cells = [cell for row in csv.DictReader(lines) for cell in row.values()]
        assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]
    assert json.loads((tmp_path / "events.jsonl").read_text("utf-8"))["transcriptText"] == "=HYPERLINK(1)"


def test_same_input_gives_the_same_bytes_whatever_the_hash_seed(dive: Path, tmp_path: Path) -> None:
    code = "import sys; from earwitness.pipeline import draft; draft(sys.argv[1], sys.argv[2]).write(sys.argv[3])"
    for seed in ("1", "2"):
        arguments = [str(dive / "heard.vtt"), str(dive / "checklist.csv"), str(tmp_path / seed)]
        cache = {"EARWITNESS_CACHE": str(tmp_path / f"cache_{seed}")}  # else the second run would use the first's index
        environment = os.environ | {"PYTHONHASHSEED": seed} | cache
        subprocess.run([sys.executable, "-c", code, *arguments], check=True, env=environment)
    for name in FILES:
        first, second = ((tmp_path / seed / name).read_bytes() for seed in ("1", "2"))
        if name == "run.json":
            # Durations differ, and stand under "timing" alone.
            assert json.loads(first) | {"timing": 0} == json.loads(second) | {"timing": 0}
        else:
            assert first == second, name
