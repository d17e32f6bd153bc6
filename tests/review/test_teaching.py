"""Corrections teach: misheard words and their name are in the file at once; undone, they no longer are."""

from __future__ import annotations

from pathlib import Path

import pytest

from earwitness.pipeline.mention import find_mentions
from earwitness.pipeline.read import read_transcript
from earwitness.pipeline.review import Desk, RefusedError
from earwitness.pipeline.segment import build_language, segment
from earwitness.taxonomy import Corrections, ask, load_corrections
from tests.review import made
from tests.review.made import CALLOGORGIA, MARKER, MOO, PAIR, PAIR_2, PAIR_3, Hands


def taught(desk: Desk, run: Path) -> Corrections:
    return load_corrections(run.parent / "taxa.corrections.csv", desk.checklist)


def names(desk: Desk, run: Path, key: str) -> list[str]:
    return [desk.checklist.taxon(row).taxon_id for row in taught(desk, run).names_for(key)]


def test_a_name_for_misheard_words_is_learned_at_once(desk: Desk, run: Path, ann: Hands) -> None:
    outcome = ann.do("change", MOO, taxon_id="t12")
    assert outcome.complaints == ()
    assert names(desk, run, "moo need a") == ["t12"]
    [statement] = taught(desk, run).about("moo need a")
    assert (statement.by, statement.note) == ("Ann", f"review desk, decision {outcome.decisions[0].uid}")
    assert desk.store.waiting() == []


def test_what_was_learned_is_heard_in_the_next_draft(desk: Desk, run: Path, ann: Hands, tmp_path: Path) -> None:
    ann.do("change", MOO, taxon_id="t12")
    assert ask(desk.index, "moo need a", corrections=taught(desk, run))[0].entry.text == "Munida quadrispina"
    (tmp_path / "next.vtt").write_text(
        "WEBVTT\n\n00:01.000 --> 00:04.000\nand there goes a moo need a again\n", encoding="utf-8"
    )
    doc = segment(read_transcript(tmp_path / "next.vtt"), build_language(None))
    [mention] = find_mentions(doc, desk.index, None, taught(desk, run))
    assert (mention.text, mention.best.how) == ("moo need a", "corrected")
    assert desk.checklist.taxon(mention.best.row).scientific_name == "Munida quadrispina"


def test_another_animal_than_was_said_teaches_nothing_of_the_words(desk: Desk, run: Path, ann: Hands) -> None:
    """The captions were right and the speaker was not: the words still mean what they say."""
    [decision] = ann.do("change", CALLOGORGIA, taxon_id="t5").decisions
    assert decision.lesson is None
    assert taught(desk, run).statements == ()


def test_people_may_say_whether_it_teaches(desk: Desk, run: Path, ann: Hands) -> None:
    ann.do("change", CALLOGORGIA, taxon_id="t5", teach=True)
    ann.do("change", MOO, taxon_id="t12", teach=False)
    assert names(desk, run, "callogorgia") == ["t5"]
    assert names(desk, run, "moo need a") == []


def test_a_count_and_an_acceptance_teach_nothing(desk: Desk, run: Path, ann: Hands) -> None:
    ann.do("accept", PAIR)
    ann.do("change", PAIR_2, columns={"individualCount": 3})
    assert taught(desk, run).statements == ()


def test_words_that_name_no_animal_are_learned_too(desk: Desk, run: Path, ann: Hands) -> None:
    ann.do("reject", PAIR_2, reason="unclear")
    assert not taught(desk, run).is_no_name("pair of gorgia")
    ann.do("reject", PAIR, reason="no-name")
    assert taught(desk, run).is_no_name("pair of gorgia")


def test_undo_takes_the_lesson_back_and_redo_gives_it_again(desk: Desk, run: Path, ann: Hands) -> None:
    ann.do("change", MOO, taxon_id="t12")
    ann.undo()
    assert names(desk, run, "moo need a") == []
    ann.redo()
    assert names(desk, run, "moo need a") == ["t12"]
    ann.undo()
    assert names(desk, run, "moo need a") == []


def test_a_lesson_stays_while_another_decision_teaches_it(desk: Desk, run: Path, ann: Hands, bob: Hands) -> None:
    bob.do("change", PAIR, taxon_id="t5")
    ann.do("change", PAIR_2, PAIR_3, taxon_id="t5")
    ann.undo()
    assert names(desk, run, "pair of gorgia") == ["t5"]
    bob.undo()
    assert names(desk, run, "pair of gorgia") == []


def test_undo_leaves_what_was_taught_elsewhere(desk: Desk, run: Path, ann: Hands) -> None:
    from earwitness.taxonomy.corrections import record

    path = run.parent / "taxa.corrections.csv"
    record(path, "moo need a", desk.checklist.taxon(desk.checklist.find("Munida")[0]), by="Cleo")
    ann.do("change", MOO, taxon_id="t12")
    ann.undo()
    assert names(desk, run, "moo need a") == ["t11"]


def test_teaching_alone_leaves_the_event(desk: Desk, run: Path, ann: Hands) -> None:
    ann.do("teach", PAIR, taxon_id="t5")
    assert names(desk, run, "pair of gorgia") == ["t5"]
    assert desk.row(PAIR) == desk.run.events[PAIR]
    assert desk.version(PAIR) == 1
    ann.do("teach", MOO)
    assert taught(desk, run).is_no_name("moo need a")
    with pytest.raises(RefusedError, match="no words"):
        ann.do("teach", MARKER)


def test_a_file_that_cannot_be_written_stops_no_decision_and_is_made_up_for(run: Path) -> None:
    path = run.parent / "taxa.corrections.csv"
    path.mkdir()
    desk = made.opened(run)
    outcome = Hands(desk, "Ann").do("change", MOO, taxon_id="t12")
    assert desk.row(MOO)["taxonID"] == "t12"
    assert len(outcome.complaints) == 1
    assert "taxa.corrections.csv" in outcome.complaints[0]
    assert desk.store.waiting() == [1]
    desk.close()
    path.rmdir()
    desk = made.opened(run)
    assert names(desk, run, "moo need a") == ["t12"]
    assert desk.store.waiting() == []
    desk.close()


def test_a_lesson_told_just_before_a_crash_is_not_told_twice(run: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = made.opened(run)
    monkeypatch.setattr(desk.store, "told", lambda _: None)
    Hands(desk, "Ann").do("change", MOO, taxon_id="t12")
    assert desk.store.waiting() == [1]
    desk.close()
    desk = made.opened(run)
    assert desk.store.waiting() == []
    assert len(taught(desk, run).statements) == 1
    desk.close()
