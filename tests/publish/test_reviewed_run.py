"""A run that people decided on at the review desk is published with their decisions."""

from __future__ import annotations

import csv
import hashlib
import json
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from earwitness.pipeline.publish import CSV, publish, read_run
from earwitness.pipeline.publish.take_back import compare, take_in
from earwitness.pipeline.table import DATABASE
from earwitness.schemas import InputError
from tests.conftest import Told
from tests.review import made


@pytest.fixture
def run(tmp_path: Path) -> Path:
    return made.write(tmp_path / "run")


def decide(run: Path, database: str | None = None) -> None:
    """One row accepted, one named otherwise, one rejected."""
    with closing(made.opened(run, database)) as desk:
        ann = made.Hands(desk, "Ann")
        ann.do("accept", made.PAIR)
        ann.do("change", made.PAIR_2, taxon_id="t8")
        ann.do("reject", made.LOBSTER, reason="not-seen")


def states(run: Path, database: str | None = None) -> dict[str, str]:
    return {row["eventID"]: row["reviewStatus"] for row in read_run(run, database).events}


def test_a_run_without_decisions_is_as_drafted(run: Path) -> None:
    drafted = read_run(run)
    assert drafted.sha256 == hashlib.sha256((run / "events.jsonl").read_bytes()).hexdigest()
    made.opened(run).close()
    assert (run / DATABASE).exists()
    assert read_run(run) == drafted


def test_decisions_are_in_the_rows(run: Path) -> None:
    drafted = read_run(run).sha256
    decide(run)
    found = read_run(run)
    told = {row["eventID"]: row for row in found.events}
    assert [told[name]["reviewStatus"] for name in (made.PAIR, made.PAIR_2, made.LOBSTER)] == [
        "accepted",
        "changed",
        "rejected",
    ]
    assert told[made.PAIR_2]["scientificName"] == "Callogorgia"
    assert "Reviewed by Ann on " in told[made.PAIR]["identificationRemarks"]
    assert found.sha256 != drafted
    assert read_run(run).sha256 == found.sha256


READS = """
import sys
from earwitness.pipeline.publish import read_run
found = read_run(sys.argv[1])
print(len(found.events), "sqlalchemy" in sys.modules)
"""


def test_only_a_run_with_decisions_needs_what_reads_a_database(run: Path) -> None:
    def told() -> str:
        return subprocess.run([sys.executable, "-c", READS, run], capture_output=True, text=True, check=True).stdout

    assert told() == "9 False\n"
    decide(run)
    assert told() == "9 True\n"


@pytest.mark.parametrize(
    ("file", "text", "reason"),
    [
        ("events.jsonl", "", "no events: nothing to publish"),
        ("events.jsonl", '{"startTime": 1}', r"events\.jsonl:1: no event row"),
        ("run.json", "{", r"run\.json: cannot be read"),
        ("run.json", '{"transcripts": []}', r"run\.json: is no run's summary"),
        ("mentions.jsonl", "{]", r"mentions\.jsonl:1: not JSON"),
        ("utterances.jsonl", "[]", r"utterances\.jsonl:1: not a JSON object"),
    ],
)
def test_a_folder_that_cannot_be_published_is_told_with_file_and_row(
    run: Path, file: str, text: str, reason: str
) -> None:
    (run / file).write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=reason):
        read_run(run)


def test_a_row_that_a_decision_left_odd_is_told_with_the_decisions_file(run: Path) -> None:
    """As one may be that an older version wrote."""
    decide(run)
    with closing(sqlite3.connect(run / DATABASE)) as base, base:
        [(cells,)] = base.execute("SELECT changes FROM desk_decisions WHERE number = 1")
        odd = json.loads(cells)
        odd[0][2]["reviewStatus"] = "waved through"
        base.execute("UPDATE desk_decisions SET changes = ? WHERE number = 1", [json.dumps(odd)])
    with pytest.raises(InputError, match=r"review\.sqlite: no event row: .*waved through.*draft the recording again"):
        read_run(run)


def test_a_teams_database_is_read_where_it_is(run: Path, tmp_path: Path) -> None:
    elsewhere = str(tmp_path / "team.sqlite")
    decide(run, elsewhere)
    assert set(states(run).values()) == {"draft"}
    assert set(states(run, elsewhere).values()) == {"draft", "accepted", "changed", "rejected"}


def test_a_database_that_cannot_be_had_is_told(run: Path) -> None:
    with pytest.raises(InputError, match="--database"):
        read_run(run, "oracle://nowhere/none")


def test_what_people_rejected_stays_behind(run: Path, tmp_path: Path, here: Callable[..., Told]) -> None:
    decide(run)
    code, printed, _ = here("publish", run, "--as", "csv", "--to", tmp_path / "out")
    assert code == 0
    assert "8 rows, 2 of them reviewed by a person." in printed
    with (tmp_path / "out" / "events.csv").open(encoding="utf-8-sig", newline="") as lines:
        rows = {row["eventID"]: row for row in csv.DictReader(lines)}
    assert made.LOBSTER not in rows
    assert rows[made.PAIR_2]["reviewedBy"] == "Ann"


def test_an_export_is_compared_with_the_decisions_it_was_made_of(run: Path, tmp_path: Path) -> None:
    decide(run)
    issue = publish(run, [CSV], tmp_path / "out")
    [file] = issue.files
    told = compare(run, file)
    assert not told.differences
    rows = take_in(told, tmp_path / "taken", "Bob", "2031-11-04T10:00:00Z")
    assert {row["eventID"]: row["reviewStatus"] for row in rows} == states(run)
    with closing(made.opened(run)) as desk:
        made.Hands(desk, "Ann").do("accept", made.MOO)
    with pytest.raises(InputError, match="another state of the run"):
        compare(run, file)


def test_who_signed_before_an_edit_signs_no_longer(run: Path, tmp_path: Path) -> None:
    decide(run)
    [file] = publish(run, [CSV], tmp_path / "out").files
    before = {row["eventID"]: str(row["identificationRemarks"]) for row in read_run(run).events}
    signed = [name for name, remarks in before.items() if "Reviewed by Ann on " in remarks]
    assert made.PAIR in signed
    text = file.read_text("utf-8-sig")
    with file.open(encoding="utf-8-sig", newline="") as lines:
        table = list(csv.DictReader(lines))
    [edited] = [row for row in table if row["eventID"] == made.PAIR]
    edited["individualCount"] = "7"
    with file.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, text.splitlines()[0].split(","))
        writer.writeheader()
        writer.writerows(table)
    after = take_in(compare(run, file), tmp_path / "taken", "Bob", "2031-11-04T10:00:00Z")
    remarks = {row["eventID"]: str(row["identificationRemarks"]) for row in after}
    assert remarks.pop(made.PAIR).endswith(" Reviewed by Bob on 2031-11-04.")
    assert "Ann" not in {row["eventID"]: row for row in after}[made.PAIR]["identificationRemarks"]
    assert remarks == {name: told for name, told in before.items() if name != made.PAIR}
