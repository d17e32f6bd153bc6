"""Vehicle logs as they come: formats, units, order, gaps; and what is refused."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earwitness.pipeline.place import Recording, place_rows, read_recording
from earwitness.schemas import InputError
from tests.place.made import COLUMNS, START, at, describe, event, line_along, recorded, write_log

SECONDS = list(range(0, 60, 5))


def depth_at(recording: Recording, seconds: float) -> Any:
    return place_rows([event(seconds)], recording).rows[0]["minimumDepthInMeters"]


def test_csv_with_columns_of_its_own_names(tmp_path: Path) -> None:
    rows = [(r[3], "x", r[0], r[2], r[1]) for r in line_along(SECONDS)]
    columns = {"time": "When (UTC)", "latitude": "Lat", "longitude": "Long", "depth": "Z"}
    made = recorded(tmp_path, rows, header='Z,note,"When (UTC)",Long,Lat', columns=columns)
    assert depth_at(made, 12) == pytest.approx(1006)


def test_tsv_and_semicolons_with_decimal_commas(tmp_path: Path) -> None:
    for name, delimiter in (("log.tsv", "\t"), ("log.csv", ";")):
        lines = [delimiter.join(str(cell) for cell in row) for row in line_along(SECONDS)]
        text = "\n".join([delimiter.join(["time", "lat", "lon", "depth"]), *lines])
        if delimiter == ";":
            text = "\n".join(line if n == 0 else line.replace(".", ",") for n, line in enumerate(text.split("\n")))
        (tmp_path / name).write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
        assert depth_at(read_recording(describe(tmp_path, file=name)), 12) == pytest.approx(1006)


@pytest.mark.parametrize("unit", ["ms", "us", "ns"])
def test_parquet_with_times_of_its_own(tmp_path: Path, unit: Any) -> None:
    times = pl.Series([START + timedelta(seconds=s) for s in SECONDS]).dt.cast_time_unit(unit)
    depths = pl.Series([1000 + s / 2 for s in SECONDS], dtype=pl.Float32)
    pl.DataFrame({"t": times, "z": depths}).write_parquet(tmp_path / "log.parquet")
    made = read_recording(describe(tmp_path, file="log.parquet", columns={"time": "t", "depth": "z"}))
    assert depth_at(made, 12) == pytest.approx(1006)


@pytest.mark.parametrize(("name", "factor"), [("epoch seconds", 1), ("epoch milliseconds", 1000)])
@pytest.mark.parametrize("kind", ["csv", "parquet"])
def test_epochs(tmp_path: Path, name: str, factor: int, kind: str) -> None:
    frame = pl.DataFrame(
        {"time": [(START.timestamp() + s) * factor for s in SECONDS], "depth": [float(s) for s in SECONDS]}
    )
    frame.write_csv(tmp_path / "log.csv")
    frame.write_parquet(tmp_path / "log.parquet")
    path = describe(
        tmp_path, file=f"log.{kind}", columns={"time": "time", "depth": "depth"}, log=f'time_format = "{name}"'
    )
    assert depth_at(read_recording(path), 12) == pytest.approx(12)


def test_date_and_time_in_two_columns_over_midnight_and_a_stated_offset(tmp_path: Path) -> None:
    start = datetime(2029, 3, 4, 23, 59, 50, tzinfo=UTC)
    local = [start + timedelta(seconds=s, hours=-3) for s in range(0, 30, 2)]
    rows = [(t.date(), t.strftime("%H:%M:%S"), 500 + n) for n, t in enumerate(local)]
    made = recorded(
        tmp_path,
        rows,
        header="date,clock,z",
        head='id = "r"\nstart = 2029-03-04T23:59:50Z\n',
        columns={"date": "date", "time": "clock", "depth": "z"},
        log='utc_offset = "-03:00"',
    )
    placed = place_rows([event(9, 13)], made).rows[0]
    assert placed["eventDate"] == "2029-03-04T23:59:59.000Z/2029-03-05T00:00:03.000Z"
    assert (placed["minimumDepthInMeters"], placed["maximumDepthInMeters"]) == (504.5, 506.5)


def test_across_the_date_line(tmp_path: Path) -> None:
    rows = [(at(s), -20, lon) for s, lon in ((0, 179.9999), (10, -179.9999), (20, -179.9997), (30, -179.9995))]
    columns = {key: COLUMNS[key] for key in ("time", "latitude", "longitude")}
    made = recorded(tmp_path, rows, header="time,lat,lon", columns=columns)
    told = [place_rows([event(s)], made).rows[0]["decimalLongitude"] for s in (2, 5, 8)]
    assert told == pytest.approx([179.99994, -180.0, -179.99994])


def test_heading_turns_the_short_way_over_north(tmp_path: Path) -> None:
    made = recorded(tmp_path, [(at(0), 350), (at(10), 10)], header="time,h", columns={"time": "time", "heading": "h"})
    assert place_rows([event(7.5)], made).rows[0]["vehicleHeadingInDegrees"] == pytest.approx(5)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(st.permutations(range(12)), st.sets(st.integers(0, 11)))
def test_order_and_repeated_rows_change_nothing(tmp_path: Path, order: list[int], again: set[int]) -> None:
    rows = line_along(SECONDS)
    plain = recorded(tmp_path, rows)
    mixed = recorded(tmp_path, [*(rows[n] for n in order), *(rows[n] for n in again)])
    events = [event(s, s + 6) for s in (0, 3.5, 27, 41)]
    assert place_rows(events, mixed).rows == place_rows(events, plain).rows
    told = " ".join(problem.reason for problem in mixed.problems)
    assert ("is there twice" in told) == bool(again)


def test_two_values_at_one_time_are_told_and_the_first_stands(tmp_path: Path) -> None:
    rows = [(at(0), 45, -30, 100), (at(5), 45, -30, 101), (at(5), 45, -30, 109), (at(10), 45, -30, 102)]
    made = recorded(tmp_path, rows)
    assert depth_at(made, 5) == 101
    assert [(p.line, p.severity) for p in made.problems] == [(4, "skipped")]


def test_rows_that_cannot_be_used_are_told_once_with_the_first_line(tmp_path: Path) -> None:
    rows: list[Any] = [*line_along(range(0, 40, 2))]
    rows[3] = ("soon", 45, -30, 1000)
    rows[7] = (at(14), 45, -30, "deep")
    rows[8] = (at(16), 145, -30, 1008)
    rows[9] = ("1849-03-04T10:00:00Z", 45, -30, 1000)
    rows[11] = ("later", 45, -30, 1000)
    rows[12] = (at(24), 0, 0, 1012)
    made = recorded(tmp_path, rows)
    told = {(p.line, p.reason.split(" (the first")[0].split(":")[0]) for p in made.problems}
    assert {line for line, _ in told} >= {5, 9, 10, 11, 14}
    assert any("the first of 2 such rows" in p.reason for p in made.problems)
    assert any("impossible date" in p.reason and p.line == 11 for p in made.problems)
    assert depth_at(made, 14) == pytest.approx(1007)


def test_rows_with_too_many_cells_are_left_out_and_told(tmp_path: Path) -> None:
    write_log(tmp_path, line_along(SECONDS))
    path = tmp_path / "log.csv"
    lines = path.read_text().split("\n")
    lines[3] += ",what,is,this"
    lines[5] = lines[5].rsplit(",", 1)[0]
    path.write_text("\n".join(lines))
    made = read_recording(describe(tmp_path))
    assert [(p.line, "more cells" in p.reason) for p in made.problems] == [(4, True)]
    assert depth_at(made, 10) == pytest.approx(1005)


def test_line_numbers_count_lines_before_the_header_and_blank_ones(tmp_path: Path) -> None:
    text = "made by nobody\n\ntime,lat,lon,depth\n" + "".join(
        f"{at(s)},45,-30,{'?' if s == 20 else 100}\n" + ("\n" if s == 10 else "") for s in range(0, 60, 10)
    )
    (tmp_path / "log.csv").write_text(text)
    made = read_recording(describe(tmp_path, log="skip_lines = 2"))
    (problem,) = made.problems
    assert text.split("\n")[problem.line - 1].endswith("?")


def test_depth_from_pressure_and_salinity_from_conductivity_are_flagged(tmp_path: Path) -> None:
    """TEOS-10's example of 1000 dbar at latitude 4 (gsw_z_from_p, gsw_SP_from_C)."""
    rows = [(at(s), 4, -30, 1000.0, 4.4036, 34.56) for s in SECONDS]
    columns = {
        "time": "t",
        "latitude": "lat",
        "longitude": "lon",
        "pressure": "p",
        "temperature": "c",
        "conductivity": "k",
    }
    units = 'pressure = "dbar"\nconductivity = "mS/cm"'
    made = recorded(tmp_path, rows, header="t,lat,lon,p,c,k", columns=columns, units=units)
    row = place_rows([event(12)], made).rows[0]
    assert row["minimumDepthInMeters"] == pytest.approx(992.09, abs=0.005)
    assert row["practicalSalinity"] == pytest.approx(36.4003, abs=0.00005)
    assert {"depth from pressure", "salinity from conductivity"} <= set(row["placeFlags"])


@pytest.mark.parametrize(
    ("quantity", "unit", "raw", "column", "value"),
    [
        ("depth", "ft", 3280.84, "minimumDepthInMeters", 1000.0),
        ("depth", "fathom", 546.807, "minimumDepthInMeters", 1000.0),
        ("temperature", "degF", 39.2, "waterTemperatureInCelsius", 4.0),
        ("temperature", "K", 277.15, "waterTemperatureInCelsius", 4.0),
        ("altitude", "ft", 10, "vehicleAltitudeInMeters", 3.05),
    ],
)
def test_units(tmp_path: Path, quantity: str, unit: str, raw: float, column: str, value: float) -> None:
    rows = [(at(s), raw) for s in SECONDS]
    made = recorded(tmp_path, rows, header="t,q", columns={"time": "t", quantity: "q"}, units=f'{quantity} = "{unit}"')
    assert place_rows([event(12)], made).rows[0][column] == pytest.approx(value, abs=0.001)


def test_absolute_pressure_and_heights_below_the_surface(tmp_path: Path) -> None:
    rows = [(at(s), 1010.1325, 4) for s in SECONDS]
    columns = {"time": "t", "pressure": "p", "temperature": "c"}
    made = recorded(
        tmp_path,
        rows,
        header="t,p,c",
        columns=columns,
        units='pressure = "dbar"',
        log='pressure_is = "absolute"',
        more="[site]\nlatitude = 4\nlongitude = 0",
    )
    assert depth_at(made, 10) == pytest.approx(992.09, abs=0.005)
    down = recorded(
        tmp_path, [(*r[:3], -float(str(r[3]))) for r in line_along(SECONDS)], log='depth_is = "negative down"'
    )
    assert depth_at(down, 12) == pytest.approx(1006)


OTHER = 'id = "bracken_sill_7"\nstart = 2029-03-04T17:00:00Z\n'
WRONG: list[tuple[str, dict[str, Any], list[Any], str, tuple[str, ...]]] = [
    ("swapped, out of range", {}, [(at(s), -130.5, 45, 1000) for s in SECONDS], "", ("log.csv:2", "swapped")),
    (
        "swapped, away from the site",
        {"more": "[site]\nlatitude = 45\nlongitude = -30.5"},
        [(at(s), -30.5, 45, 1000) for s in SECONDS],
        "",
        ("log.csv:2", "swapped"),
    ),
    (
        "the wrong sign",
        {"more": "[site]\nlatitude = 45\nlongitude = -30.5"},
        [(at(s), 45, 30.5, 1000) for s in SECONDS],
        "",
        ("log.csv:2", "west is negative"),
    ),
    ("centimetres", {}, [(at(s), 45, -30, 100_000) for s in SECONDS], "", ("log.csv:2", "units.depth")),
    ("height for depth", {}, [(at(s), 45, -30, -1000) for s in SECONDS], "", ("log.csv:2", "negative down")),
    (
        "seconds for milliseconds",
        {"log": 'time_format = "epoch seconds"'},
        [],
        "ms",
        ("log.csv:2", "epoch milliseconds"),
    ),
    (
        "milliseconds for seconds",
        {"log": 'time_format = "epoch milliseconds"'},
        [],
        "s",
        ("log.csv:2", "epoch seconds"),
    ),
    ("numbers not stated", {}, [], "s", ("log.csv:2", "time_format")),
    ("no zone", {}, [(at(s)[:-1], 45, -30, 1000) for s in SECONDS], "", ("log.csv:2", "utc_offset")),
    ("dates of a dream", {}, [("1066-10-14T09:00:00Z", 45, -30, 9)] * 3, "", ("log.csv:2", "impossible date")),
    (
        "days that are not",
        {},
        [("2029-02-30T09:00:00Z", 45, -30, 9)] * 3,
        "",
        ("log.csv:2", "no time that can be read"),
    ),
    (
        "words for numbers",
        {},
        [(at(s), 45, -30, "deep") for s in SECONDS],
        "",
        ("log.csv:2", "depth: 'deep' is no number"),
    ),
    ("words for places", {}, [(at(s), 45, "west", 9) for s in SECONDS], "", ("log.csv:2", "'west' is no coordinate")),
    ("another column", {"columns": COLUMNS | {"depth": "Depth"}}, line_along(SECONDS), "", ("log.csv:1", "'Depth'")),
    ("no rows", {}, [], "", ("log.csv", "no rows")),
]


@pytest.mark.parametrize(("case", "how", "rows", "epoch", "told"), WRONG, ids=[w[0] for w in WRONG])
def test_wrong_logs_are_refused_with_row_and_remedy(
    tmp_path: Path, case: str, how: dict[str, Any], rows: list[Any], epoch: str, told: tuple[str, ...]
) -> None:
    if epoch:
        factor = 1000 if epoch == "ms" else 1
        rows = [(int((START.timestamp() + s) * factor), 45, -30, 1000) for s in SECONDS]
    with pytest.raises(InputError) as refused:
        recorded(tmp_path, rows, **how)
    for part in told:
        assert part in str(refused.value)


@pytest.mark.parametrize(
    ("columns", "units", "row", "told"),
    [
        # A thousand metres are about a thousand dbar, ten thousand kPa, 1,450 psi.
        ("depth pressure", 'pressure = "dbar"', (1000, 10_100), ("pressure 10100", "'kPa'")),
        ("depth pressure", 'pressure = "dbar"\ndepth = "m"', (3280, 1010), ("depth 3280", "'ft'")),
        (
            "temperature conductivity pressure",
            'conductivity = "S/m"\npressure = "dbar"',
            (3.6, 32.6, 1000),
            ("units.cond",),
        ),
        ("temperature", "", (277, 0), ("degF, K",)),
        ("temperature conductivity", 'conductivity = "mS/cm"', (4, 32), ("needs pressure or depth",)),
    ],
)
def test_wrong_units_are_refused_with_what_may_be_right(
    tmp_path: Path, columns: str, units: str, row: tuple[float, ...], told: tuple[str, ...]
) -> None:
    names = columns.split()
    rows = [(at(s), *row[: len(names)]) for s in SECONDS]
    named = {"time": "time"} | {name: name for name in names}
    with pytest.raises(InputError) as refused:
        recorded(
            tmp_path,
            rows,
            header=",".join(["time", *names]),
            columns=named,
            units=units,
            more="[site]\nlatitude = 45\nlongitude = -30",
        )
    assert "log.csv" in str(refused.value)
    for part in told:
        assert part in str(refused.value)


def test_pressure_without_a_latitude_is_refused(tmp_path: Path) -> None:
    rows = [(at(s), 1000) for s in SECONDS]
    with pytest.raises(InputError, match="latitude"):
        recorded(tmp_path, rows, header="t,p", columns={"time": "t", "pressure": "p"}, units='pressure = "dbar"')


def test_fresh_sea_water_is_told(tmp_path: Path) -> None:
    rows = [(at(s), 4, 3.26, 1000) for s in SECONDS]
    columns = {"time": "t", "temperature": "c", "conductivity": "k", "depth": "z"}
    site = "[site]\nlatitude = 45\nlongitude = -30"
    made = recorded(tmp_path, rows, header="t,c,k,z", columns=columns, units='conductivity = "mS/cm"', more=site)
    assert any("S/m" in problem.expected for problem in made.problems)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=400), st.sampled_from(["csv", "tsv", "parquet", "nmea"]))
def test_no_log_crashes(tmp_path: Path, content: bytes, kind: str) -> None:
    (tmp_path / "log.any").write_bytes(b"time,lat,lon,depth\n" + content if kind == "csv" else content)
    path = describe(tmp_path, file="log.any", log=f'format = "{kind}"')
    if kind == "nmea":
        path.write_text(path.read_text().partition("[logs.columns]")[0])
    refused: InputError | None = None
    rows = 0
    try:
        rows = read_recording(path).logs[0].rows
    except InputError as error:
        refused = error
    assert rows if refused is None else "log.any" in refused.problem.file
