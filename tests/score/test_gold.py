"""Reading gold files, and everything they are refused for."""

from __future__ import annotations

import pytest

from earwitness.pipeline.score import read_gold
from earwitness.pipeline.score.gold import EVENT_COLUMNS, MENTION_COLUMNS
from earwitness.schemas import InputError

EVENTS = ",".join(EVENT_COLUMNS)
MENTIONS = ",".join(MENTION_COLUMNS)


def written(folder, *lines, encoding="utf-8"):
    path = folder / "gold.csv"
    path.write_text("\n".join(lines) + "\n", encoding=encoding)
    return path


def test_events(tmp_path):
    path = written(tmp_path, EVENTS, "e1,1.5,2,Farrea,genus,certain,~20,cf.,true", "", "e2,3,3,,,,,,FALSE")
    gold = read_gold(path)
    assert gold.mentions is None
    first, second = gold.events
    assert (first.event, first.start, first.end, first.name, first.rank) == ("e1", 1.5, 2, "Farrea", "genus")
    assert (first.certainty, first.count, first.qualifier, first.is_occurrence) == (
        "certain",
        "~20",
        "cf.",
        True,
    )
    assert (first.line, second.line, first.file) == (2, 4, str(path))
    assert (second.name, second.certainty, second.count, second.is_occurrence) == (None, None, None, False)


def test_mentions(tmp_path):
    path = written(
        tmp_path,
        MENTIONS,
        '8,1,2,sighting,"a crab, red",Munida,genus,e1,hedged,possible,1',
        "9,3,4,marker,on bottom,on_bottom,,,,,",
    )
    crab, marker = read_gold(path).mentions
    assert (crab.verbatim, crab.name, crab.status, crab.certainty) == (
        "a crab, red",
        "Munida",
        "hedged",
        "possible",
    )
    assert (marker.kind, marker.status) == ("marker", None)


def test_a_byte_order_mark_and_columns_in_another_order(tmp_path):
    header = ",".join(reversed(EVENT_COLUMNS)) + ",note"
    path = written(tmp_path, header, "true,,1,certain,genus,Farrea,2,1,e1,seen", encoding="utf-8-sig")
    assert read_gold(path).events[0].name == "Farrea"


def test_a_header_alone_is_empty_gold(tmp_path):
    assert read_gold(written(tmp_path, EVENTS)).events == ()


@pytest.mark.parametrize("lines", [("a,b,c", "1,2,3"), ("",), (EVENTS.replace("end_s,", ""),)])
def test_another_header_names_the_columns_expected(tmp_path, lines):
    with pytest.raises(InputError) as raised:
        read_gold(written(tmp_path, *lines))
    for column in (*EVENT_COLUMNS, *MENTION_COLUMNS):
        assert column in raised.value.problem.expected
    assert raised.value.problem.line == 1


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("e1,x,2,Farrea,genus,certain,1,,true", "times 'x' to '2'"),
        ("e1,nan,2,Farrea,genus,certain,1,,true", "times"),
        ("e1,1,inf,Farrea,genus,certain,1,,true", "times"),
        ("e1,-1,2,Farrea,genus,certain,1,,true", "times"),
        ("e1,3,2,Farrea,genus,certain,1,,true", "times"),
        ("e1,1,2,Farrea,genus,surely,1,,true", "certainty is 'surely'"),
        ("e1,1,2,Farrea,genus,certain,1,,yes", "is_occurrence is 'yes'"),
        (",1,2,Farrea,genus,certain,1,,true", "event is empty"),
        ("e0,1,2,Farrea,genus,certain,1,,true", "stands on line 2 already"),
        ("e1,1,2,Farrea,genus,certain,1,true", "8 cells"),
    ],
)
def test_a_wrong_event_row_is_refused_with_its_line(tmp_path, row, reason):
    path = written(tmp_path, EVENTS, "e0,1,2,Farrea,genus,certain,1,,true", row)
    with pytest.raises(InputError) as raised:
        read_gold(path)
    problem = raised.value.problem
    assert (problem.file, problem.line) == (str(path), 3)
    assert reason in problem.reason
    assert problem.expected


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("1,1,2,sighting,x,Farrea,genus,,seen,certain,", "status is 'seen'"),
        ("1,1,2,sighting,Robin,Farrea,genus,,person,certain,", "status is 'person'"),
        ("1,1,2,sighting,x,Farrea,genus,,,certain,", "status is empty"),
        ("1,1,2,animal,x,Farrea,genus,,observed,certain,", "kind is 'animal'"),
        ("1,1,2,,x,Farrea,genus,,observed,certain,", "kind is empty"),
    ],
)
def test_a_wrong_mention_row_is_refused_with_its_line(tmp_path, row, reason):
    with pytest.raises(InputError) as raised:
        read_gold(written(tmp_path, MENTIONS, row))
    assert raised.value.problem.line == 2
    assert reason in raised.value.problem.reason


def test_files_that_are_no_text(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        read_gold(tmp_path / "nowhere.csv")
    with pytest.raises(InputError, match="cannot be read"):
        read_gold(tmp_path)
    latin = tmp_path / "latin.csv"
    latin.write_bytes(EVENTS.encode() + b"\ne1,1,2,caf\xe9,genus,certain,1,,true\n")
    with pytest.raises(InputError, match="not UTF-8"):
        read_gold(latin)
    with pytest.raises(InputError, match="broken CSV"):
        read_gold(written(tmp_path, EVENTS, '"e1'))
