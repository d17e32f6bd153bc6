"""Edited exports taken back: an untouched one is no edit; each edit is listed, checked, and taken in or refused."""

from __future__ import annotations

import csv
import io
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from earwitness.pipeline.publish import MANIFEST, Options, publish
from earwitness.pipeline.publish.spreadsheets import CSV, XLSX
from earwitness.pipeline.publish.take_back import Comparison, compare, take_in, taken_in
from earwitness.schemas import InputError
from tests.publish import made

AT = "2031-11-04T10:00:00Z"
Table = list[dict[str, str]]


@pytest.fixture
def out(run: Path, tmp_path: Path) -> Path:
    publish(run, [CSV, XLSX], tmp_path / "out")
    return tmp_path / "out"


def edit(
    path: Path, change: Callable[[Table], Any], separator: str = ",", encoding: str = "utf-8", end: str = "\n"
) -> Path:
    """The CSV with an edit, written as some spreadsheet would."""
    with path.open(encoding="utf-8", newline="") as lines:
        table = list(csv.DictReader(lines))
    names = list(table[0])
    change(table)
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, names, delimiter=separator, lineterminator=end)
    writer.writeheader()
    writer.writerows(table)
    path.write_bytes(text.getvalue().encode(encoding))
    return path


def edit_workbook(path: Path, change: Callable[[Any, list[Any]], Any]) -> Path:
    book = load_workbook(path)
    change(book["events"], [cell.value for cell in book["events"][1]])
    book.save(path)
    return path


def told(comparison: Comparison) -> tuple[list[tuple[str, str, Any]], int, tuple[str, ...]]:
    found = comparison.differences
    return [(c.event_id, c.column, c.after) for c in found.changes], len(found.added), found.removed


@pytest.mark.parametrize("name", ["events.csv", "events.xlsx"])
@pytest.mark.parametrize(
    "options", [Options(), Options(reviewed_only=True), Options(grid_degrees=0.5, status_words="detected")]
)
def test_an_untouched_export_is_no_edit(name: str, options: Options, run: Path, tmp_path: Path) -> None:
    publish(run, [CSV, XLSX], tmp_path / "out", options)
    found = compare(run, tmp_path / "out" / name)
    assert told(found) == ([], 0, ())
    assert not found.differences
    assert taken_in(found, "R. Reader", AT) == made.read(run)


def test_an_untouched_workbook_saved_by_another_program_is_no_edit(run: Path, out: Path) -> None:
    edit_workbook(out / "events.xlsx", lambda *_: None)
    assert told(compare(run, out / "events.xlsx")) == ([], 0, ())


@pytest.mark.parametrize(
    ("separator", "encoding", "end"), [(";", "utf-8-sig", "\r\n"), ("\t", "utf-16", "\r\n"), (",", "utf-8", "\n")]
)
def test_an_untouched_csv_saved_by_another_program_is_no_edit(
    separator: str, encoding: str, end: str, run: Path, out: Path
) -> None:
    path = edit(out / "events.csv", lambda table: None, separator, encoding, end)
    assert told(compare(run, path)) == ([], 0, ())


def test_pseudonyms_are_no_edit(run: Path, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    publish(run, [CSV], tmp_path / "out", Options(pseudonyms=key))
    assert told(compare(run, tmp_path / "out" / "events.csv", key)) == ([], 0, ())
    with pytest.raises(InputError, match="--pseudonyms: the export has pseudonyms; expected the key"):
        compare(run, tmp_path / "out" / "events.csv")


def change_a_name(table: Table) -> None:
    table[1] |= {"scientificName": "Munida rugosa", "taxonID": "t6", "individualCount": "3"}


def test_changed_cells_are_listed_and_taken_in(run: Path, out: Path, tmp_path: Path) -> None:
    found = compare(run, edit(out / "events.csv", change_a_name))
    name = "kettle_01:o00012500"
    assert told(found) == (
        [(name, "scientificName", "Munida rugosa"), (name, "taxonID", "t6"), (name, "individualCount", 3)],
        0,
        (),
    )
    take_in(found, tmp_path / "new", "R. Reader", AT)
    rows = {row["eventID"]: row for row in made.read(tmp_path / "new")}
    before = {row["eventID"]: row for row in made.read(run)}
    review = {"reviewStatus": "changed", "reviewedBy": "R. Reader", "reviewedAt": AT}
    edits = {"scientificName": "Munida rugosa", "taxonID": "t6", "individualCount": 3}
    assert rows.pop(name) == before.pop(name) | edits | review
    assert rows == before
    back = json.loads((tmp_path / "new" / "run.json").read_text("utf-8"))["settings"]["takenBack"]
    assert (back[0]["by"], back[0]["changed"], back[0]["added"], back[0]["removed"]) == ("R. Reader", 1, 0, 0)
    assert (tmp_path / "new" / "problems.csv").exists()
    # The run itself stays.
    assert made.read(run) == made.rows()


def test_a_workbook_is_taken_back_alike(run: Path, out: Path) -> None:
    def change(sheet: Any, names: list[Any]) -> None:
        sheet.cell(3, names.index("scientificName") + 1).value = "Munida rugosa"
        sheet.cell(3, names.index("individualCount") + 1).value = 3.0
        sheet.cell(3, names.index("sizeValue") + 1).value = None
        sheet.delete_rows(8)

    found = compare(run, edit_workbook(out / "events.xlsx", change))
    name = "kettle_01:o00012500"
    assert told(found) == (
        [(name, "scientificName", "Munida rugosa"), (name, "individualCount", 3), (name, "sizeValue", None)],
        0,
        ("kettle_02:o03700000",),
    )


def test_accepting_a_row_is_a_change_of_its_status(run: Path, out: Path) -> None:
    found = compare(run, edit(out / "events.csv", lambda table: table[1].update(reviewStatus="accepted")))
    row = taken_in(found, "R. Reader", AT)[1]
    assert (row["reviewStatus"], row["reviewedBy"], row["reviewedAt"]) == ("accepted", "R. Reader", AT)


def test_removed_rows_are_kept_as_rejected(run: Path, out: Path) -> None:
    found = compare(run, edit(out / "events.csv", lambda table: table.pop(5)))
    assert told(found) == ([], 0, ("kettle_02:m03661001",))
    rows = taken_in(found, "R. Reader", AT)
    assert len(rows) == 8
    assert [r["eventID"] for r in rows if r["reviewedBy"] == "R. Reader"] == ["kettle_02:m03661001"]
    assert rows[6]["reviewStatus"] == "rejected"


def test_rows_that_were_never_exported_are_not_removed(run: Path, tmp_path: Path) -> None:
    publish(run, [CSV], tmp_path / "out", Options(reviewed_only=True))
    found = compare(run, edit(tmp_path / "out" / "events.csv", lambda table: table.pop(0)))
    assert told(found) == ([], 0, ("kettle_01:o00040000",))


NEW = {"recordingID": "kettle_01", "recordKind": "substrate", "startTime": "4.25", "endTime": "5", "habitat": "'-sand"}


def test_an_added_row_gets_an_id_and_its_place(run: Path, out: Path) -> None:
    found = compare(run, edit(out / "events.csv", lambda table: table.append(NEW)))
    assert told(found) == ([], 1, ())
    rows = taken_in(found, "R. Reader", AT)
    assert [row["eventID"] for row in rows][:3] == ["kettle_01:m00004000", "kettle_01:s00004250", "kettle_01:o00012500"]
    assert rows[1]["habitat"] == "-sand"
    assert rows[1]["reviewStatus"] == "changed"
    assert rows[1]["checklistHash"] == made.HASH


def test_a_blurred_positions_row_keeps_the_true_one(run: Path, tmp_path: Path) -> None:
    publish(run, [CSV], tmp_path / "out", Options(grid_degrees=1.0))
    found = compare(run, edit(tmp_path / "out" / "events.csv", change_a_name))
    row = taken_in(found, "R. Reader", AT)[1]
    assert row["scientificName"] == "Munida rugosa"
    assert row["decimalLatitude"] == -16.512345


def set_cell(place: int, **cells: str) -> Callable[[Table], Any]:
    return lambda table: table[place].update(cells)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (set_cell(1, certainty="very"), r"events\.csv:3: certainty is 'very'; expected a number"),
        (set_cell(1, individualCount="2.5"), r"events\.csv:3: individualCount is '2.5'; expected a whole number"),
        (set_cell(1, certainty="7"), r"events\.csv:3: certainty: 7.0 is greater than the maximum of 1"),
        (set_cell(1, reviewStatus="fine"), r"events\.csv:3: reviewStatus: 'fine' is not one of"),
        (set_cell(1, certaintyCues="definitely"), r"certaintyCues is 'definitely'; expected a list as JSON"),
        (set_cell(1, startTime="nan"), "startTime is 'nan'; expected a number"),
        (set_cell(1, endTime="3"), "endTime is before startTime"),
        (set_cell(1, eventDate="2031-02-30T00:00:00Z"), r"eventDate '2031-02-30T00:00:00Z' is no time there was"),
        (
            set_cell(1, eventDate="2031-06-14T08:12:12.500Z/2031-06-14T08:12:12Z"),
            "is no time there was; expected moments in UTC",
        ),
        (set_cell(1, recordingID="kettle_09"), r"events\.csv:3: recordingID is 'kettle_09'; expected one of kettle_01"),
        (set_cell(1, scientificName=""), "scientificName: None is not of type 'string'"),
        (set_cell(1, decimalLatitude="98"), "decimalLatitude: 98.0 is greater than the maximum of 90"),
        (set_cell(1, checklistHash="x"), "checklistHash was changed"),
        (set_cell(2, eventID="kettle_01:m00004000"), "eventID 'kettle_01:m00004000' stands in line 2 too"),
        (lambda table: table.append(NEW | {"recordingID": "kettle_09"}), "a new row is of recording 'kettle_09'"),
        (lambda table: table.append(NEW | {"startTime": ""}), "eventID: None is not of type 'string'"),
        (lambda table: table.append({"eventID": "?"}), "a new row is of recording None"),
    ],
)
def test_an_edit_that_cannot_be_used_is_named_and_nothing_is_written(
    change: Callable[[Table], Any], told: str, run: Path, out: Path, tmp_path: Path
) -> None:
    with pytest.raises(InputError, match=told) as refused:
        take_in(compare(run, edit(out / "events.csv", change)), tmp_path / "new", "R. Reader", AT)
    assert refused.value.problem.expected
    assert not (tmp_path / "new").exists()


def test_a_decimal_comma_where_cells_are_parted_by_semicolons(run: Path, out: Path) -> None:
    path = edit(out / "events.csv", set_cell(1, certainty="0,25", startTime="12,5"), ";")
    assert told(compare(run, path))[0] == [("kettle_01:o00012500", "certainty", 0.25)]


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "is empty"),
        (b"\x00\x01\x02" * 99, "is no text and no workbook"),
        (b"PK\x03\x04 broken", "is no workbook that can be read"),
        (b"a,b\n1,2\n", "the header has no column eventID"),
        (b"eventID,colour of sky\nx,y\n", "there is no column 'colour of sky'"),
        (b"eventID,speaker,speaker\nx,y,z\n", "column 'speaker' stands there twice"),
        (b"eventID,speaker\nx,y,z\n", "the row has more cells than the header"),
        (b'eventID,speaker\nx,"y\n', "cannot be read as CSV"),
    ],
)
def test_a_file_that_is_no_export(data: bytes, told: str, run: Path, out: Path) -> None:
    (out / "events.csv").write_bytes(data)
    with pytest.raises(InputError, match=told):
        compare(run, out / "events.csv")


def test_a_formula_is_refused(run: Path, out: Path) -> None:
    edit_workbook(out / "events.xlsx", lambda sheet, names: sheet.__setitem__("D2", "=1+1"))
    with pytest.raises(InputError, match=r"events\.xlsx:2: D2 holds a formula; expected its value"):
        compare(run, out / "events.xlsx")


def test_an_export_of_another_state_of_the_run_is_refused(run: Path, out: Path) -> None:
    made.write(run, made.rows()[:3])
    with pytest.raises(InputError, match="the export was made of another state of the run; expected a new export"):
        compare(run, out / "events.csv")


def test_an_export_without_its_manifest_is_refused(run: Path, out: Path) -> None:
    (out / MANIFEST).unlink()
    with pytest.raises(InputError, match=r"publication\.json: is missing; expected the publication\.json"):
        compare(run, out / "events.csv")
    (out / MANIFEST).write_text("{}")
    with pytest.raises(InputError, match=r"publication\.json: cannot be used"):
        compare(run, out / "events.csv")


def test_the_runs_own_folder_is_not_written_over(run: Path, out: Path) -> None:
    with pytest.raises(InputError, match="is the folder of the run"):
        take_in(compare(run, out / "events.csv"), run, "R. Reader", AT)


def test_what_was_taken_in_can_be_exported_and_taken_back_again(run: Path, out: Path, tmp_path: Path) -> None:
    take_in(compare(run, edit(out / "events.csv", change_a_name)), tmp_path / "new", "R. Reader", AT)
    publish(tmp_path / "new", [CSV], tmp_path / "out2")
    assert told(compare(tmp_path / "new", tmp_path / "out2" / "events.csv")) == ([], 0, ())


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow], max_examples=20)
@given(text=st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=40))
def test_any_text_comes_back_as_it_was_or_as_an_edit_told(text: str, tmp_path: Path) -> None:
    """Whatever was said: exported and read again, it is no edit."""
    folder = tmp_path / "any"
    shutil.rmtree(folder, ignore_errors=True)
    row = made.blank("kettle_01", "substrate", 1.0, habitat="mud", transcriptText=text, speaker=text or None)
    run = made.write(folder / "run", [row])
    publish(run, [CSV, XLSX], folder / "out")
    for name in ("events.csv", "events.xlsx"):
        assert told(compare(run, folder / "out" / name)) == ([], 0, ()), name
