"""What each decision does to an event."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy.exc import OperationalError

from earwitness.pipeline.review import ConflictError, Desk, RefusedError, Request
from earwitness.schemas import columns, validate
from tests.review import made
from tests.review.made import CALLOGORGIA, LOBSTER, MARKER, MOO, PAIR, PAIR_2, PAIR_3, Hands


def valid(desk: Desk) -> bool:
    validate("event", desk.rows.values())
    return True


def test_a_fresh_desk_shows_the_draft(desk: Desk) -> None:
    assert list(desk.rows.values()) == made.events()
    assert {desk.version(name) for name in desk.rows} == {0}


def test_accept_signs_the_row_and_nothing_else(desk: Desk, ann: Hands) -> None:
    outcome = ann.do("accept", PAIR)
    row = desk.row(PAIR)
    assert (row["reviewStatus"], row["reviewedBy"]) == ("accepted", "Ann")
    assert row["reviewedAt"] == outcome.decisions[0].at
    assert row["identificationVerificationStatus"] == "reviewed"
    changed = {name for name in columns("event") if row[name] != desk.run.events[PAIR][name]}
    assert changed == {"reviewStatus", "reviewedBy", "reviewedAt", "identificationVerificationStatus"}
    assert (desk.version(PAIR), desk.last, outcome.events) == (1, 1, (PAIR,))
    assert valid(desk)


def test_a_marker_is_accepted_without_a_verified_name(desk: Desk, ann: Hands) -> None:
    ann.do("accept", MARKER)
    assert desk.row(MARKER)["identificationVerificationStatus"] is None
    assert valid(desk)


def test_another_name_brings_all_that_belongs_to_it(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR, taxon_id="t8")
    row = desk.row(PAIR)
    assert row["reviewStatus"] == "changed"
    assert [
        row[name] for name in ("scientificName", "taxonID", "acceptedNameUsageID", "taxonRank", "vernacularName")
    ] == [
        "Callogorgia",
        "t8",
        "t8",
        "genus",
        None,
    ]
    assert row["previousIdentifications"] == "Paragorgia (machine draft, corrected in review)"
    # What the machine took it for can be chosen again; what was chosen is no alternative to itself.
    assert [(c["scientificName"], c["nameScore"]) for c in row["alternatives"]] == [("Paragorgia", 0.71)]
    assert row["nameScore"] == 1.0
    assert (row["certainty"], row["determinations"]) == (0.95, [])
    assert valid(desk)


def test_a_second_opinion_is_a_previous_identification_too(desk: Desk, ann: Hands, bob: Hands) -> None:
    ann.do("change", PAIR, taxon_id="t8")
    bob.do("change", PAIR, taxon_id="t5")
    told = desk.row(PAIR)["previousIdentifications"]
    assert told == "Paragorgia (machine draft, corrected in review) | Callogorgia (Ann, corrected in review)"
    assert desk.row(PAIR)["reviewedBy"] == "Bob"


def test_a_synonym_stands_for_its_accepted_name(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR, taxon_id="t6")
    assert (desk.row(PAIR)["scientificName"], desk.row(PAIR)["taxonID"]) == ("Paragorgia arborea", "t5")


def test_choosing_what_stands_accepts_it(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR, taxon_id="t4")
    assert desk.row(PAIR)["reviewStatus"] == "accepted"
    assert desk.row(PAIR)["previousIdentifications"] is None


def test_going_back_to_what_was_drafted_is_no_plain_acceptance(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR, taxon_id="t8")
    ann.do("change", PAIR, taxon_id="t4")
    row = desk.row(PAIR)
    assert row["scientificName"] == "Paragorgia"
    assert row["reviewStatus"] == "changed"  # its previous identifications tell of the detour
    assert "Callogorgia (Ann" in row["previousIdentifications"]


def test_a_rank_above_is_a_name_of_its_own(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR, columns={"taxonRank": "family"})
    assert (desk.row(PAIR)["scientificName"], desk.row(PAIR)["taxonRank"]) == ("Coralliidae", "family")
    with pytest.raises(RefusedError, match="no 'tribe' above it; one of family, phylum, kingdom"):
        ann.do("change", PAIR, columns={"taxonRank": "tribe"})


@pytest.mark.parametrize(
    ("sign", "taxon", "stays"),
    [("sp.", "t5", None), ("cf.", "t5", "cf."), ("sp.", "t8", "sp."), ("gen. indet.", "t5", None)],
)
def test_a_sign_that_tells_how_far_a_name_goes_leaves_with_its_rank(
    desk: Desk, ann: Hands, sign: str, taxon: str, stays: str | None
) -> None:
    ann.do("change", PAIR, columns={"identificationQualifier": sign})
    ann.do("change", PAIR, taxon_id=taxon)
    assert desk.row(PAIR)["identificationQualifier"] == stays


@pytest.mark.parametrize(
    ("wanted", "stands"),
    [
        ({"individualCount": 3}, {"individualCount": 3, "organismQuantity": None}),
        ({"individualCount": 3.0}, {"individualCount": 3}),
        (
            {"organismQuantity": "20"},
            {"individualCount": None, "organismQuantity": "20", "organismQuantityType": "individuals, approximate"},
        ),
        ({"certaintyTerm": "possible"}, {"certainty": 0.375, "certaintyTerm": "possible"}),
        ({"certainty": 0.6}, {"certainty": 0.6, "certaintyTerm": "probable"}),
        ({"behavior": "  walking \n slowly "}, {"behavior": "walking slowly"}),
        ({"sex": " "}, {"sex": None}),
        ({"vitality": "dead", "sizeValue": 4.5, "sizeUnit": "cm"}, {"vitality": "dead", "sizeValue": 4.5}),
    ],
)
def test_values_that_say_one_thing_in_two_ways_change_together(
    desk: Desk, ann: Hands, wanted: dict[str, Any], stands: dict[str, Any]
) -> None:
    ann.do("change", LOBSTER, columns=wanted)
    row = desk.row(LOBSTER)
    assert {name: row[name] for name in stands} == stands
    assert valid(desk)


@pytest.mark.parametrize(
    ("told", "reason"),
    [
        ({"columns": {"eventID": "x"}}, "not a column to set"),
        ({"columns": {"reviewedBy": "Bob"}}, "not a column to set"),
        ({"columns": {"decimalLatitude": 1.0}}, "not a column to set"),
        ({"columns": {"individualCount": -1}}, "individualCount"),
        ({"columns": {"individualCount": "three"}}, "individualCount"),
        ({"columns": {"individualCount": True}}, "cannot be True"),
        ({"columns": {"individualCount": 10**400}}, "cannot be"),
        ({"columns": {"sizeValue": float("nan")}}, "cannot be nan"),
        ({"columns": {"sizeValue": float("inf")}}, "cannot be inf"),
        ({"columns": {"vitality": "undead"}}, "vitality"),
        ({"columns": {"certaintyTerm": "sure"}}, "certaintyTerm"),
        ({"columns": {"certainty": 1.5}}, "certainty"),
        ({"columns": {"certaintyTerm": None}}, "certaintyTerm"),
        ({"columns": {"behavior": "x" * 3000}}, "too many"),
        ({"columns": {"behavior": ["x"]}}, "behavior"),
        ({"columns": {"startTime": 99.0}}, "endTime is before"),
        ({"columns": {"startTime": None}}, "startTime"),
        ({"taxon_id": made.LOST}, "no taxon"),
        ({"taxon_id": "\ud800"}, "no taxon"),
        ({"columns": {"taxonRank": 7}}, "no '7'"),
    ],
)
def test_what_cannot_stand_is_refused_and_nothing_is_written(
    desk: Desk, ann: Hands, told: dict[str, Any], reason: str
) -> None:
    with pytest.raises(RefusedError, match=reason):
        ann.do("change", LOBSTER, **told)
    assert desk.last == 0
    assert list(desk.rows.values()) == made.events()


def test_a_marker_has_no_name(desk: Desk, ann: Hands) -> None:
    with pytest.raises(RefusedError, match="has no name"):
        ann.do("change", MARKER, taxon_id="t5")


def test_a_rejection_has_a_reason(desk: Desk, ann: Hands) -> None:
    ann.do("reject", LOBSTER, reason="not-seen", note="in the first minute only")
    assert desk.row(LOBSTER)["reviewStatus"] == "rejected"
    assert desk.own(LOBSTER)["rejectReason"] == "not-seen"
    assert desk.own(LOBSTER)["reviewNote"] == "in the first minute only"
    with pytest.raises(RefusedError, match="reason"):
        ann.do("reject", PAIR, reason="dull")
    ann.do("accept", LOBSTER)
    assert (desk.row(LOBSTER)["reviewStatus"], desk.own(LOBSTER)["rejectReason"]) == ("accepted", None)
    assert valid(desk)


def test_a_question_leaves_the_row_a_draft_until_it_is_answered(desk: Desk, ann: Hands, bob: Hands) -> None:
    ann.do("ask", PAIR, note="is that bark?")
    assert desk.own(PAIR)["askNote"] == "is that bark?"
    assert desk.row(PAIR) == desk.run.events[PAIR]
    assert desk.counts["ask"] == 1
    bob.do("change", PAIR, columns={"individualCount": 2})
    assert desk.own(PAIR)["askNote"] == "is that bark?"
    bob.do("accept", PAIR)
    assert desk.own(PAIR)["askNote"] is None
    ann.do("ask", PAIR)
    assert desk.own(PAIR)["askNote"] == ""
    ann.do("ask", PAIR, columns={"askNote": None})
    assert desk.own(PAIR)["askNote"] is None


def test_a_note_replaces_the_one_before(desk: Desk, ann: Hands) -> None:
    ann.do("note", PAIR, note="see the close-up")
    ann.do("note", PAIR, note="see <b>the</b> sample\x00\n=1+1")
    assert desk.own(PAIR)["reviewNote"] == "see <b>the</b> sample =1+1"
    assert desk.row(PAIR) == desk.run.events[PAIR]


def test_a_reopened_row_is_the_draft_again_with_its_notes(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR, taxon_id="t8", note="bark seen")
    ann.do("reject", PAIR, reason="other")
    ann.do("reopen", PAIR)
    assert desk.row(PAIR) == desk.run.events[PAIR]
    assert desk.own(PAIR)["reviewNote"] == "bark seen"
    assert desk.own(PAIR)["rejectReason"] is None


def test_several_events_at_one_stroke(desk: Desk, ann: Hands) -> None:
    outcome = ann.do("change", PAIR, PAIR_2, PAIR_3, taxon_id="t5", uid="stroke")
    assert [decision.batch for decision in outcome.decisions] == ["stroke"] * 3
    assert [decision.uid for decision in outcome.decisions] == ["stroke", "stroke#2", "stroke#3"]
    assert {desk.row(name)["taxonID"] for name in (PAIR, PAIR_2, PAIR_3)} == {"t5"}
    # Sent again: the same answer, and nothing new.
    again = ann.do("change", PAIR, PAIR_2, PAIR_3, taxon_id="t5", uid="stroke", targets={PAIR: 0, PAIR_2: 0, PAIR_3: 0})
    assert again.decisions == outcome.decisions
    assert desk.last == 3


def test_one_stroke_is_all_or_nothing(desk: Desk, ann: Hands) -> None:
    with pytest.raises(RefusedError):
        ann.do("change", PAIR, MARKER, taxon_id="t5")
    assert desk.last == 0


def test_a_decision_on_what_has_changed_is_a_conflict_that_tells_all(desk: Desk, ann: Hands, bob: Hands) -> None:
    bob.do("change", PAIR, taxon_id="t8")
    with pytest.raises(ConflictError) as refused:
        ann.do("accept", targets={LOBSTER: 0, PAIR: 0})
    [conflict] = refused.value.conflicts
    assert (conflict.event_id, conflict.seen, conflict.stands, conflict.by) == (PAIR, 0, 1, "Bob")
    assert conflict.row == desk.row(PAIR)
    assert conflict.decision == desk.history[1]
    assert desk.row(LOBSTER)["reviewStatus"] == "draft"
    ann.do("accept", targets={LOBSTER: 0, PAIR: 1})
    assert desk.row(PAIR)["scientificName"] == "Callogorgia"


@pytest.mark.parametrize(
    ("request_", "kind"),
    [
        (Request("u", "accept", {"no such event": 0}), "unknown"),
        (Request("u", "accept", {"no such event": 7}), "unknown"),
        (Request("u", "accept", {}), "invalid"),
        (Request("u", "undo", {MOO: 0}), "invalid"),
        (Request("", "accept", {MOO: 0}), "invalid"),
        (Request("u\n", "accept", {MOO: 0}), "invalid"),
        (Request("u" * 101, "accept", {MOO: 0}), "invalid"),
        (Request("u", "accept", {MOO: 0}, batch="\ud800"), "invalid"),
    ],
)
def test_requests_that_mean_nothing_are_refused(desk: Desk, request_: Request, kind: str) -> None:
    with pytest.raises(RefusedError) as refused:
        desk.decide(request_, "Ann")
    assert refused.value.kind == kind
    assert desk.last == 0


def test_who_decides_has_a_name(desk: Desk) -> None:
    with pytest.raises(RefusedError, match="reviewer"):
        desk.decide(Request("u", "accept", {MOO: 0}), "")


def test_a_decision_bears_version_and_draft(desk: Desk, ann: Hands) -> None:
    [decision] = ann.do("accept", CALLOGORGIA).decisions
    assert decision.draft == desk.run.sha256
    assert decision.software.count(".") == 2
    assert decision.at.endswith("Z")
    assert len(decision.at) == len("2031-06-14T08:12:00.000Z")


def test_a_database_that_fails_confirms_nothing(desk: Desk, ann: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(_: object) -> None:
        raise OperationalError("COMMIT", None, OSError("the disk is full"))

    with monkeypatch.context() as patch:
        patch.setattr(desk.store, "append", fail)
        with pytest.raises(RefusedError, match="the disk is full") as refused:
            ann.do("accept", PAIR, uid="again")
    assert refused.value.kind == "closed"
    assert desk.row(PAIR)["reviewStatus"] == "draft"
    ann.do("accept", PAIR, uid="again")
    assert desk.row(PAIR)["reviewStatus"] == "accepted"
