"""Pseudonyms on publication: nobody's name in any file, animals keep theirs, one key for all runs."""

from __future__ import annotations

import json
import re
import zipfile
from pathlib import Path

import polars as pl
import pytest
from openpyxl import load_workbook

from earwitness.pipeline.publish import FORMATS, MANIFEST, Options, make_edition, publish, read_run
from earwitness.pipeline.publish.spreadsheets import CSV
from earwitness.schemas import InputError
from tests.publish import made

NAMES = ("maud", "pellew", "bertha", "rita", "reader")


def text_of(path: Path) -> str:
    """All text of an export as its reader sees it."""
    if path.is_dir():
        return " ".join(text_of(part) for part in path.iterdir())
    if path.suffix == ".zip":
        with zipfile.ZipFile(path) as parts:
            return " ".join(parts.read(name).decode() for name in parts.namelist())
    if path.suffix == ".xlsx":
        return json.dumps([[str(c.value) for c in row] for sheet in load_workbook(path) for row in sheet.iter_rows()])
    if path.suffix == ".parquet":
        return json.dumps(pl.read_parquet(path).to_dicts())
    return path.read_bytes().decode("utf-8", "replace")


def test_nobody_is_named_in_any_file(run: Path, metadata: Path, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    out = publish(run, FORMATS, tmp_path / "out", Options(pseudonyms=key), metadata)
    for path in (*out.files, out.manifest):
        text = text_of(path).lower()
        assert [name for name in NAMES if name in text] == [], path.name
        assert re.search(r"person \d", text) or path == out.manifest
    assert "doris verrucosa" in text_of(out.files[0]).lower()
    assert json.loads(out.manifest.read_text("utf-8"))["options"]["pseudonyms"] is True
    assert "key.csv" not in out.manifest.read_text("utf-8")
    entries = key.read_text("utf-8")
    assert "Maud Pellew" in entries
    again = make_edition(read_run(run), Options(pseudonyms=key))
    assert key.read_text("utf-8") == entries
    assert again.rows[1]["speaker"] == "Person 1"
    assert again.rows[1]["transcriptText"].startswith("Thanks, Person ")


def test_rows_that_have_pseudonyms_stay_as_they_are(tmp_path: Path) -> None:
    run = made.write(tmp_path / "run", [made.rows()[1] | {"speaker": "Person 4"}], pseudonyms=True)
    edition = make_edition(read_run(run), Options(pseudonyms=tmp_path / "key.csv"))
    assert edition.rows[0]["speaker"] == "Person 4"
    assert not (tmp_path / "key.csv").exists()


@pytest.mark.parametrize("where", ["run/key.csv", "out/key.csv"])
def test_the_key_never_lies_among_the_files(where: str, run: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="would lie in the folder of results"):
        publish(run, [CSV], tmp_path / "out", Options(pseudonyms=tmp_path / where))
    assert not (tmp_path / "out" / MANIFEST).exists()
