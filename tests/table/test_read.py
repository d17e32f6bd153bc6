"""A run's folder as it is read again: what was written, whole; and what will not do is told with file and row."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline.table import read_rows, read_run_files
from earwitness.schemas import InputError, columns
from tests.review import made


@pytest.fixture
def run(tmp_path: Path) -> Path:
    return made.write(tmp_path / "run")


def rewrite(file: Path, change: Callable[[dict[str, Any]], Any], number: int = 1) -> None:
    lines = [json.loads(line) for line in file.read_text("utf-8").splitlines()]
    change(lines[number - 1])
    file.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")


@pytest.mark.parametrize("strict", [False, True])
def test_what_was_written_is_read(run: Path, strict: bool) -> None:
    found = read_run_files(run, strict=strict)
    assert list(found.events.values()) == made.events()
    assert list(found.mentions) == made.mentions()
    assert list(found.utterances) == made.utterances()
    assert found.recording_ids == ["saddle_01", "saddle_02"]
    assert found.summary["checklist"]["name"] == "taxa"
    assert found.sha256 == hashlib.sha256((run / "events.jsonl").read_bytes()).hexdigest()


def test_an_older_run_lacks_columns_and_files_and_is_read_all_the_same(run: Path) -> None:
    rewrite(run / "events.jsonl", lambda row: row.pop("alternatives"))
    (run / "utterances.jsonl").unlink()
    (run / "mentions.jsonl").unlink()
    found = read_run_files(run)
    first = next(iter(found.events.values()))
    assert (first["alternatives"], set(first)) == (None, set(columns("event")))
    assert (found.mentions, found.utterances) == ((), ())
    with pytest.raises(InputError, match=r"events\.jsonl:1: no event row: .*alternatives.*; expected rows as this"):
        read_run_files(run, strict=True)


@pytest.mark.parametrize("strict", [False, True])
@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (lambda row: row.update(eventID="saddle_01:m00004000"), r":2: .*stands in row 1 too; expected every row with"),
        (lambda row: row.update(recordingID="elsewhere"), ":2: is no event of this run; expected the folder of a"),
        (lambda row: row.update(startTime=None), ":2: startTime is None; expected a number of seconds"),
        (lambda row: row.update(certainty="high"), ":2: certainty is 'high'; expected a number from 0 to 1"),
    ],
)
def test_a_row_that_will_not_do_is_told(run: Path, change: Callable[[Any], Any], reason: str, strict: bool) -> None:
    rewrite(run / "events.jsonl", change, 2)
    with pytest.raises(InputError, match=rf"events\.jsonl{reason}"):
        read_run_files(run, strict=strict)


@pytest.mark.parametrize(
    ("name", "reason"),
    [("events.jsonl", "is missing"), ("run.json", r"cannot be read \(FileNotFoundError\)")],
)
def test_a_run_without_its_files_is_none(run: Path, name: str, reason: str) -> None:
    (run / name).unlink()
    with pytest.raises(InputError, match=f"{name}: {reason}; expected the folder of a finished run"):
        read_run_files(run)


@pytest.mark.parametrize("text", ["[]", "3", '{"transcripts": []}', '{"transcripts": [{}], "checklist": {"path": 1}}'])
@pytest.mark.parametrize("strict", [False, True])
def test_a_summary_that_is_none_is_told(run: Path, text: str, strict: bool) -> None:
    (run / "run.json").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"run\.json: is no run's summary"):
        read_run_files(run, strict=strict)


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"\xff\xfe", "not UTF-8 text"),
        (b'{"startTime": NaN}', ":1: not JSON"),
        (b'{"startTime": 1e999}', ":1: startTime is inf"),
        (b'\n{"startTime": 1, "status": "sung"}', ":2: status is 'sung'; expected one of observed, or null"),
        (b"[" * 100_000, ":1: not JSON"),
    ],
)
def test_lines_that_are_no_rows_are_told(tmp_path: Path, content: bytes, reason: str) -> None:
    (tmp_path / "mentions.jsonl").write_bytes(content)
    with pytest.raises(InputError, match=reason):
        read_rows(tmp_path / "mentions.jsonl", {"status": ["observed"]})
