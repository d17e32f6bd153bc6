"""CSV, XLSX and Parquet: the same rows, typed where the format has types, and nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from openpyxl import load_workbook

from earwitness.pipeline.publish import Options, make_edition, publish, read_run
from earwitness.pipeline.publish.changes import differences
from earwitness.pipeline.publish.columns import ADDED, header, kinds
from earwitness.pipeline.publish.edited import read_edited
from earwitness.pipeline.publish.spreadsheets import CSV, CUT, LONGEST_CELL, PARQUET, XLSX
from earwitness.schemas import columns
from earwitness.schemas.spreadsheet import unguarded
from tests.publish import made

STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")
TABLE = [row for row in made.rows() if row["reviewStatus"] != "rejected"]
TOLD_ANEW = ("identificationVerificationStatus", "identificationRemarks", "associatedOccurrences")


@pytest.fixture
def out(run: Path, metadata: Path, tmp_path: Path) -> Path:
    folder = tmp_path / "out"
    publish(run, [CSV, XLSX, PARQUET], folder, publication=metadata)
    return folder


def csv_rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def test_columns_are_those_of_the_event_table_and_what_publication_adds(out: Path) -> None:
    assert header() == (*columns("event"), *ADDED)
    assert tuple(csv_rows(out / "events.csv")[0]) == header()
    assert [cell.value for cell in load_workbook(out / "events.xlsx")["events"][1]] == list(header())
    assert pl.read_parquet(out / "events.parquet").columns == list(header())


def test_no_csv_cell_starts_a_formula_and_none_is_lost(out: Path) -> None:
    told = csv_rows(out / "events.csv")
    assert not [cell for row in told for cell in row.values() if cell.startswith(STARTS) and not _is_number(cell)]
    assert told[2]["speaker"] == "'=HYPERLINK(1)"
    assert told[3]["transcriptText"] == "'@depth is twelve hundred"
    assert told[1]["transcriptText"] == TABLE[1]["transcriptText"]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_no_cell_starts_a_formula_where_another_language_cuts_them(separator: str, tmp_path: Path) -> None:
    """A spreadsheet whose list separator is the semicolon cuts lines there: quotes of the commas' cells do not help."""
    text = 'Look, mud;=1+1 and "then";"@here" or\n+2 of them; -3 is fine'
    row = made.blank("kettle_01", "substrate", 1.0, habitat="＝mud", transcriptText=text)
    out = publish(made.write(tmp_path / "run", [row]), [CSV], tmp_path / "out").files[0]
    with out.open(encoding="utf-8", newline="") as lines:
        cells = [cell for line in csv.reader(lines, delimiter=separator) for cell in line]
    assert not [cell for cell in cells if cell.lstrip('"').startswith(STARTS) and not _is_number(cell)]
    assert unguarded(csv_rows(out)[0]["transcriptText"]) == text
    assert not differences(make_edition(read_run(tmp_path / "run"), Options()), read_edited(out))


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def test_a_workbooks_cells_are_text_or_numbers_and_never_formulas(out: Path) -> None:
    sheet = load_workbook(out / "events.xlsx")["events"]
    names = [cell.value for cell in sheet[1]]
    for cells, row in zip(list(sheet.iter_rows(min_row=2)), TABLE, strict=True):
        for name, cell in zip(names, cells, strict=True):
            assert cell.data_type in ("s", "n"), name
            if isinstance(cell.value, str) and cell.value.startswith(STARTS):
                assert cell.quotePrefix
            if name in ADDED or name in TOLD_ANEW:
                continue
            value = row[str(name)]
            if isinstance(value, list):
                assert json.loads(cell.value) == value
            else:
                assert cell.value == (value or None if isinstance(value, str) else value), name
    assert [cell.value for cell in sheet["B"]][1] == "kettle_01"


def test_a_workbook_says_what_it_is(out: Path) -> None:
    about = load_workbook(out / "events.xlsx")["about"]
    told = {row[0].value: row[1].value for row in about.iter_rows() if row[0].value}
    assert "machine draft from spoken commentary" in str(told["what this is"])
    assert told["licence"] == "https://creativecommons.org/licenses/by/4.0/legalcode"
    assert set(columns("event")) <= set(told)


def test_parquet_has_types(out: Path) -> None:
    read = pl.read_parquet(out / "events.parquet")
    types = {"integer": pl.Int64, "number": pl.Float64}
    assert read.schema == {name: types.get(kinds().get(name, ""), pl.String) for name in header()}
    assert read["startTime"].to_list() == [row["startTime"] for row in TABLE]
    assert read["license"].unique().to_list() == ["https://creativecommons.org/licenses/by/4.0/legalcode"]
    drafts = read.filter(pl.col("reviewStatus") == "draft")
    assert drafts["statement"].unique().to_list() == ["machine draft from spoken commentary, not reviewed by a person"]
    assert "Rita Reader" in read.filter(pl.col("reviewStatus") == "accepted")["statement"][0]


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        (
            "bell \x07 and half a pair \ud800",
            "bell \N{REPLACEMENT CHARACTER} and half a pair \N{REPLACEMENT CHARACTER}",
        ),
        ("x" * (LONGEST_CELL + 1), "x" * (LONGEST_CELL - len(CUT)) + CUT),
        ("_x0041_ stays", "_x0041_ stays"),
        ("http://example.org/ is text", "http://example.org/ is text"),
        ("0012", "0012"),
    ],
)
def test_text_that_a_workbook_cannot_hold(text: str, shown: str, tmp_path: Path) -> None:
    row: dict[str, Any] = made.blank("kettle_01", "substrate", 1.0, habitat="mud", transcriptText=text)
    run = made.write(tmp_path / "run", [row | {"transcriptText": "x"}])
    # A run's own writer would stumble over half a pair, JSON does not.
    (run / "events.jsonl").write_text(json.dumps(row) + "\n", encoding="utf-8")
    out = publish(run, [XLSX, CSV], tmp_path / "out")
    sheet = load_workbook(out.files[0])["events"]
    names = [cell.value for cell in sheet[1]]
    assert sheet[2][names.index("transcriptText")].value == shown
    assert csv_rows(out.files[1])[0]["habitat"] == "mud"
