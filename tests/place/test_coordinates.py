"""Coordinates as logs write them: what is read, by published examples and an outside reader, and what is refused."""

from __future__ import annotations

from pathlib import Path

import polars as pl
import pynmea2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.place import Recording, place_rows, read_recording
from earwitness.pipeline.place.coordinates import NONE, OTHER, REMEDIES, SIXTY, TOGETHER, TWICE, to_degrees
from earwitness.schemas import InputError
from tests.place.made import COLUMNS, at, describe, event, recorded


def read(value: object, axis: str = "latitude", form: str | None = None) -> float:
    degrees, why = to_degrees(pl.Series([value, value]), axis, form)
    assert why.to_list() == [None, None]
    assert degrees[0] == degrees[1]
    return float(degrees[0])


def refused(value: object, axis: str = "latitude", form: str | None = None) -> str:
    degrees, why = to_degrees(pl.Series([value]), axis, form)
    assert degrees[0] is None
    assert why[0] in REMEDIES
    return str(why[0])


@pytest.mark.parametrize(
    ("point", "latitude", "longitude"),
    [
        # The examples of ISO 6709:2008, as the tests of Apache Tika (ISO6709ExtractorTest) quote them.
        ("+40.20361-075.00417/", 40.20361, -75.00417),
        ("+4012.22-07500.25/", 40 + 12.22 / 60, -(75 + 0.25 / 60)),
        ("+401213.1-0750015.1/", 40 + 12 / 60 + 13.1 / 3600, -(75 + 15.1 / 3600)),
        # Further ones of the standard, with a height and a system, as the tests of Point Location 6709 quote them.
        ("+40-075CRSxxxx/", 40.0, -75.0),
        ("+4012-07500-169.2CRSxxxx/", 40.2, -75.0),
        ("+401213-0750015CRSxxxx/", 40 + 12 / 60 + 13 / 3600, -(75 + 15 / 3600)),
        # Fuji, 35°21'39"N 138°43'39"E, as the tests of Geo::Coordinates::Converter::Format::ISO6709 have it.
        ("+352139+1384339CRSWGS_84/", 35 + 21 / 60 + 39 / 3600, 138 + 43 / 60 + 39 / 3600),
        # The encyclopaedia's article on the standard: Atlantic, Paris, the South Pole.
        ("+00-025/", 0.0, -25.0),
        ("+4852+00220/", 48 + 52 / 60, 2 + 20 / 60),
        ("-90+000+2800CRSWGS_84/", -90.0, 0.0),
    ],
)
def test_points_of_iso_6709(point: str, latitude: float, longitude: float) -> None:
    assert read(point, "latitude", "ISO 6709") == pytest.approx(latitude, abs=1e-12)
    assert read(point, "longitude", "ISO 6709") == pytest.approx(longitude, abs=1e-12)
    # One coordinate in a column of its own: the second sign begins the longitude.
    second = 1 + max(point.find("+", 1, 12), point.find("-", 1, 12))
    north, east = point[: second - 1], point[second - 1 :]
    assert read(north, "latitude", "ISO 6709") == pytest.approx(latitude, abs=1e-12)
    assert read(east, "longitude", "ISO 6709") == pytest.approx(longitude, abs=1e-12)


@pytest.mark.parametrize(
    "value", ["4012.22", "+4.5", "+401.5", "+40122", "40N", "+4012.22N", "+4012.22-7500.25/", "/", "+"]
)
def test_what_is_not_of_iso_6709(value: str) -> None:
    """ISO 6709:1983, 2.1: a sign, two digits of degrees, then pairs of digits."""
    assert refused(value, "latitude", "ISO 6709") == NONE


def test_iso_6709_cannot_be_numbers() -> None:
    """The zeros that tell minutes from degrees are lost."""
    assert refused(-12.5, "latitude", "ISO 6709") == TOGETHER
    assert refused("+4061", "latitude", "ISO 6709") == SIXTY


TOLD = [
    ("12 34.567 N", 12 + 34.567 / 60),
    ("12°34.567'N", 12 + 34.567 / 60),
    ("12º34.567´N", 12 + 34.567 / 60),
    ("12° 34,567′ N", 12 + 34.567 / 60),
    ("12�34.567'N", 12 + 34.567 / 60),
    ("12 deg 34.567 min n", 12 + 34.567 / 60),
    ("12-34.567N", 12 + 34.567 / 60),
    ("N 12:34.567", 12 + 34.567 / 60),
    ("12°34'05.6\"N", 12 + 34 / 60 + 5.6 / 3600),
    ("12°34′05.6″S", -(12 + 34 / 60 + 5.6 / 3600)),
    ("12°34'05.6''S", -(12 + 34 / 60 + 5.6 / 3600)),
    ("-12 34 05.6", -(12 + 34 / 60 + 5.6 / 3600)),
    ("−12 34 05.6", -(12 + 34 / 60 + 5.6 / 3600)),
    ("-12:34:05.6", -(12 + 34 / 60 + 5.6 / 3600)),
    ("-0 12.5", -12.5 / 60),
    ("12.5 S", -12.5),
    ("S12.5", -12.5),
    ("-12.5°", -12.5),
    ("-12.5", -12.5),
    ("012.5", 12.5),
    ("+12", 12.0),
]


@pytest.mark.parametrize(("value", "degrees"), TOLD)
def test_what_tells_itself(value: str, degrees: float) -> None:
    assert read(value) == pytest.approx(degrees, abs=1e-12)
    east = value.upper().replace("N", "E").replace("S", "W") if "DEG" not in value.upper() else value[:-1] + "E"
    assert read(east, "longitude") == pytest.approx(degrees, abs=1e-12)


@pytest.mark.parametrize(
    ("value", "why"),
    [
        ("1234.567", TOGETHER),
        ("0012.5", TOGETHER),
        ("01234.5", TOGETHER),
        ("123405.6", TOGETHER),
        ("1234.567N", TOGETHER),
        ("-1234", TOGETHER),
        ("12 60.0 N", SIXTY),
        ("12 34 61 N", SIXTY),
        ("-12 34.5 S", TWICE),
        ("+12.5 N", TWICE),
        ("N 12 34.5 N", TWICE),
        ("12 34.5 E", OTHER),
        ("12 34.5 O", NONE),
        ("12-34.5", NONE),
        ("12.5 34.5 N", NONE),
        ("12 34.5 5 N", NONE),
        ("12,5", NONE),
        ("12 345", NONE),
        ("12.34.5", NONE),
        ("12 34 5 6", NONE),
        ("12 34 N 56 07 W", NONE),
        ("1'2", NONE),
        ("north", NONE),
        ("N", NONE),
        ("°", NONE),
        ("", NONE),
    ],
)
def test_what_is_ambiguous_or_none_is_refused(value: str, why: str) -> None:
    assert refused(value) == why


@pytest.mark.parametrize(
    ("form", "value", "degrees"),
    [
        # The example of a GGA sentence that is told everywhere: 48°07.038'N, 11°31.000'E (from memory).
        ("DDMM.MMM", "4807.038", 48 + 7.038 / 60),
        ("DDMM.MMM", "01131.000", 11 + 31 / 60),
        ("DDMM.MMM", "-0012.5", -12.5 / 60),
        ("DDMM.MMM", "12.5", 12.5 / 60),
        ("DDMM.MMM", "512.5", 5 + 12.5 / 60),
        ("DDMM.MMM", "1234.5 S", -(12 + 34.5 / 60)),
        ("DDMM.MMM", 4807.038, 48 + 7.038 / 60),
        ("DDMM.MMM", -12.5, -12.5 / 60),
        ("DDMMSS.SS", "401213.1", 40 + 12 / 60 + 13.1 / 3600),
        ("DDMMSS.SS", "-1213.1", -(12 / 60 + 13.1 / 3600)),
        ("DDMMSS.SS", -401213.1, -(40 + 12 / 60 + 13.1 / 3600)),
        ("decimal degrees", "0012.5", 12.5),
        ("decimal degrees", -12.5, -12.5),
        (None, -12.5, -12.5),
    ],
)
def test_digits_run_together_where_it_is_stated(form: str | None, value: object, degrees: float) -> None:
    assert read(value, "latitude", form) == pytest.approx(degrees, abs=1e-10)


def test_what_is_stated_and_not_there() -> None:
    assert refused("12 34.5", "latitude", "DDMM.MMM") == NONE
    assert refused("-1234.5S", "latitude", "DDMM.MMM") == TWICE
    assert refused("1260.0", "latitude", "DDMM.MMM") == SIXTY
    assert refused("126000", "latitude", "DDMMSS.SS") == SIXTY
    assert refused("1234.5E", "latitude", "DDMM.MMM") == OTHER
    assert refused(1260.0, "latitude", "DDMM.MMM") == SIXTY


@given(st.integers(0, 89), st.integers(0, 59_999), st.booleans())
def test_minutes_run_together_are_those_of_an_outside_reader(degrees: int, thousandths: int, south: bool) -> None:
    text = f"{degrees:02d}{thousandths / 1000:06.3f}"
    wanted = pynmea2.nmea_utils.dm_to_sd(text) * (-1 if south else 1)
    assert read(text + "NS"[south], "latitude", "DDMM.MMM") == pytest.approx(wanted, abs=1e-12)
    assert read("+-"[south] + text, "latitude", "ISO 6709") == pytest.approx(wanted, abs=1e-12)
    apart = f"{degrees}°{thousandths / 1000:.3f}'" + "NS"[south]
    assert read(apart) == pytest.approx(wanted, abs=1e-12)


@given(st.text("0123456789.,+-NSEWO °'\":/", max_size=14), st.sampled_from([None, "DDMM.MMM", "DDMMSS.SS", "ISO 6709"]))
def test_any_text_is_read_or_refused(value: str, form: str | None) -> None:
    for axis in ("latitude", "longitude"):
        degrees, why = to_degrees(pl.Series([value, None]), axis, form)
        assert (degrees[0] is None) != (why[0] is None)
        assert degrees[1] is None
        assert why[1] is None


def place(recording: Recording) -> tuple[float, float]:
    row = place_rows([event(10.0)], recording).rows[0]
    return row["decimalLatitude"], row["decimalLongitude"]


WAY = range(0, 60, 5)
"""Seconds of a vehicle that lies at 12°34.5'S 056°07.25'W."""
LIES = pytest.approx((-(12 + 34.5 / 60), -(56 + 7.25 / 60)), abs=1e-7)


@pytest.mark.parametrize(
    ("latitude", "longitude", "log"),
    [
        ("12 34.5 S", "056 07.25 W", ""),
        ("-12°34'30\"", "-56°07'15\"", ""),
        ("12°34'30\"S", "56°07'15\"W", ""),
        ('"12°34\'30""S"', '"56°07\'15""W"', ""),
        ('"12°34,5\'S"', '"56°7,25\'W"', ""),
        ("-1234.5", "-5607.25", 'coordinates = "DDMM.MMM"'),
        ("-123430", "-560715", 'coordinates = "DDMMSS.SS"'),
        ("-1234.5", "-05607.25", 'coordinates = "ISO 6709"'),
    ],
)
def test_a_log_in_degrees_and_minutes(tmp_path: Path, latitude: str, longitude: str, log: str) -> None:
    assert place(recorded(tmp_path, [(at(s), latitude, longitude, 900) for s in WAY], log=log)) == LIES


def test_a_log_in_windows_1252_with_semicolons_and_decimal_commas(tmp_path: Path) -> None:
    lines = ["time;lat;lon;depth", *(f"{at(s)};12°34,5'S;56°7,25'W;900,5" for s in WAY)]
    (tmp_path / "log.csv").write_bytes("\r\n".join(lines).encode("windows-1252"))
    assert place(read_recording(describe(tmp_path))) == LIES


def test_a_whole_point_in_one_column(tmp_path: Path) -> None:
    rows = [(at(s), "-1234.5-05607.25-900CRSWGS_84/", 900) for s in WAY]
    columns = COLUMNS | {"latitude": "position", "longitude": "position"}
    log = 'coordinates = "ISO 6709"'
    assert place(recorded(tmp_path, rows, header="time,position,depth", columns=columns, log=log)) == LIES


@pytest.mark.parametrize(("latitude", "longitude"), [(-1234.5, -5607.25), ("1234.5 S", "05607.25 W")])
def test_a_parquet_log_of_numbers_and_of_text(tmp_path: Path, latitude: object, longitude: object) -> None:
    rows = [(at(s), latitude, longitude, 900.0) for s in WAY]
    pl.DataFrame(rows, schema=["time", "lat", "lon", "depth"], orient="row").write_parquet(tmp_path / "log.parquet")
    path = describe(tmp_path, file="log.parquet", log='coordinates = "DDMM.MMM"')
    assert place(read_recording(path)) == LIES


@pytest.mark.parametrize(
    ("latitude", "longitude", "log", "told"),
    [
        (
            "1234.5",
            "5607.25",
            "",
            ("log.csv:2: latitude: '1234.5' may be degrees and minutes run together", "DDMM.MMM"),
        ),
        ("0012.5", "00007.25", "", ("log.csv:2: latitude: '0012.5' may be degrees and minutes run together", "ISO 67")),
        ("-12 34.5 S", "56 7.25 W", "", ("log.csv:2: latitude: '-12 34.5 S' has a sign and a letter", "one of them")),
        (
            "56 7.25 W",
            "12 34.5 S",
            "",
            ("log.csv:2: latitude: '56 7.25 W' has the letter of the other axis", "swapped"),
        ),
        ("12 75 S", "56 7.25 W", "", ("log.csv:2: latitude: '12 75 S' has 60 minutes", "below 60")),
        ("12 34.5 S", "56 7.25 O", "", ("log.csv:2: longitude: '56 7.25 O' is no coordinate", "12°34.567'N")),
        ("12.5", "-56", 'coordinates = "ISO 6709"', ("log.csv:2: latitude: '12.5' is no coordinate", "coordinates = ")),
        (
            "12.5",
            "-56",
            'coordinates = "degrees"',
            ("recording.toml:6: logs.1.coordinates: 'degrees'", "one of decimal "),
        ),
    ],
)
def test_ambiguous_logs_are_refused_with_row_and_remedy(
    tmp_path: Path, latitude: str, longitude: str, log: str, told: tuple[str, ...]
) -> None:
    with pytest.raises(InputError) as refusal:
        recorded(tmp_path, [(at(s), latitude, longitude, 900) for s in WAY], log=log)
    for part in told:
        assert part in str(refusal.value)


def test_numbers_that_are_run_together_are_asked_about(tmp_path: Path) -> None:
    rows = [(at(s), 1234.5, 5607.25, 900.0) for s in WAY]
    pl.DataFrame(rows, schema=["time", "lat", "lon", "depth"], orient="row").write_parquet(tmp_path / "log.parquet")
    with pytest.raises(InputError, match=r'latitude 1234.5 cannot be.*coordinates = "DDMM\.MMM"\?'):
        read_recording(describe(tmp_path, file="log.parquet"))


def test_a_few_values_that_cannot_be_read_are_left_out_and_told(tmp_path: Path) -> None:
    good = [(at(s), "12 34.5 S", "56 07.25 W", 900) for s in WAY]
    bad = [(at(61), "12 99 S", "56 07.25 W", 900), (at(62), "1234.5", "56 07.25 W", 900), (at(63), "12 98 S", "", 900)]
    made = recorded(tmp_path, [*good, *bad])
    assert [(p.line, p.severity, p.reason) for p in made.problems] == [
        (14, "skipped", "latitude: '12 99 S' has 60 minutes or seconds, or more (the first of 2 such rows)"),
        (15, "skipped", "latitude: '1234.5' may be degrees and minutes run together"),
    ]
    assert place(made) == LIES


def test_nmea_has_a_form_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "log.nmea").write_text("$GPZDA\n", encoding="utf-8")
    text = 'id = "a"\nstart = 2029-03-04T10:00:00Z\n[[logs]]\nfile = "log.nmea"\ncoordinates = "DDMM.MMM"\n'
    (tmp_path / "r.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"r\.toml:5: logs\.1\.coordinates: NMEA 0183 has a form of its own"):
        read_recording(tmp_path / "r.toml")
