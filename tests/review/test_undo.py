"""Undo and redo without limit: one's own decisions, newest first, never over somebody else's."""

from __future__ import annotations

from typing import Any

import pytest

from earwitness.pipeline.review import ConflictError, Desk, RefusedError
from tests.review import made
from tests.review.made import LOBSTER, PAIR, PAIR_2, PAIR_3, Hands

WALL = {"recordingID": "saddle_01", "utteranceStart": 11.0, "beginsAt": 10, "endsAt": 13}


def test_undo_takes_back_and_redo_brings_back_again_and_again(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR, taxon_id="t8")
    decided = desk.row(PAIR)
    for _ in range(3):
        ann.undo()
        assert desk.row(PAIR) == desk.run.events[PAIR]
        ann.redo()
        assert desk.row(PAIR) == decided
    assert [d.action for d in desk.history.decisions] == ["change", *["undo", "redo"] * 3]
    assert [d.undoes for d in desk.history.decisions] == [None, 1, 2, 1, 4, 1, 6]


def test_everything_is_undone_in_order_and_redone_in_order(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR, taxon_id="t8")
    ann.do("change", PAIR, columns={"individualCount": 5})
    [name] = ann.do("add", words=WALL, taxon_id="t12").events
    ann.do("reject", PAIR, reason="unclear")
    done = dict(desk.rows)
    states = []
    for _ in range(4):
        ann.undo()
        states.append((desk.row(PAIR)["individualCount"], desk.row(PAIR)["taxonID"], name in desk.rows))
    assert states == [(5, "t8", True), (5, "t8", False), (1, "t8", False), (1, "t4", False)]
    with pytest.raises(RefusedError, match="nothing to undo"):
        ann.undo()
    for _ in range(4):
        ann.redo()
    assert desk.rows == done
    with pytest.raises(RefusedError, match="nothing to redo"):
        ann.redo()


def test_a_stroke_is_undone_and_redone_together(desk: Desk, ann: Hands) -> None:
    ann.do("accept", LOBSTER)
    ann.do("change", PAIR, PAIR_2, PAIR_3, taxon_id="t5")
    outcome = ann.undo()
    assert [decision.undoes for decision in outcome.decisions] == [4, 3, 2]
    assert {desk.row(name)["taxonID"] for name in (PAIR, PAIR_2, PAIR_3)} == {"t4"}
    assert desk.row(LOBSTER)["reviewStatus"] == "accepted"
    ann.redo()
    assert {desk.row(name)["taxonID"] for name in (PAIR, PAIR_2, PAIR_3)} == {"t5"}


@pytest.mark.parametrize("accepted_first", [False, True])
def test_the_same_words_named_at_once_are_taken_back_at_once(desk: Desk, ann: Hands, accepted_first: bool) -> None:
    """Some get the name, and those that bear it already are accepted: two requests of one batch, as the page sends."""
    ann.do("change", PAIR_2, taxon_id="t5")
    ann.do("accept", LOBSTER)
    before = dict(desk.rows)
    requests: list[tuple[Any, ...]] = [("change", PAIR, PAIR_3), ("accept", PAIR_2)]
    for action, *events in reversed(requests) if accepted_first else requests:
        ann.do(action, *events, batch="same", **({"taxon_id": "t5"} if action == "change" else {}))
    after = dict(desk.rows)
    assert {desk.row(name)["taxonID"] for name in (PAIR, PAIR_2, PAIR_3)} == {"t5"}
    outcome = ann.undo()
    assert set(outcome.events) == {PAIR, PAIR_2, PAIR_3}
    assert desk.rows == before
    ann.redo()
    assert desk.rows == after
    ann.undo()
    ann.undo()
    assert desk.row(LOBSTER)["reviewStatus"] == "draft"


def test_a_stroke_on_changed_and_unchanged_events_in_one_request_is_taken_back_whole(
    desk: Desk, ann: Hands, bob: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Even where, at the same moment by the same person, nothing at all changes on one of them."""
    monkeypatch.setattr("earwitness.pipeline.review.desk.now", lambda: "2031-11-04T10:00:00.000Z")
    ann.do("accept", PAIR_2)
    before = dict(desk.rows)
    made_of = ann.do("accept", PAIR, PAIR_2, PAIR_3).decisions
    assert [bool(decision.changes[0].after) for decision in made_of] == [True, False, True]
    assert len({decision.batch for decision in made_of}) == 1
    assert len(ann.undo().decisions) == 3
    assert desk.rows == before
    bob.do("accept", LOBSTER)
    ann.redo()
    assert [desk.row(name)["reviewStatus"] for name in (PAIR, PAIR_2, PAIR_3)] == ["accepted"] * 3


def test_one_batch_of_several_requests_is_one_stroke(desk: Desk, ann: Hands) -> None:
    ann.do("accept", PAIR, batch="same words")
    ann.do("accept", PAIR_2, batch="same words")
    assert len(ann.undo().decisions) == 2


def test_a_new_decision_ends_what_can_be_redone(desk: Desk, ann: Hands) -> None:
    ann.do("accept", PAIR)
    ann.undo()
    ann.do("accept", LOBSTER)
    with pytest.raises(RefusedError):
        ann.redo()


def test_everybody_undoes_their_own(desk: Desk, ann: Hands, bob: Hands) -> None:
    ann.do("accept", PAIR)
    bob.do("accept", LOBSTER)
    ann.undo()
    assert (desk.row(PAIR)["reviewStatus"], desk.row(LOBSTER)["reviewStatus"]) == ("draft", "accepted")
    with pytest.raises(RefusedError):
        Hands(desk, "Cleo").undo()


def test_nothing_is_taken_from_under_somebody_else(desk: Desk, ann: Hands, bob: Hands) -> None:
    ann.do("accept", PAIR)
    bob.do("change", PAIR, taxon_id="t8")
    with pytest.raises(ConflictError) as refused:
        ann.undo()
    assert refused.value.conflicts[0].by == "Bob"
    assert desk.row(PAIR)["taxonID"] == "t8"
    # Bob changes his mind: now it is Ann's again to take back.
    bob.undo()
    ann.undo()
    assert desk.row(PAIR) == desk.run.events[PAIR]


def test_nothing_comes_back_over_what_somebody_else_decided(desk: Desk, ann: Hands, bob: Hands) -> None:
    ann.do("change", PAIR, taxon_id="t8")
    ann.undo()
    bob.do("accept", PAIR)
    with pytest.raises(ConflictError):
        ann.redo()
    assert desk.row(PAIR)["reviewedBy"] == "Bob"
    bob.undo()
    with pytest.raises(ConflictError):
        # Bob looked at the draft, not at Ann's: even undone, it is not what she left.
        ann.redo()


def test_an_added_event_is_not_taken_from_under_somebody_else(desk: Desk, ann: Hands, bob: Hands) -> None:
    [name] = ann.do("add", words=WALL, taxon_id="t12").events
    bob.do("note", name, note="lovely")
    with pytest.raises(ConflictError):
        ann.undo()
    assert name in desk.rows


def test_an_event_that_was_taken_away_is_told_as_a_conflict(desk: Desk, ann: Hands, bob: Hands) -> None:
    [name] = ann.do("add", words=WALL, taxon_id="t12").events
    ann.undo()
    with pytest.raises(ConflictError) as refused:
        bob.do("accept", targets={name: 1})
    assert refused.value.conflicts[0].row is None
    with pytest.raises(RefusedError, match="no event"):
        bob.do("accept", targets={name: 2})


def test_an_undo_sent_twice_is_one(desk: Desk, ann: Hands) -> None:
    ann.do("accept", PAIR)
    ann.do("accept", LOBSTER)
    first = desk.undo("once", "Ann")
    assert desk.undo("once", "Ann").decisions == first.decisions
    assert (desk.row(PAIR)["reviewStatus"], desk.row(LOBSTER)["reviewStatus"]) == ("accepted", "draft")


def test_history_tells_what_undo_did(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR, columns={"individualCount": 4})
    [decision] = ann.undo().decisions
    [change] = decision.changes
    assert change.event_id == PAIR
    assert change.before is not None
    assert change.after is not None
    assert (change.before["individualCount"], change.after["individualCount"]) == (4, 1)
    assert change.after["reviewStatus"] == "draft"


def test_undo_of_a_merge_and_of_a_link(desk: Desk, ann: Hands) -> None:
    ann.do("link", LOBSTER, into=PAIR, relation="on")
    ann.do("merge", PAIR_2, into=PAIR)
    ann.undo()
    ann.undo()
    assert list(desk.rows.values()) == made.events()
    ann.redo()
    ann.redo()
    assert desk.own(PAIR_2)["mergedInto"] == PAIR
