"""Descriptions of recordings: what they may say, and what is refused with its line."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earwitness.pipeline.place import match_recordings, place_rows, read_recording, read_recordings, track_points
from earwitness.schemas import InputError
from tests.place.made import HEAD, at, describe, event, line_along, recorded, write_log


def written(folder: Path, text: str, name: str = "r.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def date_of(folder: Path, text: str, seconds: float) -> str:
    row = place_rows([event(seconds)], read_recording(written(folder, text))).rows[0]
    return str(row["eventDate"]).split("/")[0]


def test_an_id_alone_gives_no_dates_and_no_places(tmp_path: Path) -> None:
    row = event(12.0)
    assert place_rows([row], read_recording(written(tmp_path, 'id = "a"'))).rows == [row]


@pytest.mark.parametrize("start", ["2031-06-14T08:12:00Z", "2031-06-14 08:12:00Z", '"2031-06-14T10:12:00+02:00"'])
def test_the_start_as_toml_or_as_text(tmp_path: Path, start: str) -> None:
    assert date_of(tmp_path, f'id = "a"\nstart = {start}', 1.5) == "2031-06-14T08:12:01.500Z"


def test_files_in_order_with_and_without_starts_of_their_own(tmp_path: Path) -> None:
    files = """id = "a"
[[files]]
name = "one.mov"
duration = 600
start = 2031-06-14T08:00:00Z
[[files]]
name = "two.mov"
duration = "0:10:00"
[[files]]
name = "three.mov"
start = 2031-06-14T09:00:00Z
"""
    told = [date_of(tmp_path, files, seconds)[11:19] for seconds in (0, 599, 600, 1199, 1200, 1300)]
    assert told == ["08:00:00", "08:09:59", "08:10:00", "08:19:59", "09:00:00", "09:01:40"]


def test_times_in_the_video_as_time_codes(tmp_path: Path) -> None:
    """107,892 frames of drop-frame code are 3599.9964 s: the cut lies there, not at 3600."""
    text = """id = "a"
start = 2031-06-14T23:30:00Z
frame_rate = 29.97
timecode_start = "23:30:00;00"
[[cuts]]
at = "00:30:00;00"
removed = 100
"""
    assert date_of(tmp_path, text, 3599.99) == "2031-06-15T00:29:59.990Z"
    assert date_of(tmp_path, text, 3599.998) == "2031-06-15T00:31:39.998Z"
    made = read_recording(written(tmp_path, text))
    assert made.timecode_at(0) == "23:30:00;00"
    assert made.timecode_at(3599.9964) == "00:30:00;00"


def test_the_recorders_clock_is_corrected_and_flagged(tmp_path: Path) -> None:
    text = (
        HEAD + "[[clock]]\nvideo = 0\nutc = 2029-03-04T10:00:02Z\n[[clock]]\nvideo = 1000\nutc = 2029-03-04T10:16:43Z\n"
    )
    row = place_rows([event(500)], read_recording(written(tmp_path, text))).rows[0]
    assert row["eventDate"].startswith("2029-03-04T10:08:22.500Z")
    assert row["placeFlags"] == ["clock corrected"]


WRONG = [
    ("id = ", 1, ": is no TOML: Invalid value at the end"),
    ("start = 2031-06-14T08:12:00Z", 0, 'id is missing; expected a line id = "...": name of the recording'),
    ('id = "a"\nstart = 2031-02-30T00:00:00Z', 2, ": is no TOML: Invalid date"),
    (
        'id = "a"\nstart = "2031-02-30T00:00:00Z"',
        2,
        ": start: '2031-02-30T00:00:00Z' is a date or time that does not exist",
    ),
    ('id = "a"\n\nstart = 2031-06-14T08:12:00', 3, "start: '2031-06-14T08:12:00' cannot be used; expected moment of"),
    ('id = "a"\nstart = 2031-06-14', 2, "RFC 3339, with a time zone, like 2031-06-14T08:12:00Z"),
    ('id = "a"\nstart = 1066-10-14T09:00:00Z', 2, "nothing was recorded in 1066"),
    ('id = "a"\nstrat = 2031-06-14T08:12:00Z', 2, "strat: there is no such key; expected start? one of id, "),
    ('id = ""', 1, "id: '' is empty; expected text in quotes: name of the recording"),
    (
        'id = "a"\n[[cuts]]\nat = 5\nremoved = 1\n[[cuts]]\nat = 9',
        5,
        "cuts.2: there is neither removed nor resumes; expected a line removed = ",
    ),
    ('id = "a"\n[[cuts]]\nat = -5\nremoved = 1', 3, "cuts.1.at: -5 cannot be used; expected time in the recording"),
    ('id = "a"\n[[cuts]]\nat = "0:99:00"\nremoved = 1', 3, "cuts.1.at: '0:99:00' is no time"),
    ('id = "a"\n[[cuts]]\nat = "10:00:00:05"\nremoved = 1', 3, "cuts.1.at: '10:00:00:05' is a time code"),
    ('id = "a"\ntimecode_start = "10:00:00:00"', 2, "frame rate"),
    ('id = "a"\nframe_rate = 25\ntimecode_start = "10:00:00;00"', 2, "drop-frame"),
    ('id = "a"\nframe_rate = 29.97\ntimecode_start = "10:01:00;01"', 3, "leaves out"),
    ('id = "a"\n[[files]]\nname = "x"\n[[files]]\nname = "y"', 2, "no duration"),
    (HEAD + '[[files]]\nname = "x"\nduration = 9\nstart = 2029-03-04T11:00:00Z', 6, "not the start"),
    (
        HEAD + '[[files]]\nname = "x"\nduration = 600\n[[files]]\nname = "y"\nstart = 2029-03-04T10:05:00Z',
        3,
        "go back by 300.0 s",
    ),
    (HEAD + "[[clock]]\nvideo=0\nutc=2029-03-04T10:00:00Z\n[[clock]]\nvideo=60\nutc=2029-03-04T10:05:00Z", 3, "drift"),
    (HEAD + '[[logs]]\nfile = "nowhere.csv"', 4, "no such file"),
    (
        'id = "a"\n[site]\nlatitude = 95\nlongitude = 0',
        3,
        "site.latitude: 95 cannot be used; expected a number from -90 to 90: degrees north",
    ),
    ('id = "a"\n[[cuts]]\nat = inf\nremoved = 1', 3, "cuts.1.at: inf cannot be used"),
    ('id = "a"\n[[cuts]]\nat = 1e300\nremoved = 1', 3, "cuts.1.at: 1e+300 cannot be used"),
    ('id = "a"\n[uncertainty]\nposition_meters = nan', 3, "uncertainty.position_meters: nan cannot be used"),
    ('id = "a"\n[[people]]\nrole = "pilot"', 2, "people.1.name is missing; expected a line name = "),
]


@pytest.mark.parametrize(("text", "line", "told"), WRONG, ids=[w[2] for w in WRONG])
def test_what_is_wrong_is_refused_with_its_line(tmp_path: Path, text: str, line: int, told: str) -> None:
    with pytest.raises(InputError) as refused:
        read_recording(written(tmp_path, text))
    assert told in str(refused.value)
    assert refused.value.problem.file.endswith("r.toml")
    assert refused.value.problem.line == line
    assert refused.value.problem.expected


def test_logs_need_a_start(tmp_path: Path) -> None:
    write_log(tmp_path, line_along([0, 5]))
    with pytest.raises(InputError, match="without a start"):
        read_recording(describe(tmp_path, head='id = "a"'))


@pytest.mark.parametrize(("column", "unit"), [("pressure", "units"), ("oxygen", "units"), ("conductivity", "units")])
def test_quantities_in_several_units_need_theirs_stated(tmp_path: Path, column: str, unit: str) -> None:
    write_log(tmp_path, [(at(0), 1, 2)], "t,q,r")
    with pytest.raises(InputError, match=unit):
        read_recording(describe(tmp_path, columns={"time": "t", column: "q", "temperature": "r"}))


def test_two_descriptions_of_one_recording_are_refused(tmp_path: Path) -> None:
    one, two = written(tmp_path, 'id = "a"', "one.toml"), written(tmp_path, 'id = "a"', "two.toml")
    with pytest.raises(InputError, match=r"two\.toml:1: describes the recording 'a', and so does .*one\.toml"):
        read_recordings([one, two])


def test_descriptions_are_matched_by_id_and_by_transcript(tmp_path: Path) -> None:
    one = written(tmp_path, 'id = "a"\ntranscripts = ["b.vtt", "c"]', "one.toml")
    two = written(tmp_path, 'id = "d"', "two.toml")
    matched = match_recordings([one, two], ["a", "b", "c", "d", "e"])
    assert {name: recording.id for name, recording in matched.items()} == {"a": "a", "b": "a", "c": "a", "d": "d"}
    with pytest.raises(InputError, match="describes none"):
        match_recordings([two], ["a", "b"])
    three = written(tmp_path, 'id = "e"\ntranscripts = ["d"]', "three.toml")
    with pytest.raises(InputError, match="describes the recording 'd', and so does"):
        match_recordings([two, three], ["d", "e"])


def test_the_way_is_thinned_and_without_spikes(tmp_path: Path) -> None:
    rows = line_along(range(0, 100, 2))
    rows[20] = (at(40), 45.5, -30.5, 1020)
    points = track_points(recorded(tmp_path, rows), every=20)
    assert [round((p.utc - points[0].utc).total_seconds()) for p in points] == [0, 20, 42, 60, 80]
    assert all(p.latitude < 45.1 and p.depth is not None for p in points)
    assert points[1].depth == 1010


def test_a_further_log_fills_what_the_first_one_lacks(tmp_path: Path) -> None:
    """A log a file of the recording: the first ends at 100 s and is silent from 40 to 60 s; fixes hold for 10 s."""
    write_log(tmp_path, [row for row in line_along(range(101)) if not at(40) < str(row[0]) < at(60)], name="a.csv")
    further = [(*row[:2], -30.6, row[3]) for row in line_along(range(201))]
    write_log(tmp_path, further, name="b.csv")
    path = describe(tmp_path, file="a.csv", log="interpolate_within = 10\nnearest_within = 5")
    second = path.read_text("utf-8").partition("[[logs]]")[2].replace("a.csv", "b.csv")
    path.write_text(path.read_text("utf-8") + "\n[[logs]]" + second, encoding="utf-8")
    points = track_points(read_recording(path), every=10)
    told = [(round((p.utc - points[0].utc).total_seconds()), p.longitude) for p in points]
    assert told == [
        *((s, -30.5) for s in (0, 10, 20, 30, 40)),
        (50, -30.6),
        *((s, -30.5) for s in (60, 70, 80, 90, 100)),
        *((s, -30.6) for s in range(110, 201, 10)),
    ]
    assert [p.depth for p in points][-1] == 1100


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=200))
def test_no_description_crashes(tmp_path: Path, text: str) -> None:
    path = written(tmp_path, 'id = "a"\n')
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    with pytest.raises(InputError):
        read_recording(path)
