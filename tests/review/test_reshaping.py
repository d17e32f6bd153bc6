"""New events from words, one event made several, several made one, and events linked."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline.review import ConflictError, Desk, RefusedError
from earwitness.pipeline.review.reshaping import inverses
from earwitness.pipeline.words.terms import RELATIONS
from earwitness.schemas import validate
from tests.review import made
from tests.review.made import CALLOGORGIA, LOBSTER, MARKER, MOO, PAIR, PAIR_2, Hands

WALL = {"recordingID": "saddle_01", "utteranceStart": 11.0, "beginsAt": 10, "endsAt": 13}
"""The word "big" of the first utterance."""


def test_a_new_sighting_from_words(desk: Desk, ann: Hands) -> None:
    outcome = ann.do("add", words=WALL, taxon_id="t12", columns={"individualCount": 2, "certaintyTerm": "probable"})
    [name] = outcome.events
    row = desk.row(name)
    assert (row["scientificName"], row["family"], row["individualCount"]) == ("Munida quadrispina", "Munididae", 2)
    assert (row["verbatimIdentification"], row["speaker"]) == ("big", "Maud")
    assert (row["startTime"], row["endTime"]) == (12.0, 12.5)
    assert row["transcriptText"] == "there's a big pair of gorgia on the wall"
    assert (row["reviewStatus"], row["reviewedBy"], row["certaintyTerm"]) == ("changed", "Ann", "probable")
    assert name not in desk.run.events
    assert desk.drafted(name) is None
    validate("event", desk.rows.values())


def test_the_same_request_gives_the_same_new_event(desk: Desk, ann: Hands) -> None:
    first = ann.do("add", words=WALL, taxon_id="t12", uid="once")
    assert ann.do("add", words=WALL, taxon_id="t12", uid="once").events == first.events
    assert len(desk.rows) == len(made.events()) + 1


def test_a_new_marker_at_a_time(desk: Desk, ann: Hands) -> None:
    wanted = {"recordKind": "marker", "markerType": "sample", "startTime": 44.5, "sampleContainer": "bio box"}
    [name] = ann.do("add", words={"recordingID": "saddle_01"}, columns=wanted).events
    assert (desk.row(name)["markerType"], desk.row(name)["startTime"], desk.row(name)["endTime"]) == (
        "sample",
        44.5,
        44.5,
    )
    validate("event", [desk.row(name)])


@pytest.mark.parametrize(
    ("told", "reason"),
    [
        ({"words": WALL}, "needs a name"),
        ({"words": WALL, "taxon_id": made.LOST}, "no taxon"),
        ({"words": WALL | {"recordingID": "saddle_09"}, "taxon_id": "t4"}, "no recording"),
        ({"words": WALL | {"utteranceStart": 11.7}, "taxon_id": "t4"}, "no such words"),
        ({"words": WALL | {"utteranceStart": float("nan")}, "taxon_id": "t4"}, "utteranceStart"),
        ({"words": WALL | {"endsAt": 4000}, "taxon_id": "t4"}, "no such words"),
        ({"words": WALL | {"beginsAt": 13}, "taxon_id": "t4"}, "no such words"),
        ({"taxon_id": "t4"}, "no recording"),
        ({"columns": {"recordingID": ["x"]}, "taxon_id": "t4"}, "no recording"),
        ({"words": {"recordingID": "saddle_01"}, "taxon_id": "t4"}, "startTime"),
        ({"words": {"recordingID": "saddle_01"}, "columns": {"startTime": 1e300}, "taxon_id": "t4"}, "startTime"),
        ({"words": WALL, "columns": {"recordKind": "ghost"}}, "recordKind"),
        ({"words": WALL, "columns": {"recordKind": ["marker"]}}, "recordKind"),
        ({"words": WALL, "columns": {"recordKind": "marker"}}, "markerType"),
    ],
)
def test_a_new_event_that_cannot_be_is_refused(desk: Desk, ann: Hands, told: dict[str, Any], reason: str) -> None:
    with pytest.raises(RefusedError, match=reason):
        ann.do("add", **told)
    assert desk.last == 0


def test_an_added_event_can_be_decided_on_like_any(desk: Desk, ann: Hands, bob: Hands) -> None:
    [name] = ann.do("add", words=WALL, taxon_id="t12").events
    bob.do("reject", name, reason="unclear")
    assert desk.row(name)["reviewStatus"] == "rejected"
    bob.do("reopen", name)
    assert (desk.row(name)["reviewStatus"], desk.row(name)["reviewedBy"]) == ("changed", "Bob")
    bob.do("change", name, taxon_id="t11")
    assert desk.row(name)["previousIdentifications"] == "Munida quadrispina (Bob, corrected in review)"


def test_a_split_keeps_the_first_part_on_the_event(desk: Desk, ann: Hands) -> None:
    parts = [{"individualCount": 1}, {"taxonID": "t8", "set": {"individualCount": 4}}, {"taxonID": "t12"}]
    outcome = ann.do("split", PAIR, parts=parts)
    [decision] = outcome.decisions
    assert decision.action == "split"
    rows = [desk.row(name) for name in outcome.events]
    assert [row["taxonID"] for row in rows] == ["t4", "t8", "t12"]
    assert [row["individualCount"] for row in rows] == [1, 4, 1]
    assert len({row["eventID"] for row in rows}) == 3
    assert {row["reviewStatus"] for row in rows} == {"changed"}
    assert {row["startTime"] for row in rows} == {12.0}
    validate("event", desk.rows.values())
    ann.undo()
    assert list(desk.rows.values()) == made.events()


@pytest.mark.parametrize("parts", [[], [{}], [{}, {"taxonID": 7}], [{}, {"set": "x"}], [{}, {"eventID": "x"}]])
def test_a_split_that_is_none_is_refused(desk: Desk, ann: Hands, parts: list[Any]) -> None:
    with pytest.raises(RefusedError):
        ann.do("split", PAIR, parts=parts)
    assert desk.last == 0


def test_a_merge_takes_in_what_was_not_known_and_leaves_a_trace(desk: Desk, ann: Hands) -> None:
    ann.do("change", PAIR_2, columns={"behavior": "feeding", "sizeValue": 30, "sizeUnit": "cm"})
    outcome = ann.do("merge", PAIR_2, PAIR, into=PAIR)
    [decision] = outcome.decisions
    stays, gone = desk.row(PAIR), desk.row(PAIR_2)
    assert (gone["reviewStatus"], desk.own(PAIR_2)["mergedInto"], desk.own(PAIR_2)["rejectReason"]) == (
        "rejected",
        PAIR,
        "merged",
    )
    assert (stays["reviewStatus"], stays["behavior"], stays["sizeValue"], stays["sizeUnit"]) == (
        "changed",
        "feeding",
        30,
        "cm",
    )
    assert stays["transcriptText"] == "there's a big pair of gorgia on the wall | another pair of gorgia"
    assert (stays["startTime"], stays["individualCount"]) == (12.0, 1)
    assert decision.changes[0].event_id == PAIR
    validate("event", desk.rows.values())
    ann.undo()
    assert desk.own(PAIR_2)["mergedInto"] is None
    assert desk.row(PAIR) == desk.run.events[PAIR]


@pytest.mark.parametrize(
    ("into", "reason"),
    [(None, "needs the event"), (PAIR_2, "into itself"), (MARKER, "two kinds"), (MOO, "recordings"), ("x", "no event")],
)
def test_a_merge_that_is_none_is_refused(desk: Desk, ann: Hands, into: str | None, reason: str) -> None:
    with pytest.raises(RefusedError, match=reason):
        ann.do("merge", PAIR_2, into=into)
    assert desk.last == 0


def test_a_rejected_event_takes_in_nothing(desk: Desk, ann: Hands) -> None:
    ann.do("reject", PAIR, reason="unclear")
    with pytest.raises(RefusedError, match="reopen it first"):
        ann.do("merge", PAIR_2, into=PAIR)


def test_a_link_is_told_on_both_sides_and_decides_neither(desk: Desk, ann: Hands) -> None:
    ann.do("link", LOBSTER, into=PAIR, relation="on")
    one, other = desk.row(LOBSTER), desk.row(PAIR)
    assert one["associatedOccurrences"] == f'"on":"{PAIR}"'
    assert one["associatedTaxa"] == '"on":"Paragorgia"'
    assert other["associatedOccurrences"] == f'"host of":"{LOBSTER}"'
    assert other["associatedTaxa"] == '"host of":"Munida"'
    assert {one["reviewStatus"], other["reviewStatus"]} == {"draft"}
    ann.do("accept", LOBSTER)
    assert desk.row(LOBSTER)["reviewStatus"] == "changed"
    ann.do("reopen", LOBSTER)
    assert desk.row(LOBSTER)["associatedOccurrences"] == f'"on":"{PAIR}"'
    validate("event", desk.rows.values())


def test_every_relation_has_an_inverse_and_comes_back() -> None:
    told = inverses()
    assert set(told) == set(RELATIONS)
    assert {told[told[kind]] for kind in RELATIONS} <= set(RELATIONS)
    assert (told["eating"], told["eaten by"], told["on"], told["under"], told["with"]) == (
        "eaten by",
        "eating",
        "host of",
        "over",
        "with",
    )


@pytest.mark.parametrize(
    ("into", "relation", "reason"),
    [
        (PAIR, "beside", "relation"),
        (PAIR, None, "relation"),
        (LOBSTER, "on", "another event"),
        (MARKER, "on", "only animals"),
        (MOO, "on", "only animals"),
    ],
)
def test_a_link_that_is_none_is_refused(desk: Desk, ann: Hands, into: str, relation: str | None, reason: str) -> None:
    with pytest.raises(RefusedError, match=reason):
        ann.do("link", LOBSTER, into=into, relation=relation)


def test_the_other_event_of_a_link_is_checked_too(desk: Desk, ann: Hands, bob: Hands) -> None:
    bob.do("accept", CALLOGORGIA)
    with pytest.raises(ConflictError):
        ann.do("link", targets={LOBSTER: 0, CALLOGORGIA: 0}, into=CALLOGORGIA, relation="on")


def test_dates_follow_the_time_of_a_moved_event(tmp_path: Path) -> None:
    transcripts = [t | {"start": "2031-06-14T08:12:00Z"} for t in made.summary(tmp_path / "taxa.csv")["transcripts"]]
    desk = made.opened(made.write(tmp_path / "run", transcripts=transcripts))
    ann = Hands(desk, "Ann")
    ann.do("change", PAIR, columns={"startTime": 13.5, "endTime": 16})
    assert desk.row(PAIR)["eventDate"] == "2031-06-14T08:12:13.500Z/2031-06-14T08:12:16.000Z"
    [name] = ann.do("add", words=WALL, taxon_id="t4").events
    assert desk.row(name)["eventDate"] == "2031-06-14T08:12:12.000Z/2031-06-14T08:12:12.500Z"
    desk.close()


LOG = """\
time,latitude,longitude,depth
2031-06-14T08:12:00Z,-16.5,179.9,1200
2031-06-14T08:12:30Z,-16.6,179.8,1230
"""
DESCRIPTION = """\
id = "saddle_01"
start = "2031-06-14T08:12:00Z"
[[logs]]
file = "log.csv"
[logs.columns]
time = "time"
latitude = "latitude"
longitude = "longitude"
depth = "depth"
"""


def test_places_are_looked_up_again_or_taken_away(tmp_path: Path) -> None:
    (tmp_path / "log.csv").write_text(LOG, encoding="utf-8")
    described = tmp_path / "saddle_01.toml"
    described.write_text(DESCRIPTION, encoding="utf-8")
    recordings = [
        {"path": str(described), "sha256": "0" * 64, "id": "saddle_01", "recordingIDs": ["saddle_01"], "logs": []}
    ]
    rows = [
        row | {"decimalLatitude": 1.0, "minimumDepthInMeters": 7.0, "placeFlags": []} if row["eventID"] == PAIR else row
        for row in made.events()
    ]
    run = made.write(tmp_path / "run", rows, recordings=recordings)
    desk = made.opened(run)
    Hands(desk, "Ann").do("change", PAIR, columns={"startTime": 15, "endTime": 15})
    row = desk.row(PAIR)
    assert (row["minimumDepthInMeters"], row["decimalLatitude"]) == (pytest.approx(1215), pytest.approx(-16.55))
    desk.close()
    described.unlink()
    desk = made.opened(run)
    Hands(desk, "Ann").do("change", PAIR, columns={"startTime": 16, "endTime": 16})
    row = desk.row(PAIR)
    assert (row["minimumDepthInMeters"], row["decimalLatitude"], row["eventDate"]) == (None, None, None)
    assert row["placeFlags"] == ["moved in review, not placed again"]
    validate("event", [row])
    desk.close()
