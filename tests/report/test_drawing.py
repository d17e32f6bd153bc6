"""What the pictures are made of: groups, axes, the map's measures, timelines, and colours that can be told apart."""

from __future__ import annotations

import re
from datetime import timedelta
from importlib.resources import files
from itertools import pairwise
from pathlib import Path

import pytest

from earwitness.pipeline.publish import Fix
from earwitness.pipeline.report import draw_chart, gather
from earwitness.pipeline.report.axes import round_ticks, stretches, thinned, time_ticks
from earwitness.pipeline.report.chart import bar_length, chart, metres_per_degree
from earwitness.pipeline.report.depths import depth_profile
from earwitness.pipeline.report.draw_chart import lay_out_chart
from earwitness.pipeline.report.draw_timeline import NARROW, WIDE, Format, lay_out
from earwitness.pipeline.report.figure_look import COLOURS
from earwitness.pipeline.report.groups import ELSEWHERE, SHAPES, USUAL, higher_groups
from earwitness.pipeline.report.labels import apart, fitted, stacked
from earwitness.pipeline.report.wording import clean, clipped, clock, degrees, metres, utc
from tests.publish.made import blank, species
from tests.report.made import START, dive, edition, placed

STYLE = (files("earwitness.pipeline.report.parts") / "style.css").read_text("utf-8")


def animals(*phyla: str) -> list[dict[str, object]]:
    return [
        blank("r", "occurrence", n, **species("Aus bus", "1", phylum=p, order=f"o{n}")) for n, p in enumerate(phyla)
    ]


def test_groups_are_the_largest_and_the_rest_together() -> None:
    groups = higher_groups(animals(*"AABBBCDEFGHI", ""))
    assert [(group.name, group.events) for group in groups.groups[:2]] == [("B", 3), ("A", 2)]
    assert len(groups.groups) == len(SHAPES)
    assert groups.groups[-1].name == ELSEWHERE
    assert groups.groups[-1].members == ("H", "I", "not placed")
    assert sum(group.events for group in groups.groups) == 13
    assert len({group.slot for group in groups.groups}) == len(SHAPES)


def test_a_usual_phylum_keeps_its_colour_whatever_else_is_seen() -> None:
    alone = higher_groups(animals("Mollusca", "Porifera"))
    among = higher_groups(animals("Bryozoa", "Bryozoa", "Nemertea", "Mollusca"))
    slots = {group.name: group.slot for group in among.groups}
    assert slots["Mollusca"] == USUAL.index("Mollusca") == alone.groups[0].slot
    assert len(set(slots.values())) == 3


def test_animals_of_one_phylum_are_grouped_lower_down() -> None:
    assert higher_groups(animals("Cnidaria", "Cnidaria")).rank == "order"
    assert higher_groups(animals("Cnidaria", "Porifera")).rank == "phylum"
    assert higher_groups([]).groups == ()


@pytest.mark.parametrize(
    ("latitude", "east", "north"),
    # Length of a degree on WGS 84 as tables give it (from memory, to the metre).
    [
        (0, 111_320, 110_574),
        (15, 107_551, 110_649),
        (30, 96_486, 110_852),
        (45, 78_847, 111_132),
        (75, 28_902, 111_618),
    ],
)
def test_metres_in_a_degree(latitude: float, east: float, north: float) -> None:
    assert metres_per_degree(latitude) == pytest.approx((east, north), abs=1.5)


def test_the_maps_scale_is_that_of_the_ellipsoid(tmp_path: Path) -> None:
    """A track along the equator over a thousandth of a degree is 111.3 m long, on the map as in the sea."""
    track = (Fix("r", 0, 0, 10.0), Fix("r", 30, 0, 10.001))
    drawn = chart([], higher_groups([]), track)
    assert drawn
    (x0, _), (x1, _) = drawn.ends
    assert x1 - x0 == pytest.approx(111.32, abs=0.01)
    sheet = lay_out_chart(drawn)
    on_paper = sheet.ends[1][0] - sheet.ends[0][0]
    assert on_paper / sheet.bar == pytest.approx(111.32 / drawn.bar, rel=0.002)


def test_a_map_over_the_date_line_stays_in_one_piece() -> None:
    rows, track = placed(dive(30), east=179.995)
    drawn = chart(rows, higher_groups([r for r in rows if r["recordKind"] == "occurrence"]), track)
    assert drawn
    assert drawn.width < 2_000
    assert len(drawn.track) == 1
    texts = {label.text[-1] for label in lay_out_chart(drawn).meridians}
    assert texts == {"E", "W"}


def test_no_line_is_drawn_over_a_gap_of_the_log() -> None:
    track = tuple(Fix("samovar_02", t, 10, 20 + t / 1e5, 900.0) for t in [*range(100), *range(400, 500)])
    drawn = chart([], higher_groups([]), track)
    assert drawn
    assert len(drawn.track) == 2
    rows = dive(44)
    (line,) = gather(edition(rows, Path(), track)).timelines
    assert [len(part) for part in line.profile] == [100, 100]


def test_depths_of_a_cut_recording_stand_at_their_time_in_the_recording() -> None:
    """600 s were cut out at 50 s: the log goes on through them, the recording does not."""
    moments = {t: iso(t if t < 50 else t + 600) for t in range(5, 100, 5)}
    talk = [blank("r", "marker", t, markerType="image", eventDate=moment) for t, moment in moments.items()]
    track = [Fix("r", t, 10, 20, 1000.0 + t, iso(t)) for t in range(0, 701, 2)]
    parts = depth_profile(talk, track, False, 0, 100)
    assert [(part[0][0], part[-1][0]) for part in parts] == [(0, 44), (50, 100)]
    for before_or_after, part in zip((0, 600), parts, strict=True):
        for time, depth in part:
            assert depth == 1000 + time + before_or_after


def iso(seconds: float) -> str:
    return (START + timedelta(seconds=seconds)).isoformat()


def test_ticks_are_round_and_inside() -> None:
    assert time_ticks(0, 480, 9) == [0, 60, 120, 180, 240, 300, 360, 420, 480]
    assert time_ticks(3, 8, 9) == [3, 4, 5, 6, 7, 8]
    assert round_ticks(1180.2, 1204.9, 6) == [1185, 1190, 1195, 1200]
    assert round_ticks(-0.04, 0.11, 4) == [0, 0.05, 0.1]
    assert [bar_length(width) for width in (60, 100, 299, 3_000, 90_000)] == [20, 20, 50, 1000, 20_000]


def test_a_thinned_line_keeps_its_spikes() -> None:
    line = [(float(n), 5000.0 if n == 7777 else 1000.0 + n % 7) for n in range(20_000)]
    short = thinned(line, 300)
    assert len(short) <= 1200
    assert (7777.0, 5000.0) in short
    assert short == sorted(short)
    assert short[0] == line[0]
    assert short[-1] == line[-1]
    assert thinned(line[:50], 300) == line[:50]


def test_stretches_end_where_the_log_is_silent() -> None:
    assert stretches([(0, 1), (1, 1), (9, 1)], 5) == [[(0, 1), (1, 1)], [(9, 1)]]


@pytest.mark.parametrize("to", [WIDE, NARROW], ids=["wide", "narrow"])
def test_marks_lie_at_their_time_and_depth(to: Format) -> None:
    rows, track = placed(dive(40))
    (line,) = gather(edition(rows, Path(), track)).timelines
    paper = lay_out(line, to)
    assert paper.panel
    for mark in paper.marks:
        share = (rows[mark.mark.row]["startTime"] - line.low) / (line.high - line.low)
        assert mark.x == pytest.approx(to.left + share * (to.right - to.left), abs=0.1)
        if mark.mark.group:
            assert paper.panel[0] <= mark.y <= paper.panel[1]
    deep = [mark for mark in paper.marks if mark.mark.group]
    by_depth = sorted(deep, key=lambda mark: mark.mark.depth or 0)
    assert [mark.y for mark in by_depth] == sorted(mark.y for mark in deep)


@pytest.mark.parametrize("to", [WIDE, NARROW], ids=["wide", "narrow"])
def test_without_depth_marks_stand_in_their_lane(to: Format) -> None:
    rows = dive(40)
    (line,) = gather(edition(rows, Path())).timelines
    assert line.depths is None
    paper = lay_out(line, to)
    assert paper.panel is None
    for mark in paper.marks:
        assert abs(mark.y - paper.lanes[mark.mark.lane].y) <= 12


def test_names_above_lines_run_into_no_name_and_over_no_line() -> None:
    places = [(10.0, "dive starts"), (60.0, "on bottom"), (880.0, "off bottom"), (900.0, "dive ends")]
    names = stacked(places, 960, 7)
    assert [(one.level, one.late) for one in names] == [(0, False), (1, False), (1, True), (0, True)]
    for one in names:
        long = len(one.name) * 7
        left = one.x - long * one.late
        for other in names:
            over = left < other.x < left + long
            assert not over or other.level > one.level, (one.name, other.name)
    many = stacked([(5.0 * n, "off bottom") for n in range(8)], 960, 7)
    assert [one.named for one in many] == [True] * 3 + [False] * 5


def test_words_on_one_line_stay_apart_and_inside() -> None:
    kept = apart([(0, "1,184 m"), (20, "left out"), (100, "1,130 m"), (198, "1,102 m")], 0, 200, 6)
    assert [text for _, text in kept] == ["1,184 m", "1,130 m", "1,102 m"]
    assert kept[0][0] == 21
    assert kept[-1][0] == 179


def test_a_narrow_axis_leaves_out_times_that_would_run_into_each_other() -> None:
    (line,) = gather(edition(dive(3), Path())).timelines
    for to in (WIDE, NARROW):
        paper = lay_out(line, to)
        for labels in (paper.time_ticks, paper.utc_ticks):
            written = [label for label in labels if label.text]
            assert len(written) >= 2
            for one, other in pairwise(written):
                assert other.x - one.x >= len(one.text) * to.character


def test_the_days_of_an_axis_are_told() -> None:
    (line,) = gather(edition(dive(20), Path())).timelines
    assert lay_out(line).day == "2033-03-04"
    (line,) = gather(edition(dive(200), Path())).timelines
    assert lay_out(line).day == "2033-03-04/05"


def test_signs_on_a_narrow_map_are_fewer_and_flags_lie_apart() -> None:
    rows, track = placed(dive(400))
    drawn = gather(edition(rows, Path(), track)).chart
    assert drawn
    animals_seen = sum(row["recordKind"] == "occurrence" for row in rows)
    for signs in (drawn.fine, drawn.coarse):
        assert sum(spot.events for spot in signs.spots) == animals_seen
    assert len(drawn.coarse.spots) < 0.6 * len(drawn.fine.spots)
    rows, track = placed(dive(60))
    few = gather(edition(rows, Path(), track)).chart
    assert few
    sheet = lay_out_chart(few, draw_chart.NARROW)
    assert len(sheet.flags) > 3
    left, top, wide, high = sheet.frame
    for place, flag in enumerate(sheet.flags):
        assert left <= flag.x <= left + wide
        assert top <= flag.y <= top + high
        assert all(max(abs(flag.x - f.x), abs(flag.y - f.y)) >= 16 for f in sheet.flags[:place])


def test_recordings_are_joined_in_utc_only_where_all_have_it() -> None:
    one, two = dive(20), dive(20, recording="samovar_03")
    joined = gather(edition(one + two, Path())).timelines
    assert len(joined) == 1
    assert joined[0].joined
    assert joined[0].low == pytest.approx(START.timestamp() + 5, abs=60)
    apart = gather(edition(one + dive(20, recording="samovar_03", start=None), Path())).timelines
    assert [(line.joined, line.name) for line in apart] == [(False, "samovar_02"), (False, "samovar_03")]


def test_words_for_numbers_and_times() -> None:
    assert clock(3723.999) == "1:02:03"
    assert metres(1203.4, 1210) == "1,203–1,210 m"
    assert metres(None, None) == ""
    assert degrees(-33.999999, "latitude", 1) == "34° 00.0′ S"
    assert degrees(125.1, "longitude", 2) == "125° 06.00′ E"
    assert str(utc("2033-03-05T00:01:02.500+01:00/2033-03-05T00:02:00Z")) == "2033-03-04 23:01:02.500000+00:00"
    assert utc("yesterday") is utc(None) is None
    assert clean("a\x00b\ud800\nc") == "a\ufffdb\ufffd c"
    assert clipped("深海の海老", 10) == "深海…"
    assert fitted("深海の海老", 6) == "深海…"
    assert fitted("abc", 3) == "abc"


def palette(dark: bool) -> dict[str, str]:
    light, night = re.findall(r":root \{(.*?)\n\s*\}", STYLE, re.DOTALL)[:2]
    found = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", light))
    return found | (dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", night)) if dark else {})


def contrast(one: str, two: str) -> float:
    """WCAG 2.2's contrast ratio (its definition of relative luminance)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_as_defined() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_text_and_marks_can_be_told_from_their_ground(dark: bool) -> None:
    """WCAG 2.2 AA: 4.5 to 1 for text, 3 to 1 for marks and focus."""
    colours = palette(dark)
    shades = [f"s{n}" for n in range(1, 6)]
    for ink, grounds in {
        "ink": ["paper", "sheet", "water", *shades],
        "soft": ["paper", "sheet"],
        "accent": ["paper", "sheet"],
        "note-ink": ["note"],
    }.items():
        for ground in grounds:
            assert contrast(colours[ink], colours[ground]) >= 4.5, (ink, ground)
    for mark in (*(f"g{n}" for n in range(8)), "focus", "line"):
        for ground in ("sheet", "water", "paper"):
            assert contrast(colours[mark], colours[ground]) >= 3, (mark, ground)


def test_figures_and_page_share_their_colours() -> None:
    light = palette(dark=False)
    assert tuple(light[f"g{n}"] for n in range(8)) == COLOURS
