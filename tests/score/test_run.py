"""A run's folder against gold files: what is read, chosen, refused, and how it looks."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from rich.console import Console

from earwitness.pipeline.score import read_gold, render, score_run
from earwitness.pipeline.score.gold import EVENT_COLUMNS, MENTION_COLUMNS
from earwitness.schemas import InputError

from .fake import FakeChecklist, event_row, mention_row, row_of, row_of_mention

LIST = FakeChecklist()
SHARED = Path(__file__).parents[3] / "shared"
DIVES = sorted(path.parent for path in SHARED.glob("narrations/*/gold_events.csv"))


def write_rows(path, rows):
    path.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")


def write_gold(path, columns, *rows):
    with path.open("w", encoding="utf-8", newline="") as lines:
        csv.writer(lines).writerows([columns, *rows])
    return path


@pytest.fixture
def gold_events(tmp_path):
    row = ("e1", 0, 10, "Farrea", "genus", "certain", "3", "", "true")
    return write_gold(tmp_path / "gold_events.csv", EVENT_COLUMNS, row)


@pytest.fixture
def gold_mentions(tmp_path):
    row = (1, 0, 4, "sighting", "Farrea", "Farrea", "genus", "e1", "observed", "certain", "")
    return write_gold(tmp_path / "gold_mentions.csv", MENTION_COLUMNS, row)


@pytest.fixture
def run(tmp_path):
    folder = tmp_path / "run"
    folder.mkdir()
    write_rows(folder / "events.jsonl", [event_row(0, 10, "Farrea", individualCount=3)])
    write_rows(folder / "mentions.jsonl", [mention_row(0, 4, "Farrea", "Farrea")])
    (folder / "run.json").write_text(json.dumps({"inputs": [{"recordingID": "dive"}]}), encoding="utf-8")
    return folder


def shown(score, **settings):
    console = Console(file=io.StringIO(), width=120, force_terminal=False)
    console.print(render(score, **settings))
    return console.file.getvalue()


def test_both_kinds_of_gold(run, gold_events, gold_mentions):
    score = score_run(run, [gold_mentions, gold_events], checklist=LIST)
    assert score.recording == "dive"
    assert score.events.levels["taxon"].f1 == 1
    assert score.mentions.name.f1 == 1
    made = score.to_json()
    assert json.dumps(made) == json.dumps(made, sort_keys=True)
    assert made["recordingID"] == "dive"


def test_one_kind_of_gold_needs_only_its_rows(run, gold_events, gold_mentions):
    assert score_run(run, [gold_mentions], checklist=LIST).events is None
    (run / "mentions.jsonl").unlink()
    assert score_run(run, [gold_events], checklist=LIST).mentions is None
    with pytest.raises(InputError, match=r"mentions\.jsonl: is missing") as raised:
        score_run(run, [gold_mentions], checklist=LIST)
    assert "run again" in raised.value.problem.expected


def test_a_folder_without_events(tmp_path, gold_events):
    with pytest.raises(InputError, match=r"events\.jsonl: is missing; expected the folder of a finished run"):
        score_run(tmp_path, [gold_events], checklist=LIST)


def test_one_recording_of_several_is_chosen(run, gold_events):
    rows = [event_row(0, 10, "Farrea"), event_row(0, 10, "Porifera", recordingID="other")]
    write_rows(run / "events.jsonl", rows)
    with pytest.raises(InputError, match=r"holds 2 recordings.*one of dive, other"):
        score_run(run, [gold_events], checklist=LIST)
    assert score_run(run, [gold_events], checklist=LIST, recording="dive").events.levels["taxon"].f1 == 1
    assert score_run(run, [gold_events], checklist=LIST, recording="other").events.levels["taxon"].f1 == 0
    with pytest.raises(InputError, match="no recording 'third'; expected one of dive, other"):
        score_run(run, [gold_events], checklist=LIST, recording="third")


def test_a_recording_without_rows_is_known_from_run_json(run, gold_events):
    inputs = [{"recordingID": "dive"}, {"recordingID": "silent"}]
    (run / "run.json").write_text(json.dumps({"inputs": inputs}), encoding="utf-8")
    score = score_run(run, [gold_events], checklist=LIST, recording="silent")
    assert score.events.levels["detection"].in_run == 0
    with pytest.raises(InputError, match="one of dive, silent"):
        score_run(run, [gold_events], checklist=LIST)


def test_an_empty_run_finds_nothing(run, gold_events):
    (run / "events.jsonl").write_text("", encoding="utf-8")
    (run / "run.json").unlink()
    score = score_run(run, [gold_events], checklist=LIST)
    assert (score.recording, score.events.levels["taxon"].precision, score.events.levels["taxon"].recall) == (
        None,
        None,
        0,
    )
    assert "–" in shown(score)


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("{", "not JSON"),
        ('{"startTime": NaN}', "NaN is no JSON number"),
        ("[]", "not a JSON object"),
        ('{"endTime": 1}', "startTime is None"),
        ('{"startTime": "1"}', "startTime is '1'"),
        ('{"startTime": true}', "startTime is True"),
        ('{"startTime": 1e999}', "startTime is inf"),
        ('{"startTime": 1, "certainty": "0.5"}', "certainty is '0.5'"),
        ('{"startTime": 1, "certaintyTerm": "surely"}', "certaintyTerm is 'surely'"),
    ],
)
def test_a_broken_row_is_refused_with_its_line(run, gold_events, line, reason):
    path = run / "events.jsonl"
    path.write_text(json.dumps(event_row(0, 1, "Farrea")) + "\n" + line + "\n", encoding="utf-8")
    with pytest.raises(InputError) as raised:
        score_run(run, [gold_events], checklist=LIST)
    problem = raised.value.problem
    assert (problem.file, problem.line) == (str(path), 2)
    assert reason in problem.reason


def test_a_wrong_status_and_a_broken_record_are_refused(run, gold_mentions):
    write_rows(run / "mentions.jsonl", [mention_row(0, 1, "x", None, status="seen")])
    with pytest.raises(InputError, match="status is 'seen'; expected one of observed"):
        score_run(run, [gold_mentions], checklist=LIST)
    (run / "run.json").write_text("{", encoding="utf-8")
    write_rows(run / "mentions.jsonl", [])
    with pytest.raises(InputError, match=r"run\.json: not JSON text"):
        score_run(run, [gold_mentions], checklist=LIST)


def test_two_gold_files_of_one_kind_or_none(run, gold_events):
    with pytest.raises(InputError, match="a second file of gold events"):
        score_run(run, [gold_events, gold_events], checklist=LIST)
    with pytest.raises(InputError, match="no gold file"):
        score_run(run, [], checklist=LIST)


def test_tables_say_what_was_measured(run, gold_events, gold_mentions):
    write_rows(run / "events.jsonl", [event_row(0, 10, "Porifera"), event_row(50, 51, "Farrea")])
    text = shown(score_run(run, [gold_events, gold_mentions], checklist=LIST))
    for words in (
        "Recording dive",
        "matched within 5 s",
        "matched within 2 s",
        "right or an ancestor",
        "an ancestor",
        "recorded with no gold",
        "Mentions that differ: none",
        "Status: gold down, run across",
    ):
        assert words in text
    # 1 of the run's 2 is right or an ancestor, and the gold's only one is found: 1/2, 1, 2/3.
    line = next(line for line in text.splitlines() if "right or an ancestor" in line)
    assert line.index("0.500") < line.index("1.000") < line.index("0.667")


def test_claims_stand_at_the_head(run, gold_events, gold_mentions):
    write_rows(run / "events.jsonl", [event_row(0, 10, "Farrea", individualCount=3), event_row(50, 51, "Farrea")])
    rows = [mention_row(0, 4, "Farrea", "Farrea"), mention_row(60, 61, "Farrea", "Farrea", status="person")]
    write_rows(run / "mentions.jsonl", rows)
    text = shown(score_run(run, [gold_events, gold_mentions], checklist=LIST))
    lines = [line for line in text[: text.index("Events, matched")].splitlines() if "│" in line]
    told = {cells[0]: cells[1:] for line in lines if (cells := [cell.strip() for cell in line.split("│")[1:-1]])}
    assert told["sighting with the right name, precision"] == ["1", "2", "0.500"]
    assert told["rows that are no sighting"] == ["1", "2", "0.500"]
    assert told["nothing like it there"] == ["1", "", ""]
    assert told["changed names that ended right"] == ["0", "0", "–"]
    assert told["count right"] == ["1", "1", "1.000"]
    assert told["status, mean F1 over gold's eight"] == ["", "", "1.000"]
    assert "Rows rightly said to name no animal: 1 person" in text
    made = score_run(run, [gold_events, gold_mentions], checklist=LIST).to_json()
    assert made["claims"]["falseRows"]["invented"] == 1
    assert made["mentions"]["runRowsSetAside"] == {"person": 1}


def test_without_gold_mentions_only_events_are_told_of(run, gold_events):
    text = shown(score_run(run, [gold_events], checklist=LIST))
    assert "count right" in text
    assert "changed names" not in text
    assert "status" not in text


def test_long_lists_are_cut_and_the_rest_counted(run, gold_events):
    write_rows(run / "events.jsonl", [event_row(100 + i, 101 + i, "Farrea") for i in range(30)])
    score = score_run(run, [gold_events], checklist=LIST)
    assert "Events that differ: 31" in shown(score)
    assert "... and 11 more" in shown(score)
    assert "more" not in shown(score, differences=None)


@pytest.mark.parametrize(
    ("run_name", "gold_name", "verdict"),
    [
        ("Desmophyllum", "Desmophyllum pertusum", "same genus, coarser"),
        ("Desmophyllum pertusum", "Caryophylliidae", "same family, too specific"),
        ("Desmophyllum dianthus", "Desmophyllum pertusum", "same genus "),
        ("Farrea", "Porifera", "too specific"),
        ("Farrea", "Desmophyllum", "another name"),
    ],
)
def test_verdicts(run, tmp_path, run_name, gold_name, verdict):
    gold = write_gold(tmp_path / "g.csv", EVENT_COLUMNS, ("e1", 0, 9, gold_name, "", "certain", "", "", "true"))
    write_rows(run / "events.jsonl", [event_row(0, 9, run_name)])
    text = shown(score_run(run, [gold], checklist=LIST))
    assert verdict in text[text.index("Events that differ: 1") :]


def test_names_are_shown_as_plain_text(run, gold_events):
    write_rows(run / "events.jsonl", [event_row(0, 10, "[bold]Far\x1b[31mrea[/bold]")])
    text = shown(score_run(run, [gold_events], checklist=LIST))
    assert "[bold]Far�[31mrea[/bold]" in text
    assert "\x1b" not in text


@pytest.mark.skipif(not DIVES, reason="the development dives are not beside this checkout")
@pytest.mark.parametrize("dive", DIVES, ids=lambda path: path.name)
def test_a_dive_against_itself(dive, tmp_path):
    """Rows made from the gold score 1 wherever there is something to score, under the real checklist."""
    from earwitness.taxonomy.load import load_checklist

    checklist = load_checklist(SHARED / "checklists" / "demo_seas.csv")
    paths = [dive / "gold_events.csv", dive / "gold_mentions.csv"]
    events, mentions = read_gold(paths[0]).events, read_gold(paths[1]).mentions
    write_rows(tmp_path / "events.jsonl", [row_of(event) for event in events if event.is_occurrence])
    sightings = [mention for mention in mentions if mention.kind == "sighting"]
    write_rows(tmp_path / "mentions.jsonl", [row_of_mention(mention) for mention in sightings])
    score = score_run(tmp_path, paths, checklist=checklist, tolerance=0, mention_tolerance=0)
    rates = [
        *score.events.levels.values(),
        score.mentions.detection,
        score.mentions.name,
        score.mentions.status.micro,
    ]
    assert [(r.precision, r.recall, r.f1) for r in rates] == [(1, 1, 1)] * len(rates)
    assert score.events.levels["taxon"].in_gold == sum(event.is_occurrence for event in events)
    assert score.events.occurrence.recorded_not_occurrence == 0
    assert score.events.certainty.micro.f1 == score.mentions.certainty.micro.f1 == 1
    assert score.events.count.exact == score.events.count.asked
    assert score.events.qualifier.agree == score.events.qualifier.pairs
    assert score.problems == ()
