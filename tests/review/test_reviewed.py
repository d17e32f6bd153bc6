"""Rows for publication: as people left them, signed, with links that lead somewhere."""

from __future__ import annotations

from pathlib import Path

from earwitness.pipeline.review import Desk
from earwitness.pipeline.review.reviewed import reviewed_rows
from earwitness.schemas import validate
from tests.review import made
from tests.review.made import LOBSTER, MARKER, MOO, PAIR, PAIR_2, PAIR_3, Hands

WALL = {"recordingID": "saddle_01", "utteranceStart": 11.0, "beginsAt": 10, "endsAt": 13}


def by_id(run: Path, database: str | None = None) -> dict[str, dict[str, object]]:
    rows = reviewed_rows(run, database)
    validate("event", rows)
    return {row["eventID"]: row for row in rows}


def test_a_run_without_decisions_is_as_drafted_and_no_database_appears(run: Path) -> None:
    assert reviewed_rows(run) == made.events()
    assert not (run / "review.sqlite").exists()


def test_decided_rows_are_signed_with_name_and_day(run: Path, desk: Desk, ann: Hands) -> None:
    day = ann.do("accept", PAIR).decisions[0].at[:10]
    ann.do("accept", MARKER)
    ann.do("reject", MOO, reason="unclear")
    rows = by_id(run)
    assert str(rows[PAIR]["identificationRemarks"]).endswith(f"checklist. Reviewed by Ann on {day}.")
    assert rows[MARKER]["identificationRemarks"] is None
    assert rows[MOO]["reviewStatus"] == "rejected"
    assert rows[LOBSTER] == desk.run.events[LOBSTER]
    # Not in the history: it would be signed again each time.
    assert "Reviewed by" not in desk.row(PAIR)["identificationRemarks"]


def test_added_rows_stand_in_their_place(run: Path, desk: Desk, ann: Hands) -> None:
    [name] = ann.do("add", words=WALL, taxon_id="t12").events
    names = list(by_id(run))
    assert names.index(name) in (names.index(PAIR) - 1, names.index(PAIR) + 1)
    assert [n.split(":")[0] for n in names] == sorted(n.split(":")[0] for n in names)


def test_links_follow_what_became_of_the_other_row(run: Path, desk: Desk, ann: Hands) -> None:
    ann.do("link", LOBSTER, into=PAIR_2, relation="on")
    ann.do("merge", PAIR_2, into=PAIR)
    ann.do("change", PAIR, taxon_id="t5")
    row = by_id(run)[LOBSTER]
    assert (row["associatedOccurrences"], row["associatedTaxa"]) == (f'"on":"{PAIR}"', '"on":"Paragorgia arborea"')
    ann.do("reject", PAIR, reason="unclear")
    row = by_id(run)[LOBSTER]
    assert (row["associatedOccurrences"], row["associatedTaxa"]) == (None, None)
    assert desk.row(LOBSTER)["associatedOccurrences"] == f'"on":"{PAIR_2}"'


def test_taxa_that_were_only_spoken_of_stay_told(run: Path, desk: Desk, ann: Hands) -> None:
    ann.do("change", LOBSTER, columns={"associatedTaxa": '"in":"Porifera"'})
    ann.do("link", LOBSTER, into=PAIR, relation="on")
    ann.do("change", PAIR, taxon_id="t8")
    assert by_id(run)[LOBSTER]["associatedTaxa"] == '"on":"Callogorgia" | "in":"Porifera"'


def test_rows_merged_in_a_row_lead_to_the_last(run: Path, desk: Desk, ann: Hands) -> None:
    ann.do("link", LOBSTER, into=PAIR_2, relation="on")
    ann.do("merge", PAIR_2, into="saddle_01:o00058250")
    ann.do("merge", "saddle_01:o00058250", into=PAIR)
    assert by_id(run)[LOBSTER]["associatedOccurrences"] == f'"on":"{PAIR}"'


def test_decisions_on_a_server_are_published_too(run: Path, database: str) -> None:
    desk = made.opened(run, database)
    Hands(desk, "Ann").do("change", PAIR_3, taxon_id="t5")
    desk.close()
    assert by_id(run, database)[PAIR_3]["scientificName"] == "Paragorgia arborea"
    assert by_id(run)[PAIR_3]["scientificName"] == "Paragorgia"
