"""What the desk shows: compact rows, one event with all about it, the talk, the same words, a run's head."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline.review import Desk, RefusedError, views
from earwitness.pipeline.review.checklist import open_checklist
from earwitness.pipeline.review.same_words import same_words
from earwitness.pipeline.review.web import answers
from earwitness.pipeline.table import read_run_files
from earwitness.schemas import InputError
from tests.review import made
from tests.review.made import CALLOGORGIA, LOBSTER, MARKER, MOO, PAIR, PAIR_2, PAIR_3, Hands


def shown(desk: Desk, event: str) -> dict[str, Any]:
    return dict(zip(views.COLUMNS, views.compact(desk, event), strict=True))


def test_compact_rows_tell_the_state_of_every_event(desk: Desk, ann: Hands) -> None:
    told = views.all_events(desk)
    assert told["columns"] == list(views.COLUMNS)
    assert [row[0] for row in told["rows"]] == [row["eventID"] for row in made.events()]
    before = shown(desk, PAIR)
    assert (before["reviewStatus"], before["version"], before["ask"]) == ("draft", 0, False)
    assert (before["verbatimIdentification"], before["heardKey"]) == ("pair of gorgia", "pair of gorgia")
    ann.do("ask", PAIR, note="?")
    after = shown(desk, PAIR)
    assert (after["version"], after["ask"], after["doubt"]) == (1, True, 1.0)
    assert json.loads(json.dumps(told)) == told


def test_one_event_with_all_about_it(desk: Desk, ann: Hands) -> None:
    ann.do("link", LOBSTER, into=PAIR, relation="on")
    ann.do("change", PAIR, taxon_id="t8", note="bark")
    told = views.details(desk, PAIR)
    assert told["row"] == desk.row(PAIR)
    assert told["draft"] == desk.run.events[PAIR]
    assert told["own"] == {"askNote": None, "reviewNote": "bark", "rejectReason": None, "mergedInto": None}
    assert [(step["rank"], step["name"]) for step in told["lineage"]] == [
        ("kingdom", "Animalia"),
        ("phylum", "Cnidaria"),
        ("family", "Primnoidae"),
        ("genus", "Callogorgia"),
    ]
    assert [(c["scientificName"], c["why"]) for c in told["candidates"]] == [
        ("Callogorgia", "chosen by Ann"),
        ("Paragorgia", "sounds like it"),
    ]
    assert told["candidates"][1]["lineage"] == "Animalia > Cnidaria > Coralliidae"
    assert told["candidates"][1]["vernacularName"] == "bubblegum coral"
    assert [mention["verbatimIdentification"] for mention in told["mentions"]] == ["pair of gorgia"]
    assert [(d["action"], d["reviewer"], d["stands"]) for d in told["history"]] == [
        ("link", "Ann", True),
        ("change", "Ann", True),
    ]
    assert told["history"][1]["taught"] == {"heard": "pair of gorgia", "scientificName": "Callogorgia"}
    assert told["links"] == [{"relation": "host of", "eventID": LOBSTER, "scientificName": "Munida", "startTime": 31.5}]
    ann.undo()
    assert [d["stands"] for d in views.details(desk, PAIR)["history"]] == [True, False, True]
    with pytest.raises(RefusedError):
        views.details(desk, "no such event")


def test_names_that_were_said_are_candidates_once(tmp_path: Path) -> None:
    step = {"verbatimIdentification": "x", "speaker": "Maud", "time": 1.0, "certainty": 0.5}
    chain = [
        step | {"scientificName": "Callogorgia", "taxonID": "t8", "step": "named"},
        step | {"scientificName": None, "taxonID": None, "step": "retracted"},
        step | {"scientificName": "Munida", "taxonID": "t11", "step": "offered"},
        step | {"scientificName": "Paragorgia", "taxonID": "t4", "step": "corrected"},
    ]
    rows = [row | {"determinations": chain} if row["eventID"] == PAIR else row for row in made.events()]
    desk = made.opened(made.write(tmp_path / "run", rows))
    told = views.details(desk, PAIR)["candidates"]
    assert [(c["scientificName"], c["why"]) for c in told] == [
        ("Paragorgia", "sounds like it"),
        ("Callogorgia", "sounds like it"),
        ("Munida", "offered by Maud"),
    ]
    assert [c["taxonRank"] for c in told] == ["genus", "genus", "genus"]
    desk.close()


def test_a_marker_has_no_candidates(desk: Desk) -> None:
    told = views.details(desk, MARKER)
    assert (told["candidates"], told["lineage"], told["mentions"]) == ([], [], [])


def test_the_talk_has_words_with_times_and_mentions_in_place(desk: Desk) -> None:
    rows = views.talk(desk, "saddle_01")
    assert [row["startTime"] for row in rows] == [11.0, 30.5, 57.25, 89.0]
    first = rows[0]
    [mention] = first["mentions"]
    assert first["text"][mention["beginsAt"] : mention["endsAt"]] == "pair of gorgia"
    assert (mention["eventID"], mention["scientificName"]) == (PAIR, "Paragorgia")
    begin, end, start, _ = first["words"][2]
    assert (first["text"][begin:end], start) == ("big", 12.0)
    assert views.talk(desk, "no such recording") == []


def test_an_older_run_without_utterances_shows_those_with_names(run: Path) -> None:
    (run / "utterances.jsonl").unlink()
    desk = made.opened(run)
    rows = views.talk(desk, "saddle_02")
    assert [row["text"] for row in rows] == ["that one is moo need a", "pair of gorgia again"]
    assert [len(row["mentions"]) for row in rows] == [1, 1]
    place = {"recordingID": "saddle_02", "utteranceStart": 6.0, "beginsAt": 0, "endsAt": 4}
    [name] = Hands(desk, "Ann").do("add", words=place, taxon_id="t4").events
    assert (desk.row(name)["startTime"], desk.row(name)["endTime"]) == (6.0, 10.0)
    desk.close()


def test_cues_of_the_next_utterance_are_not_shown_in_this_one(run: Path) -> None:
    rows = made.mentions()
    cue = {"words": "maybe", "category": "hedge", "did": "hedged", "source": "x"}
    rows[0]["cues"] = [
        cue | {"beginsAt": 0, "endsAt": 5},
        cue | {"beginsAt": -9, "endsAt": -4},
        cue | {"beginsAt": 400, "endsAt": 405},
    ]
    (run / "mentions.jsonl").write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")
    desk = made.opened(run)
    assert [cue["beginsAt"] for cue in views.talk(desk, "saddle_01")[0]["cues"]] == [0]
    desk.close()


def test_a_cue_names_the_mentions_that_it_worked_on(run: Path) -> None:
    """One that did the same to two names is told once; one that did another thing to each, twice."""
    first = made.mentions()[0]
    second = first | {"mentionID": "saddle_01:second", "eventID": None}
    maybe = {"words": "maybe", "category": "hedge", "did": "hedged", "source": "x", "beginsAt": 0, "endsAt": 5}
    no = {"words": "not a", "category": "denial", "source": "x", "beginsAt": 6, "endsAt": 11}
    first["cues"] = [no | {"did": "denied"}, maybe]
    second["cues"] = [maybe, no | {"did": "spared"}, maybe]
    (run / "mentions.jsonl").write_text("".join(json.dumps(row) + "\n" for row in (first, second)), encoding="utf-8")
    desk = made.opened(run)
    told = views.talk(desk, "saddle_01")[0]["cues"]
    assert [(cue["words"], cue["did"], cue["mentionIDs"]) for cue in told] == [
        ("maybe", "hedged", ["saddle_01:n0", "saddle_01:second"]),
        ("not a", "denied", ["saddle_01:n0"]),
        ("not a", "spared", ["saddle_01:second"]),
    ]
    assert [answers.Cue.model_validate(cue, strict=True).mentionIDs for cue in told]
    desk.close()


def test_the_same_words_are_found_across_recordings_among_drafts(desk: Desk, ann: Hands) -> None:
    told = same_words(desk, PAIR)
    assert told["heard"] == "pair of gorgia"
    assert [(e["eventID"], e["version"]) for e in told["events"]] == [(PAIR_2, 0), (PAIR_3, 0)]
    ann.do("accept", PAIR_2)
    ann.do("note", PAIR_3, note="hm")
    assert [(e["eventID"], e["version"]) for e in same_words(desk, PAIR)["events"]] == [(PAIR_3, 2)]
    assert same_words(desk, MARKER) == {"heard": None, "events": []}
    assert same_words(desk, CALLOGORGIA)["events"] == []


def test_the_head_counts_what_is_left(desk: Desk, ann: Hands, bob: Hands) -> None:
    ann.do("accept", PAIR)
    bob.do("reject", LOBSTER, reason="unclear")
    ann.do("change", MOO, taxon_id="t12")
    ann.do("ask", CALLOGORGIA)
    head = views.run_head(desk)
    assert head["counts"] == {"total": 9, "draft": 6, "accepted": 1, "changed": 1, "rejected": 1, "ask": 1}
    assert head["reviewers"] == ["Ann", "Bob"]
    assert [(r["recordingID"], r["endTime"]) for r in head["recordings"]] == [("saddle_01", 93.0), ("saddle_02", 23.0)]
    assert (head["title"], head["last"]) == ("saddle_01 and 1 more", 4)
    assert "cf." in head["qualifiers"]


def test_what_came_of_a_request(desk: Desk, ann: Hands) -> None:
    outcome = ann.do("add", words={"recordingID": "saddle_01"}, columns={"startTime": 3}, taxon_id="t5")
    told = views.outcome_json(desk, outcome)
    assert [row[0] for row in told["events"]] == list(outcome.events)
    gone = views.outcome_json(desk, ann.undo())
    assert (gone["events"], gone["gone"]) == ([], list(outcome.events))


@pytest.mark.parametrize(
    ("file", "text", "reason"),
    [
        ("run.json", "{", "cannot be read"),
        ("run.json", '{"transcripts": [], "checklist": {"path": "x"}}', "no run's summary"),
        ("run.json", '{"transcripts": [7], "checklist": {"path": "x"}}', "no run's summary"),
        ("events.jsonl", "{]", "not JSON"),
        ("events.jsonl", '{"startTime": 1, "eventID": ""}', "eventID"),
        (
            "events.jsonl",
            '{"startTime": 1, "eventID": "a", "recordingID": "other", "endTime": 2}',
            "no event of this run",
        ),
        ("events.jsonl", '{"startTime": 1, "eventID": "a", "recordingID": "saddle_01"}', "no event of this run"),
    ],
)
def test_a_folder_that_holds_no_run_is_told(run: Path, file: str, text: str, reason: str) -> None:
    (run / file).write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=reason) as told:
        read_run_files(run)
    assert file in told.value.problem.file


def test_two_rows_of_one_id_are_told(run: Path) -> None:
    line = (run / "events.jsonl").read_text("utf-8").splitlines()[0]
    (run / "events.jsonl").write_text(f"{line}\n{line}\n", encoding="utf-8")
    with pytest.raises(InputError, match="ID of its own"):
        read_run_files(run)


def test_the_checklist_is_the_one_of_the_run_or_one_that_is_named(run: Path) -> None:
    files = read_run_files(run)
    beside = run.parent / "taxa.csv"
    assert len(open_checklist(files).checklist) == 12
    beside.write_text(made.TAXA + "t13,t13,t9,Lithodidae,family,accepted,\n", encoding="utf-8")
    with pytest.raises(InputError, match="another checklist"):
        open_checklist(files)
    assert len(open_checklist(files, beside).checklist) == 13
    beside.unlink()
    with pytest.raises(InputError, match="--checklist"):
        open_checklist(files)


def test_a_checklist_that_moved_with_its_run_is_found(run: Path) -> None:
    summary = json.loads((run / "run.json").read_text("utf-8"))
    summary["checklist"]["path"] = "../taxa.csv"
    (run / "run.json").write_text(json.dumps(summary), encoding="utf-8")
    assert open_checklist(read_run_files(run)).checklist.name == "taxa"
