"""Logs with named columns: CSV, TSV or Parquet comes in, a Log goes out, in units of here and as it was ordered.

Rows whose time cannot be read, and values that are no number, are left out and told. Refuses a file without the named
columns, or whose times are mostly unreadable, with the first such row and what to state in the description.
"""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from hashlib import sha256

import polars as pl
from polars.exceptions import PolarsError

from earwitness.pipeline.place.coordinates import REMEDIES, to_degrees
from earwitness.pipeline.place.description import YEARS
from earwitness.pipeline.place.log import Log, LogFile, quantities, unit_factors
from earwitness.pipeline.place.moments import (
    FACTORS,
    bears_no_zone,
    from_iso,
    from_number,
    looks_numeric,
    offset_minutes,
    year_limits,
)
from earwitness.schemas import Problem

MOSTLY = 0.5
"""Share of rows that cannot be used from which a file is refused rather than mended (a choice, no source)."""
FIRST_EPOCH_YEAR = 1980
"""Before which no vehicle wrote seconds since 1970: an earlier date is of seconds taken for milliseconds (a choice)."""
_AIR = 10.1325
"""Standard air pressure, dbar, by definition."""


def read_table(file: LogFile) -> Log:
    """Read a log with named columns.

    Raises:
        InputError: the file cannot be used.
    """
    try:
        content = file.path.read_bytes()
    except OSError as error:
        file.refuse(0, f"cannot be read ({error.strerror})", "a log of the vehicle")
    file = replace(file, sha256=sha256(content).hexdigest())
    problems: list[Problem] = []
    rows = _parquet(file, content) if file.format == "parquet" else _text(file, content, problems)
    if not rows.height:
        file.refuse(0, "there are no rows that can be read", "a header and rows")
    log = Log(file, rows, problems)
    log.rows = log.rows.with_columns(_times(log).alias("time"))
    _usable_times(log)
    log.rows = log.rows.select("time", "line", *(_numbers(log, name) for name in quantities() if name in file.columns))
    return log


def _parquet(file: LogFile, content: bytes) -> pl.DataFrame:
    try:
        rows = pl.read_parquet(io.BytesIO(content))
    except (PolarsError, OSError, ValueError) as error:
        file.refuse(0, f"is no Parquet file ({str(error).splitlines()[0]})", "a whole Parquet file")
    return _named(file, rows, list(rows.columns)).with_row_index("line", 1)


def _text(file: LogFile, content: bytes, problems: list[Problem]) -> pl.DataFrame:
    text = content.decode("utf-8-sig", errors="replace").replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n", file.skip_lines + 1)
    if len(lines) <= file.skip_lines or not lines[file.skip_lines].strip():
        file.refuse(file.skip_lines + 1, "there is no header", "a line with the columns' names")
    delimiter = file.delimiter or ("\t" if file.format == "tsv" else _delimiter(lines[file.skip_lines], file))
    header = [cell.strip() for cell in next(csv.reader([lines[file.skip_lines]], delimiter=delimiter))]
    body = lines[file.skip_lines + 1] if len(lines) > file.skip_lines + 1 else ""
    # Columns are numbered, so that empty or twofold names do no harm.
    names = [str(number) for number in range(len(header))]
    if not body.strip():
        file.refuse(file.skip_lines + 1, "there are no rows below the header", "rows")
    try:
        schema = dict.fromkeys(names, pl.String)
        rows = pl.read_csv(body.encode(), separator=delimiter, has_header=False, schema=schema)
        rows = rows.with_row_index("line", file.skip_lines + 2)
    except PolarsError:
        rows = _ragged(file, body, names, delimiter, problems)
    named = _named(file, rows.rename({name: f"#{name}" for name in names}), header)
    if delimiter != ",":  # then a comma may stand for the decimal point
        cells = [name for name in named.columns if name not in ("line", "time", "date")]
        named = named.with_columns(pl.col(cells).str.replace(",", ".", literal=True))
    return named.filter(~pl.all_horizontal(pl.exclude("line").is_null()))


def _ragged(file: LogFile, body: str, names: list[str], delimiter: str, problems: list[Problem]) -> pl.DataFrame:
    """A file some of whose rows have more cells than the header: they are left out and told. Slower."""
    kept: list[list[str | int | None]] = []
    bad: list[int] = []
    reader = csv.reader(io.StringIO(body), delimiter=delimiter)
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            break
        except csv.Error:
            bad.append(file.skip_lines + 1 + reader.line_num)
            continue
        line = file.skip_lines + 1 + reader.line_num
        if len(cells) > len(names):
            bad.append(line)
        elif cells:
            kept.append([line, *(cell or None for cell in cells), *[None] * (len(names) - len(cells))])
    if bad:
        many = "" if len(bad) == 1 else f" (the first of {len(bad):,} such rows)"
        problems.append(Problem(file.file, bad[0], f"has more cells than the header{many}", f"{len(names)} cells"))
    schema = {"line": pl.Int64} | dict.fromkeys(names, pl.String)
    return pl.DataFrame(kept, schema=schema, orient="row")


def _delimiter(header: str, file: LogFile) -> str:
    """The one by which the header has the most of the named columns."""

    def found(delimiter: str) -> int:
        names = {cell.strip() for cell in next(csv.reader([header], delimiter=delimiter), [])}
        return len(names & set(file.columns.values()))

    return max((",", "\t", ";", "|"), key=found)


def _named(file: LogFile, rows: pl.DataFrame, header: list[str]) -> pl.DataFrame:
    """The named columns under our names."""
    picked = []
    for ours, theirs in file.columns.items():
        if header.count(theirs) != 1:
            fault = "there is no column" if theirs not in header else "there are two columns"
            shown = ", ".join(header[:30])
            file.refuse(file.skip_lines + 1, f"{fault} {theirs!r} (for {ours})", f"one of: {shown}, in [logs.columns]")
        source = theirs if theirs in rows.columns else f"#{header.index(theirs)}"
        picked.append(pl.col(source).alias(ours))
    return rows.select(*(["line"] if "line" in rows.columns else []), *picked)


def _times(log: Log) -> pl.Series:
    """Microseconds of the time column, by what is stated of it."""
    file, kind = log.file, log.rows.schema["time"]
    if isinstance(kind, pl.Datetime):
        micros = log.rows["time"].dt.cast_time_unit("us").dt.timestamp("us")
        if kind.time_zone is not None:
            return micros
        if file.utc_offset is None:
            file.refuse(1, "times bear no time zone", 'utc_offset = "+00:00" (or the offset) in [[logs]]')
        return micros - offset_minutes(file.utc_offset) * 60_000_000
    if kind.is_numeric():
        if file.time_format not in ("epoch seconds", "epoch milliseconds"):
            file.refuse(1, "times are numbers", 'time_format = "epoch seconds" or "epoch milliseconds" in [[logs]]')
        return from_number(log.rows["time"].cast(pl.Float64), file.time_format)
    if kind != pl.String:
        file.refuse(1, f"times are of the type {kind}", "ISO 8601 text, numbers or moments")
    if file.time_format and file.time_format.startswith("epoch"):
        return from_number(log.rows["time"].str.strip_chars().cast(pl.Float64, strict=False), file.time_format)
    text = log.rows["time"].str.strip_chars()
    if "date" in file.columns:
        both = [pl.lit(log.rows["date"].cast(pl.String).str.strip_chars()), pl.lit(text)]
        text = pl.select(pl.concat_str(both, separator="T")).to_series()
    return from_iso(text, file.utc_offset)


def _usable_times(log: Log) -> None:
    """Leave out rows without a time that can be, or refuse the file where these are most."""
    rows, file = log.rows, log.file
    years = (FIRST_EPOCH_YEAR, YEARS[1]) if file.time_format in FACTORS else YEARS
    low, high = year_limits(years)
    good = pl.col("time").is_between(low, high, closed="left").fill_null(False)
    bad = rows.filter(~good)
    if bad.height > MOSTLY * rows.height:
        _refuse_times(log, bad)
    log.note(
        bad.filter(pl.col("time").is_null()),
        "has no time that can be read",
        "ISO 8601 with a time zone" if not file.time_format else file.time_format,
    )
    log.note(
        bad.filter(pl.col("time").is_not_null()), "is of an impossible date", f"a year from {years[0]} to {years[1]}"
    )
    log.rows = rows.filter(good)


def _refuse_times(log: Log, bad: pl.DataFrame) -> None:
    file, line = log.file, int(bad["line"][0])
    original = _original(log, line)
    shown = repr(original)
    if bad["time"][0] is not None:
        units = {"epoch seconds": "milliseconds", "epoch milliseconds": "seconds"}
        other = units.get(file.time_format or "")
        hint = f'time_format = "epoch {other}"?' if other else "right dates"
        file.refuse(line, f"{shown} is of an impossible date", f"a year from {YEARS[0]} to {YEARS[1]}; {hint}")
    if isinstance(original, str):
        checked = pl.DataFrame({"text": [original]}).select(
            bears_no_zone(pl.col("text")).alias("zoneless"), looks_numeric(pl.col("text")).alias("numeric")
        )
        if checked["zoneless"][0]:
            file.refuse(line, f"{shown} bears no time zone", 'utc_offset = "+00:00" (or the offset) in [[logs]]')
        if checked["numeric"][0]:
            file.refuse(
                line, f"{shown} is a number", 'time_format = "epoch seconds" or "epoch milliseconds" in [[logs]]'
            )
    file.refuse(line, f"{shown} is no time that can be read", file.time_format or "ISO 8601, like 2031-06-14T08:12:00Z")


def _original(log: Log, line: int) -> object:
    """What stands in the time column (with the date) of a row, read anew: the column has been made numbers."""
    if log.file.format == "parquet":
        rows = _parquet(log.file, log.file.path.read_bytes())
    else:
        rows = _text(log.file, log.file.path.read_bytes(), [])
    row = rows.filter(pl.col("line") == line).row(0, named=True)
    return f"{row['date']}T{row['time']}" if "date" in log.file.columns else row["time"]


def _numbers(log: Log, name: str) -> pl.Series:
    """A column as numbers in the unit of here; what is no number is null, and told."""
    column = log.rows[name]
    if column.dtype == pl.String:
        column = column.str.strip_chars()
        none = column.str.to_lowercase().is_in(["", "nan", "na", "n/a", "null", "none", "-"]).fill_null(False)
        column = column.set(none, None)
    elif not column.dtype.is_numeric():
        log.file.refuse(1, f"{name} is of the type {column.dtype}", "numbers")
    if name in ("latitude", "longitude"):
        values, faults = to_degrees(column, name, log.file.coordinates)
    else:
        values = column.cast(pl.Float64, strict=False)
        faults = pl.select(pl.when(values.is_null() & column.is_not_null()).then(pl.lit("is no number"))).to_series()
    _tell(log, name, faults)
    values = values.set(~values.is_finite().fill_null(True), None)
    factor, offset = unit_factors().get((name, log.file.units.get(name, "")), (1.0, 0.0))
    values = values * factor + offset
    if name == "depth" and not log.file.depth_down:
        values = -values
    if name == "pressure" and log.file.absolute_pressure:
        values = values - _AIR
    return values.alias(name)


def _tell(log: Log, name: str, faults: pl.Series) -> None:
    """Tell of values that cannot be read, a problem a fault."""
    bad = log.rows.with_columns(faults.alias("fault")).filter(pl.col("fault").is_not_null())
    if bad.height > MOSTLY * log.rows.height:
        fault = bad["fault"][0]
        log.file.refuse(
            int(bad["line"][0]), f"{name}: {bad[name][0]!r} {fault}", REMEDIES.get(fault, "decimal numbers")
        )
    for fault in bad["fault"].unique(maintain_order=True):
        rows = bad.filter(pl.col("fault") == fault)
        log.note(rows, f"{name}: {rows[name][0]!r} {fault}", REMEDIES.get(fault, "a decimal number"))
