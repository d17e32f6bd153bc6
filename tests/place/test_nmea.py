"""NMEA 0183 sentences."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import reduce
from operator import xor
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earwitness.pipeline.place import Recording, place_rows, read_recording
from earwitness.pipeline.place.log import iso
from earwitness.schemas import InputError
from tests.place.made import event

# Two sentences that most descriptions of the standard show.
GGA = "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47"
RMC = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A"


def sentence(body: str) -> str:
    return f"${body}*{reduce(xor, body.encode()):02X}"


def gga(clock: str, lat: str = "4500.000", lon: str = "03030.000", quality: int = 1) -> str:
    return sentence(f"GPGGA,{clock},{lat},N,{lon},W,{quality},08,0.9,0.0,M,0.0,M,,")


def heard(folder: Path, lines: list[str], start: str = "1994-03-23T12:35:00Z") -> Recording:
    (folder / "dive.nmea").write_text("\r\n".join(lines) + "\r\n", encoding="latin-1")
    text = f'id = "n"\nstart = {start}\n[[logs]]\nfile = "dive.nmea"\n'
    (folder / "recording.toml").write_text(text)
    return read_recording(folder / "recording.toml")


@pytest.mark.parametrize("line", [GGA, RMC])
def test_published_sentences(tmp_path: Path, line: str) -> None:
    row = place_rows([event(19)], heard(tmp_path, [line])).rows[0]
    assert row["decimalLatitude"] == pytest.approx(48 + 7.038 / 60)
    assert row["decimalLongitude"] == pytest.approx(11 + 31 / 60)
    assert row["placeGapSeconds"] == 0


def test_wrong_and_missing_checksums_and_noise_are_left_out_and_told(tmp_path: Path) -> None:
    lines = [GGA, GGA.replace("4807", "4907"), GGA.partition("*")[0], "hello?", gga("123522", quality=0), ""]
    made = heard(tmp_path, lines)
    assert made.logs[0].rows == 1
    assert [(p.line, p.reason) for p in made.problems] == [
        (2, "the checksum is wrong"),
        (3, "there is no checksum"),
        (4, "is no NMEA 0183 sentence"),
        (5, "the GGA sentence says that there is no fix"),
    ]


def test_sentences_without_a_time_have_that_of_the_last_with_one(tmp_path: Path) -> None:
    lines = [GGA, sentence("HEHDT,271.5,T"), sentence("SDDPT,3.2,0.0"), sentence("YXMTW,4.1,C")]
    row = place_rows([event(19)], heard(tmp_path, lines)).rows[0]
    told = [row[name] for name in ("vehicleHeadingInDegrees", "vehicleAltitudeInMeters", "waterTemperatureInCelsius")]
    assert told == [271.5, 3.2, 4.1]


def test_midnight(tmp_path: Path) -> None:
    lines = [gga("235958"), gga("235959"), gga("000000"), gga("000001")]
    made = heard(tmp_path, lines, "2031-12-31T23:59:00Z")
    assert made.logs[0].first is not None
    assert made.logs[0].last is not None
    assert iso(made.logs[0].first) == "2031-12-31T23:59:58.000Z"
    assert iso(made.logs[0].last) == "2032-01-01T00:00:01.000Z"


def test_a_date_in_the_log_counts_more_than_the_recordings_start(tmp_path: Path) -> None:
    lines = [gga("235959"), sentence("GPZDA,000001.00,15,06,2031,00,00"), gga("000002")]
    made = heard(tmp_path, lines, "2031-06-15T00:00:00Z")
    assert made.logs[0].first is not None
    assert iso(made.logs[0].first) == "2031-06-14T23:59:59.000Z"


def test_what_the_logger_wrote_before_a_sentence_is_its_time(tmp_path: Path) -> None:
    lines = [f"2031-06-14T10:00:0{s}.250+02:00,{sentence(f'HEHDT,{100 + s}.0,T')}" for s in range(5)]
    made = heard(tmp_path, lines, "2031-06-14T08:00:00Z")
    assert place_rows([event(2.25)], made).rows[0]["vehicleHeadingInDegrees"] == 102


@pytest.mark.parametrize(
    ("lines", "told"), [([], "there are none"), (["noise"], ":1:"), ([GGA.replace("*47", "*48")], "checksum is wrong")]
)
def test_nothing_to_use_is_refused(tmp_path: Path, lines: list[str], told: str) -> None:
    with pytest.raises(InputError, match="no sentence can be used") as refused:
        heard(tmp_path, lines)
    assert told in str(refused.value)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
@given(
    st.datetimes(datetime(2000, 1, 1), datetime(2060, 1, 1)),
    st.lists(st.integers(1, 30_000), min_size=1, max_size=20),
)
def test_times_of_day_alone_go_on_over_any_number_of_midnights(
    tmp_path: Path, start: datetime, steps: list[int]
) -> None:
    begin = moment = start.replace(microsecond=0, tzinfo=UTC)
    lines = [gga(moment.strftime("%H%M%S"))]
    for step in steps:
        moment += timedelta(seconds=step)
        lines.append(gga(moment.strftime("%H%M%S")))
    made = heard(tmp_path, lines, begin.isoformat())
    assert made.logs[0].last is not None
    assert iso(made.logs[0].last) == moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(["GPGGA", "GPRMC", "GPGLL", "GPZDA", "HEHDT", "SDDPT", "SDDBT", "YXMTW"]), st.text(max_size=60))
def test_no_sentence_crashes(tmp_path: Path, kind: str, body: str) -> None:
    clean = "".join(c for c in f"{kind},{body}" if c not in "*$\r\n" and ord(c) < 127)
    assert heard(tmp_path, [GGA, sentence(clean)]).logs[0].rows >= 1
