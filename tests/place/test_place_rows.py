"""Event rows with their places."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline.place import Recording, place_rows
from earwitness.pipeline.place.geodesic import distances
from earwitness.pipeline.place.spoken import rounding
from earwitness.schemas import InputError
from tests.place.made import COLUMNS, HEAD, at, event, line_along, recorded, write_log

SECONDS = list(range(0, 100, 5))
CUT = "[[cuts]]\nat = 40\nremoved = 20\n"


def placed(recording: Recording, *events: dict[str, Any]) -> list[dict[str, Any]]:
    return place_rows(list(events), recording).rows


def said(seconds: float, depth: str, unit: str = "m") -> dict[str, Any]:
    words = {"measurementType": "depth", "measurementValue": depth, "measurementUnit": unit}
    return event(seconds, seconds + 2, recordKind="measurement", **words)


def test_position_at_the_beginning_and_depths_over_the_whole(tmp_path: Path) -> None:
    (row,) = placed(recorded(tmp_path, line_along(SECONDS)), event(12, 31))
    assert row["decimalLatitude"] == pytest.approx(45.000012)
    assert row["decimalLongitude"] == -30.5
    assert (row["minimumDepthInMeters"], row["maximumDepthInMeters"]) == (1006, 1015.5)
    assert (row["placeMethod"], row["placeGapSeconds"]) == ("interpolated", 2)
    assert row["eventDate"] == "2029-03-04T10:00:12.000Z/2029-03-04T10:00:31.000Z"
    assert row["placeFlags"] == []
    assert row["coordinateUncertaintyInMeters"] is None


def test_depths_between_the_ends_count(tmp_path: Path) -> None:
    rows = [(at(s), 45, -30, z) for s, z in ((0, 500), (5, 503), (10, 496), (15, 500))]
    (row,) = placed(recorded(tmp_path, rows), event(1, 14))
    assert (row["minimumDepthInMeters"], row["maximumDepthInMeters"]) == (496, 503)


def test_rows_are_not_changed_and_others_columns_stay(tmp_path: Path) -> None:
    given = event(12, 20, scientificName="Asteronyx", nameScore=0.9)
    before = json.dumps(given)
    (row,) = placed(recorded(tmp_path, line_along(SECONDS)), given)
    assert json.dumps(given) == before
    assert list(row) == list(given)
    assert (row["scientificName"], row["nameScore"]) == ("Asteronyx", 0.9)


def test_a_gap_is_said_and_nothing_made_up(tmp_path: Path) -> None:
    rows = line_along([0, 5, 10, 300, 305])
    near, far = placed(recorded(tmp_path, rows), event(40), event(150))
    assert (near["placeMethod"], near["placeGapSeconds"]) == ("nearest fix", 30)
    assert near["decimalLatitude"] == pytest.approx(45.00001)
    assert far["placeMethod"] == "gap"
    assert [far[name] for name in ("decimalLatitude", "minimumDepthInMeters", "placeGapSeconds")] == [None] * 3


def test_limits_are_those_that_are_stated(tmp_path: Path) -> None:
    made = recorded(tmp_path, line_along([0, 20]), log="interpolate_within = 15\nnearest_within = 7")
    assert [row["placeMethod"] for row in placed(made, event(5), event(10))] == ["nearest fix", "gap"]


def test_the_weaker_of_position_and_depth_is_told(tmp_path: Path) -> None:
    rows: list[Any] = [(at(s), None if 20 < s < 80 else 45, None if 20 < s < 80 else -30, 1000) for s in SECONDS]
    one, two = placed(recorded(tmp_path, rows, log="nearest_within = 20"), event(35), event(50))
    assert (one["placeMethod"], one["placeGapSeconds"]) == ("nearest fix", 15)
    assert one["placeFlags"] == ["depth: interpolated"]
    assert (two["placeMethod"], two["decimalLatitude"], two["minimumDepthInMeters"]) == ("interpolated", None, 1000)
    assert two["placeFlags"] == ["position: gap"]


def test_what_was_cut_out_is_in_no_depth_range_and_never_interpolated_over(tmp_path: Path) -> None:
    """The vehicle was 900 m down only in the 20 s that were cut out."""
    rows = [(at(s), 45, -30, 900 if 41 <= s <= 59 else 500 + s) for s in range(100)]
    made = recorded(tmp_path, rows, head=HEAD + CUT)
    across, before, after = placed(made, event(35, 45), event(39.5), event(40.5))
    assert (across["minimumDepthInMeters"], across["maximumDepthInMeters"]) == (535, 565)
    assert across["placeFlags"] == ["cut"]
    assert across["eventDate"].endswith("/2029-03-04T10:01:05.000Z")
    assert (before["placeMethod"], before["minimumDepthInMeters"]) == ("interpolated", 539.5)
    assert (after["placeMethod"], after["minimumDepthInMeters"]) == ("interpolated", 560.5)
    made = recorded(tmp_path, [row for row in rows if row[0] not in (at(40), at(60))], head=HEAD + CUT)
    before, after = placed(made, event(39.5), event(40.5))
    assert (before["placeMethod"], before["minimumDepthInMeters"]) == ("nearest fix", 539)
    assert (after["placeMethod"], after["minimumDepthInMeters"]) == ("nearest fix", 561)


def test_spikes_are_left_out_flagged_and_told(tmp_path: Path) -> None:
    rows: list[Any] = line_along(SECONDS)
    rows[4] = (at(20), 45.1, -30.5, 1010)
    rows[12] = (at(60), 45.00006, -30.5, 2000)
    made = recorded(tmp_path, rows)
    one, two, three = placed(made, event(20), event(55, 65), event(80))
    assert one["decimalLatitude"] == pytest.approx(45.00002)
    assert two["maximumDepthInMeters"] == 1032.5
    assert (one["placeFlags"], two["placeFlags"], three["placeFlags"]) == (["spike"], ["spike"], [])
    assert [(p.line, p.reason) for p in made.problems] == [(6, "position is a spike"), (14, "depth is a spike")]


def test_the_limits_of_spikes_may_be_stated(tmp_path: Path) -> None:
    rows: list[Any] = line_along(SECONDS)
    rows[4] = (at(20), 45.1, -30.5, 1010)
    made = recorded(tmp_path, rows, more="[spikes]\nposition = [20000, 3]")
    assert not made.problems
    assert placed(made, event(20))[0]["decimalLatitude"] == 45.1


def test_a_second_log_fills_the_gaps_of_the_first(tmp_path: Path) -> None:
    write_log(tmp_path, [(at(s), 700, 4.5) for s in SECONDS], "t,z,c", "second.csv")
    more = '[[logs]]\nfile = "second.csv"\n[logs.columns]\ntime = "t"\ndepth = "z"\ntemperature = "c"\n'
    made = recorded(tmp_path, line_along([0, 5, 10]), log="nearest_within = 5", more=more)
    one, two = placed(made, event(8), event(70))
    assert (one["minimumDepthInMeters"], two["minimumDepthInMeters"]) == (1004, 700)
    assert one["waterTemperatureInCelsius"] == two["waterTemperatureInCelsius"] == 4.5


def test_oxygen_keeps_its_unit(tmp_path: Path) -> None:
    rows = [(at(s), 3.1) for s in SECONDS]
    made = recorded(tmp_path, rows, header="t,o", columns={"time": "t", "oxygen": "o"}, units='oxygen = "ml/l"')
    (row,) = placed(made, event(12))
    assert (row["dissolvedOxygen"], row["dissolvedOxygenUnit"], row["placeMethod"]) == (3.1, "ml/l", None)


STATED = "[uncertainty]\nposition_meters = 12\nrange_meters = 3\nclock_seconds = 2\n"


def test_uncertainty_is_what_is_stated_and_the_vehicles_way(tmp_path: Path) -> None:
    """12 + 3 m, 11.1 cm/s (a millionth of a degree) times 2 + 1 s, and the way of 20 s."""
    made = recorded(tmp_path, line_along(SECONDS), more=STATED)
    still, moving = placed(made, event(12, timeUncertainty=1.0), event(12, 32, timeUncertainty=1.0))
    speed = float(distances(45, -30.5, 45.000001, -30.5))
    assert still["coordinateUncertaintyInMeters"] == pytest.approx(15 + 3 * speed, abs=0.1)
    assert moving["coordinateUncertaintyInMeters"] == pytest.approx(15 + 23 * speed, abs=0.1)


def test_uncertainty_of_a_nearest_fix_counts_the_time_to_it(tmp_path: Path) -> None:
    """At most 3 m/s, as the rule for spikes has it: 20 s and the clock's 2 s are 66 m."""
    (row,) = placed(recorded(tmp_path, line_along([0, 100]), more=STATED), event(20))
    assert row["coordinateUncertaintyInMeters"] == pytest.approx(15 + 66)


def test_a_logs_own_uncertainty_comes_first(tmp_path: Path) -> None:
    rows = [(*row, 30 + n) for n, row in enumerate(line_along(SECONDS))]
    columns = COLUMNS | {"uncertainty": "r"}
    made = recorded(tmp_path, rows, header="time,lat,lon,depth,r", columns=columns, more=STATED)
    (row,) = placed(made, event(12))
    assert 30 + 3 + 3 < row["coordinateUncertaintyInMeters"] < 30 + 3 + 3 + 1


def test_a_spoken_depth_that_differs_is_flagged_and_told(tmp_path: Path) -> None:
    made = recorded(tmp_path, line_along(SECONDS))
    told = place_rows([said(20, "1011"), said(40, "1032"), said(60, "1000")], made)
    assert [row["placeFlags"] for row in told.rows] == [[], ["spoken depth differs by 11 m"], []]
    (problem,) = told.problems
    assert problem.severity == "noted"
    assert "0:00:40 somebody says 1032 m, and the log says 1020 m" in problem.reason


def test_how_much_may_differ_can_be_stated(tmp_path: Path) -> None:
    made = recorded(tmp_path, line_along(SECONDS), more="[spoken_depth]\nwithin_meters = 20")
    assert placed(made, said(40, "1032"))[0]["placeFlags"] == []


@pytest.mark.parametrize(("depth", "metres"), [(1184, 0.5), (640, 5), (1100, 50), (3000, 50), (12.5, 0.05), (0, 0.5)])
def test_rounding_of_what_is_said(depth: float, metres: float) -> None:
    assert rounding(depth) == metres


@pytest.mark.parametrize(("factor", "unit"), [(0.3048, "'ft'"), (1.8288, "'fathom'")])
def test_a_log_in_another_unit_than_what_is_said_is_refused(tmp_path: Path, factor: float, unit: str) -> None:
    made = recorded(tmp_path, line_along(SECONDS))
    rows = [said(s, str(round((1000 + s / 2) * factor))) for s in (10, 40, 70)]
    with pytest.raises(InputError, match="differ alike") as refused:
        place_rows(rows, made)
    assert unit in str(refused.value)
    assert len(place_rows(rows[:2], made).problems) == 2  # two are too few to refuse a log


OTHER_HOURS = 'id = "x"\nstart = 2029-03-04T{}Z\n'


@pytest.mark.parametrize(
    ("start", "told"),
    [("17:00:00", "7 h later"), ("04:30:00", "5.5 h earlier"), ("10:41:00", "another dive's log")],
)
def test_a_log_of_another_time_is_refused_with_a_guess(tmp_path: Path, start: str, told: str) -> None:
    made = recorded(tmp_path, line_along(SECONDS), head=OTHER_HOURS.format(start))
    with pytest.raises(InputError, match="log of the same time") as refused:
        place_rows([event(12)], made)
    assert told in str(refused.value)
    assert "log.csv" in str(refused.value)


def test_one_of_two_logs_of_another_time_is_told(tmp_path: Path) -> None:
    write_log(tmp_path, [(at(s + 86400), 700) for s in SECONDS], "t,z", "second.csv")
    more = '[[logs]]\nfile = "second.csv"\n[logs.columns]\ntime = "t"\ndepth = "z"\n'
    told = place_rows([event(12)], recorded(tmp_path, line_along(SECONDS), more=more))
    assert [problem.file.endswith("second.csv") for problem in told.problems] == [True]
    assert told.rows[0]["minimumDepthInMeters"] == 1006


def test_events_after_the_last_file_are_told(tmp_path: Path) -> None:
    head = HEAD + '[[files]]\nname = "a.mov"\nduration = 30\n'
    told = place_rows([event(12), event(50)], recorded(tmp_path, line_along(SECONDS), head=head))
    assert ["later than the end" in problem.reason for problem in told.problems] == [True]


def test_no_rows(tmp_path: Path) -> None:
    assert place_rows([], recorded(tmp_path, line_along(SECONDS))).rows == []
