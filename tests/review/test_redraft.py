"""A newer draft beside decisions: what people decided stays, what nobody decided follows, and what differs is told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from earwitness.pipeline.review.redraft import redraft
from earwitness.schemas import validate
from tests.review import made
from tests.review.made import CALLOGORGIA, LOBSTER, MARKER, MOO, PAIR, PAIR_2, Hands

Row = dict[str, Any]


def newer(**changes: Row | None) -> list[Row]:
    """The rows of `made` with changes by eventID; None: the row is gone."""
    rows = []
    for row in made.events():
        change: Row | None = changes.get(row["eventID"], {})
        if change is not None:
            rows.append(row | change)
    return rows


def test_decided_rows_stay_and_others_follow_the_draft(run: Path) -> None:
    desk = made.opened(run)
    ann = Hands(desk, "Ann")
    ann.do("change", PAIR, taxon_id="t8")
    ann.do("accept", LOBSTER)
    ann.do("reject", CALLOGORGIA, reason="unclear")
    decided = {name: desk.row(name) for name in (PAIR, LOBSTER, CALLOGORGIA)}
    desk.close()
    told = {"individualCount": 7}
    made.write(run, newer(**{PAIR: told, LOBSTER: told | made.named("t12"), CALLOGORGIA: None, PAIR_2: told}))
    desk = made.opened(run)
    assert {name: desk.row(name) for name in decided} == decided
    assert desk.row(PAIR_2)["individualCount"] == 7
    validate("event", desk.rows.values())
    found = redraft(desk)
    shown = {(c["eventID"], c["column"], c["decided"], c["draft"]) for c in found["changed"]}
    assert (PAIR, "individualCount", 1, 7) in shown
    assert (LOBSTER, "scientificName", "Munida", "Munida quadrispina") in shown
    assert {c["eventID"] for c in found["changed"]} == {PAIR, LOBSTER}
    assert [gone["eventID"] for gone in found["gone"]] == [CALLOGORGIA]
    assert found["new"] == []
    # All of it can still be undone, and is then as the new draft has it.
    ann = Hands(desk, "Ann")
    for _ in range(3):
        ann.undo()
    assert desk.row(PAIR)["individualCount"] == 7
    assert CALLOGORGIA not in desk.rows
    assert list(desk.rows) == [row["eventID"] for row in newer(**{CALLOGORGIA: None})]
    ann.redo()
    assert desk.row(PAIR)["taxonID"] == "t8"
    desk.close()


def test_a_draft_that_agrees_with_people_by_now_is_not_told(run: Path) -> None:
    desk = made.opened(run)
    Hands(desk, "Ann").do("change", PAIR, columns={"individualCount": 7})
    desk.close()
    made.write(run, newer(**{PAIR: {"individualCount": 7}}))
    desk = made.opened(run)
    assert redraft(desk)["changed"] == []
    desk.close()


def test_new_events_of_a_newer_draft_are_told(run: Path) -> None:
    extra = made.occurrence("saddle_02", 77.0, "t5")
    desk = made.opened(run)
    Hands(desk, "Ann").do("accept", PAIR)
    assert redraft(desk) == {"changed": [], "gone": [], "new": []}
    desk.close()
    made.write(run, [*made.events(), extra])
    desk = made.opened(run)
    assert [new["eventID"] for new in redraft(desk)["new"]] == [extra["eventID"]]
    Hands(desk, "Ann").do("accept", LOBSTER)
    assert [new["eventID"] for new in redraft(desk)["new"]] == [extra["eventID"]]
    desk.close()


def test_questions_and_notes_stay_with_a_row_that_follows_the_draft(run: Path) -> None:
    desk = made.opened(run)
    ann = Hands(desk, "Ann")
    ann.do("ask", PAIR, note="bark?")
    ann.do("note", MOO, note="hm")
    ann.do("link", LOBSTER, into=PAIR_2, relation="on")
    desk.close()
    made.write(run, newer(**{PAIR: {"individualCount": 7}, MOO: None, MARKER: None}))
    desk = made.opened(run)
    assert (desk.row(PAIR)["individualCount"], desk.own(PAIR)["askNote"]) == (7, "bark?")
    # A remark is not lost with the row that the draft has no more; a row that nobody spoke of is.
    assert (MOO in desk.rows, MARKER in desk.rows) == (True, False)
    assert desk.row(LOBSTER)["associatedOccurrences"] == f'"on":"{PAIR_2}"'
    desk.close()


def test_a_decision_on_a_newer_draft_keeps_that_one(run: Path) -> None:
    desk = made.opened(run)
    ann = Hands(desk, "Ann")
    ann.do("accept", PAIR)
    ann.undo()
    desk.close()
    made.write(run, newer(**{PAIR: {"individualCount": 7}}))
    desk = made.opened(run)
    ann = Hands(desk, "Ann")
    ann.do("accept", PAIR)
    assert (desk.row(PAIR)["individualCount"], desk.row(PAIR)["reviewStatus"]) == (7, "accepted")
    assert redraft(desk)["changed"] == []
    desk.close()
    made.write(run, newer(**{PAIR: {"individualCount": 9}}))
    desk = made.opened(run)
    assert desk.row(PAIR)["individualCount"] == 7
    assert [(c["before"], c["decided"], c["draft"]) for c in redraft(desk)["changed"]] == [(7, 7, 9)]
    desk.close()
