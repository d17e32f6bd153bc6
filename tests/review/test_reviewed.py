"""Rows for publication: as people left them, signed, with links that lead somewhere."""

from __future__ import annotations

import time
from contextlib import closing
from pathlib import Path

import pytest

from earwitness.pipeline.review import Desk
from earwitness.pipeline.review.reviewed import reviewed_rows
from earwitness.pipeline.table import read_run_files, write_run
from earwitness.pipeline.table.remarks import unsigned
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


def taken_back(run: Path, to: Path, **told: object) -> Path:
    """The run as published, taken back as a run of its own; with what an editor changed in all its rows."""
    files = read_run_files(run)
    rows = [row | told for row in reviewed_rows(run)]
    write_run(to, rows, files.mentions, [], files.summary, files.utterances)
    return to


def remarks(run: Path) -> str:
    return str(by_id(run)[PAIR]["identificationRemarks"])


def test_a_run_that_was_taken_back_and_reviewed_again_is_signed_once(run: Path, desk: Desk, ann: Hands) -> None:
    ann.do("accept", PAIR)
    ann.do("accept", LOBSTER)
    once = remarks(run)
    second = taken_back(run, run.parent / "second")
    with closing(made.opened(second)) as again:
        # Somebody decides on another row, and this one stays Ann's.
        Hands(again, "Reviewed by Bo R. Reader on 2031-01-01.").do("accept", LOBSTER)
        assert remarks(second) == once
        Hands(again, "Bob").do("accept", PAIR)
    signed = remarks(second)
    assert signed.count("Reviewed by") == 1
    assert "checklist. Reviewed by Bob on " in signed
    third = taken_back(second, run.parent / "third", reviewedBy="C. Clerk")
    with closing(made.opened(third)) as again:
        Hands(again, "Dee").do("accept", PAIR)
        Hands(again, "Dee").do("accept", LOBSTER)
    assert remarks(third).count("Reviewed by") == 1
    assert str(by_id(third)[LOBSTER]["identificationRemarks"]).count("Reviewed by") == 1


def test_what_people_wrote_of_a_review_stays_but_at_the_end(run: Path, desk: Desk, ann: Hands) -> None:
    written = "Reviewed by nobody on 2030-01-01. See plate 4, Reviewed by us on a Monday."
    ann.do("change", PAIR, columns={"identificationRemarks": written})
    assert remarks(run).startswith(f"{written} Reviewed by Ann on ")
    ann.do("change", PAIR, columns={"identificationRemarks": "Reviewed by X on 2030-01-01."})
    assert remarks(run).startswith("Reviewed by Ann on ")


@pytest.mark.parametrize(
    "piece", ["Reviewed by ", " Reviewed by a on 2030-01-01.", " on 2030-01-01.", " Reviewed by R"]
)
def test_long_remarks_are_signed_in_no_time(piece: str) -> None:
    began = time.perf_counter()
    assert unsigned(f"x{piece * 20_000}!") == f"x{piece * 20_000}!"
    assert unsigned("x" + " Reviewed by a on 2030-01-01." * 2000) == "x"
    assert time.perf_counter() - began < 2


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
