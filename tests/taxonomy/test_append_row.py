"""Rows added to CSV files, against other readers of CSV; and what is never to happen to a file."""

from __future__ import annotations

import csv
import io
import os
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

from earwitness.schemas import InputError
from earwitness.taxonomy.append_row import append_row, guarded, without_guard

CELLS = {"heard": "red crab", "name": "Chaceon", "note": ""}
NASTY = ["=1+1", "+cmd", "-2 crabs", "@sum(a)", 'a "b", c', "two\nlines", "naïve œuf", "'tis", "a;b", '"', "", "1,5"]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "rows.csv"


@pytest.mark.parametrize("text", NASTY)
def test_other_readers_agree_on_every_cell(text: str, path: Path) -> None:
    """Quoted as RFC 4180, section 2, says; nothing that a spreadsheet would run."""
    row = {"heard": text, "name": f"x{text}", "note": text}
    for _ in range(2):
        append_row(path, row)
    written = {column: guarded(cell) for column, cell in row.items()}
    with path.open(encoding="utf-8", newline="") as lines:
        assert list(csv.DictReader(lines, strict=True)) == [written, written]
    assert pd.read_csv(path, dtype=str, keep_default_na=False).to_dict("records") == [written, written]
    assert not any(cell.startswith(("=", "+", "-", "@")) for cell in written.values())
    assert without_guard(written["heard"]) == " ".join(text.split())


@pytest.mark.parametrize(
    ("before", "added"),
    [
        ("", "heard,name,note\nred crab,Chaceon,\n"),
        ("heard,name,note\n", "red crab,Chaceon,\n"),
        ("heard;name;note\r\n", "red crab;Chaceon;\r\n"),
        ("heard\tname\tnote\r", "red crab\tChaceon\t\r"),
        ("\ufeffname,checked,heard,note\nx,y,z,", "\nChaceon,,red crab,\n"),
        ('heard,name,note\n"bro', "\nred crab,Chaceon,\n"),
        ("\n \nheard,name,note\n", "red crab,Chaceon,\n"),
    ],
)
def test_the_manner_of_the_file_is_kept(before: str, added: str, path: Path) -> None:
    path.write_bytes(before.encode())
    append_row(path, CELLS)
    assert path.read_bytes().decode() == before + added


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ("heard,name,note\ncaf\xe9,Chaceon,\n".encode("cp1252"), "not UTF-8"),
        ("heard,name,note\n".encode("utf-16"), "not UTF-8"),
        (b"heard,name\n", "the header lacks columns"),
        (b"anything\n", "the header lacks columns"),
        (b'"' * 20_001, "the header lacks columns"),
    ],
)
def test_a_file_that_would_be_damaged_is_left_alone(data: bytes, told: str, path: Path) -> None:
    path.write_bytes(data)
    with pytest.raises(InputError, match=told):
        append_row(path, CELLS)
    assert path.read_bytes() == data


def test_places_that_cannot_be_written(tmp_path: Path) -> None:
    for place in (tmp_path, tmp_path / "nowhere" / "rows.csv"):
        with pytest.raises(InputError, match="cannot be written"):
            append_row(place, CELLS)
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_leaves_the_file_as_it_was(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    append_row(path, CELLS)
    before = path.read_bytes()
    whole = os.write
    monkeypatch.setattr(os, "write", lambda file, data: whole(file, data[:9]))
    with pytest.raises(InputError, match="disk is full"):
        append_row(path, CELLS)
    assert path.read_bytes() == before


def test_people_who_write_at_once_lose_nothing(path: Path) -> None:
    each = 100
    code = (
        "import sys\nfrom earwitness.taxonomy.append_row import append_row\n"
        f"for i in range({each}): append_row(sys.argv[1], dict(who=sys.argv[2], what=str(i), note='long ' * 2000))\n"
    )
    writers = [subprocess.Popen([sys.executable, "-c", code, str(path), who]) for who in ("a", "b", "c")]
    assert [writer.wait(timeout=300) for writer in writers] == [0, 0, 0]
    rows = list(csv.DictReader(io.StringIO(path.read_text("utf-8"), newline=""), strict=True))
    assert sorted((row["who"], int(row["what"])) for row in rows) == [(who, i) for who in "abc" for i in range(each)]
    assert {row["note"] for row in rows} == {"long " * 2000}
