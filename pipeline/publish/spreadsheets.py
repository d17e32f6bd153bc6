"""The event table as CSV, as a workbook (XLSX) and as Parquet.

Text that a spreadsheet would run as a formula is defused: in CSV by an apostrophe, within a cell too where other
languages' separator would end it; in the workbook by cells that are text and are marked as text for whoever edits them.
Numbers are numbers there.
"""

from __future__ import annotations

import csv
import datetime
import io
import re
from pathlib import Path
from typing import Any

import polars as pl
import xlsxwriter

from earwitness.pipeline.publish.columns import ADDED, flat_rows, header, kinds
from earwitness.pipeline.publish.publisher import Edition, Publisher
from earwitness.pipeline.publish.statements import CAUTION, DRAFT_STATEMENT
from earwitness.schemas import load_schema
from earwitness.schemas.spreadsheet import FORMULA_STARTS, guarded_throughout

SHEET = "events"
LONGEST_CELL = 32_767
"""Characters a cell of a workbook can hold (Excel specifications and limits, from memory)."""
CUT = " [cut: the CSV has all of it]"
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_WIDTHS = {"transcriptText": 60, "scientificName": 28, "eventID": 28, "identificationRemarks": 40, "statement": 40}


def write_csv(edition: Edition, target: Path) -> None:
    """Write CSV after RFC 4180: UTF-8, commas, lines ended by CR LF, so that a cell with either of them is quoted."""
    lines = io.StringIO(newline="")
    writer = csv.DictWriter(lines, fieldnames=list(header()), lineterminator="\r\n")
    writer.writeheader()
    for row in flat_rows(edition):
        writer.writerow(
            {key: guarded_throughout(value) if isinstance(value, str) else value for key, value in row.items()}
        )
    target.write_text(lines.getvalue(), encoding="utf-8", errors="replace", newline="")


def cell_text(value: str) -> str:
    """Text as a cell of a workbook can hold it."""
    lines = value.replace("\r\n", "\n").replace("\r", "\n")
    clean = _NOT_IN_XML.sub("\N{REPLACEMENT CHARACTER}", lines)
    return clean if len(clean) <= LONGEST_CELL else clean[: LONGEST_CELL - len(CUT)] + CUT


def write_xlsx(edition: Edition, target: Path) -> None:
    """Write a workbook: the rows, what the columns mean, and what this is."""
    options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(str(target), options) as book:
        # Else the file would hold the moment of writing, and the same input would not give the same bytes.
        book.set_properties({"created": datetime.datetime(2000, 1, 1), "comments": CAUTION})
        _sheet(book, edition)
        _about(book, edition)


def _sheet(book: Any, edition: Edition) -> None:
    bold, text = book.add_format({"bold": True}), book.add_format({"quote_prefix": True})
    sheet = book.add_worksheet(SHEET)
    names = header()
    for place, name in enumerate(names):
        sheet.write_string(0, place, name, bold)
        sheet.set_column(place, place, _WIDTHS.get(name, 16))
    number = 0
    for number, row in enumerate(flat_rows(edition), start=1):
        for place, name in enumerate(names):
            value = row[name]
            if isinstance(value, str) and value:
                shown = cell_text(value)
                sheet.write_string(number, place, shown, text if shown.startswith(FORMULA_STARTS) else None)
            elif isinstance(value, int | float):
                sheet.write_number(number, place, value)
    sheet.freeze_panes(1, 1)
    sheet.autofilter(0, 0, number, len(names) - 1)


def _about(book: Any, edition: Edition) -> None:
    sheet = book.add_worksheet("about")
    metadata = edition.publication
    lines = [
        ("what this is", f"{DRAFT_STATEMENT}, except where the column 'statement' says who has reviewed the row"),
        ("caution", CAUTION),
        ("licence", metadata.licence.address if metadata else "none given: a working copy, not for publication"),
        ("rights holder", metadata.rights_holder if metadata else ""),
        ("to edit", "change cells, add rows, delete rows; then: earwitness take-back FILE --run FOLDER"),
        ("", ""),
        *((name, rule["description"]) for name, rule in load_schema("event")["properties"].items()),
        *((name, "added on publication; not taken back") for name in ADDED),
    ]
    sheet.set_column(0, 0, 32)
    sheet.set_column(1, 1, 120)
    for number, (name, meaning) in enumerate(lines):
        sheet.write_string(number, 0, name)
        sheet.write_string(number, 1, cell_text(meaning))


def write_parquet(edition: Edition, target: Path) -> None:
    """Write Parquet with the schema's types; lists as JSON text."""
    types = {"integer": pl.Int64, "number": pl.Float64}
    schema = {name: types.get(kinds().get(name, "string"), pl.String) for name in header()}
    pl.DataFrame(list(flat_rows(edition)), schema=schema).write_parquet(target, compression="zstd")


CSV = Publisher("csv", "the event table for any spreadsheet or program", "events.csv", write_csv)
XLSX = Publisher("xlsx", "the event table as a workbook, with what the columns mean", "events.xlsx", write_xlsx)
PARQUET = Publisher("parquet", "the event table for data frames, typed", "events.parquet", write_parquet)
