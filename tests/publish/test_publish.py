"""Publishing as a whole: which rows go out, under which options; all files or none; what is refused."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline.publish import FORMATS, MANIFEST, Edition, Options, Publisher, make_edition, publish, read_run
from earwitness.pipeline.publish.archive import DARWIN_CORE_ARCHIVE
from earwitness.pipeline.publish.audiovisual import AUDIOVISUAL_CORE
from earwitness.pipeline.publish.geojson import GEOJSON
from earwitness.pipeline.publish.spreadsheets import CSV, XLSX
from earwitness.pipeline.publish.statements import row_statement, verification_status
from earwitness.schemas import InputError, validate
from tests.publish import made


def ids(edition: Edition) -> list[str]:
    return [row["eventID"] for row in edition.rows]


def test_rejected_rows_stay_behind(run: Path) -> None:
    edition = make_edition(read_run(run), Options())
    assert len(edition.rows) == 7
    assert "kettle_01:o00060000" not in ids(edition)
    assert edition.left_out == {"rejected": 1}


def test_only_reviewed_rows(run: Path) -> None:
    edition = make_edition(read_run(run), Options(reviewed_only=True))
    assert ids(edition) == ["kettle_01:o00040000", "kettle_02:o03700000"]
    assert edition.left_out == {"rejected": 1, "not reviewed": 5}


def test_a_least_certainty_asks_of_animals_alone(run: Path) -> None:
    edition = make_edition(read_run(run), Options(least_certainty=0.5))
    assert "kettle_01:o00040000" not in ids(edition)
    assert {row["recordKind"] for row in edition.rows} == {"occurrence", "marker", "measurement", "substrate"}
    assert edition.left_out == {"rejected": 1, "less certain": 1}
    # A relation to a row that stayed behind goes with it.
    assert edition.rows[1]["associatedOccurrences"] is None


def test_statuses_present_or_detected(run: Path) -> None:
    for words, told in (("present", "present"), ("detected", "detected")):
        edition = make_edition(read_run(run), Options(status_words=words))  # type: ignore[arg-type]
        assert {row["occurrenceStatus"] for row in edition.rows} == {told, None}


def test_every_row_of_every_edition_still_keeps_the_contract(run: Path) -> None:
    for options in (Options(), Options(grid_degrees=1.0, status_words="detected"), Options(reviewed_only=True)):
        validate("event", make_edition(read_run(run), options).rows)


def test_standing_in_words() -> None:
    drafted, accepted = made.rows()[1], made.rows()[2]
    assert row_statement(drafted) == "machine draft from spoken commentary, not reviewed by a person"
    assert row_statement(accepted) == "accepted by Rita Reader, drafted by machine from spoken commentary"
    assert verification_status(drafted | {"identificationVerificationStatus": "verified"}) == "unverified"
    assert verification_status(accepted) == "reviewed by a person"
    assert verification_status(accepted | {"identificationVerificationStatus": "verified"}) == "verified"


def test_the_manifest_tells_what_was_exported(run: Path, metadata: Path, tmp_path: Path) -> None:
    out = publish(run, FORMATS, tmp_path / "out", Options(least_certainty=0.5), metadata)
    told = json.loads((tmp_path / "out" / MANIFEST).read_text("utf-8"))
    assert told["options"]["leastCertainty"] == 0.5
    assert told["rows"] == {
        "exported": 6,
        "reviewed": 1,
        "marker": 2,
        "occurrence": 2,
        "measurement": 1,
        "substrate": 1,
    }
    assert told["leftOut"] == {"rejected": 1, "less certain": 1}
    assert told["licence"] == "https://creativecommons.org/licenses/by/4.0/legalcode"
    assert [file["name"] for file in told["files"]] == [publisher.target for publisher in FORMATS]
    assert "machine draft" in told["statement"].lower()
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(
        [*(p.name for p in out.files), MANIFEST]
    )


def test_a_file_may_be_named(run: Path, tmp_path: Path) -> None:
    out = publish(run, [CSV], tmp_path / "mine" / "table.csv")
    assert out.files == (tmp_path / "mine" / "table.csv",)
    assert out.manifest == tmp_path / "mine" / f"table.{MANIFEST}"
    assert sorted(path.name for path in (tmp_path / "mine").iterdir()) == ["table.csv", f"table.{MANIFEST}"]


@pytest.mark.parametrize("publisher", [DARWIN_CORE_ARCHIVE, AUDIOVISUAL_CORE])
def test_what_archives_take_needs_a_licence(publisher: Publisher, run: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"--publication: .* needs a licence, a rights holder.*publication\.toml"):
        publish(run, [publisher], tmp_path / "out")
    text = made.PUBLICATION.replace('licence = "CC-BY-4.0"\n', "")
    with pytest.raises(InputError, match=r"publication\.toml: licence is missing"):
        publish(run, [publisher], tmp_path / "out", publication=made.metadata(tmp_path, text))
    assert not (tmp_path / "out").exists()


def test_a_failure_leaves_what_was_there(run: Path, tmp_path: Path) -> None:
    publish(run, [CSV], tmp_path / "out")
    before = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}

    def full(_: Edition, target: Path) -> None:
        target.write_text("half")
        raise OSError(28, "No space left on device")

    with pytest.raises(InputError, match=r"cannot be written .No space left on device"):
        publish(run, [CSV, replace(XLSX, write=full)], tmp_path / "out", Options(reviewed_only=True))
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == before
    with pytest.raises(InputError, match="No space"):
        publish(run, [replace(XLSX, write=full)], tmp_path / "new" / "deep")
    assert not (tmp_path / "new").exists()


def test_a_defect_of_ours_leaves_nothing_either(run: Path, tmp_path: Path) -> None:
    def broken(_: Edition, target: Path) -> None:
        target.write_text("half")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        publish(run, [CSV, replace(XLSX, write=broken)], tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_a_second_export_replaces_the_first_and_no_more(run: Path, metadata: Path, tmp_path: Path) -> None:
    publish(run, FORMATS, tmp_path / "out", publication=metadata)
    (tmp_path / "out" / "notes.txt").write_text("mine")
    publish(run, FORMATS, tmp_path / "out", Options(reviewed_only=True), metadata)
    with (tmp_path / "out" / "events.csv").open(encoding="utf-8", newline="") as lines:
        assert len(list(csv.DictReader(lines))) == 2
    assert (tmp_path / "out" / "notes.txt").read_text() == "mine"
    assert not [path for path in (tmp_path / "out").iterdir() if path.name.startswith(".")]


@pytest.mark.parametrize(
    ("breaks", "told"),
    [
        (
            lambda run: (run / "events.jsonl").unlink(),
            r"events\.jsonl: is missing; expected the folder of a finished run",
        ),
        (lambda run: (run / "events.jsonl").write_text(""), r"events\.jsonl: the run has no events"),
        (lambda run: (run / "events.jsonl").write_text("{"), r"events\.jsonl:1: not JSON"),
        (lambda run: (run / "events.jsonl").write_text('{"startTime": 1}'), r"events\.jsonl:1: no event row"),
        (lambda run: (run / "run.json").unlink(), r"run\.json: cannot be read"),
        (lambda run: (run / "run.json").write_text("[]"), r"run\.json: is no run's summary"),
        (
            lambda run: (run / "events.jsonl").write_text((run / "events.jsonl").read_text("utf-8") * 2, "utf-8"),
            r"events\.jsonl:9: eventID 'kettle_01:m00004000' stands in row 1 too",
        ),
    ],
)
def test_a_folder_that_is_no_run(breaks: Any, told: str, run: Path, tmp_path: Path) -> None:
    breaks(run)
    with pytest.raises(InputError, match=told):
        publish(run, [CSV], tmp_path / "out")
    assert not (tmp_path / "out").exists()


def test_the_run_itself_is_never_written_over(run: Path) -> None:
    before = (run / "events.csv").read_bytes()
    for to in (run, run / "events.csv", run / ".." / run.name):
        with pytest.raises(InputError, match="is the run's own folder"):
            publish(run, [CSV], to)
    assert (run / "events.csv").read_bytes() == before


def test_places_that_cannot_be_written_to(run: Path, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("")
    with pytest.raises(InputError, match="taken: is a file"):
        publish(run, [CSV], tmp_path / "taken")
    with pytest.raises(InputError, match="cannot write here"):
        publish(run, [CSV], tmp_path / "taken" / "below")
    with pytest.raises(InputError, match="is one file for several formats"):
        publish(run, [CSV, GEOJSON], tmp_path / "x.csv")
    with pytest.raises(InputError, match="--as: no format"):
        publish(run, [], tmp_path / "out")


def test_no_row_left_is_told_with_the_reasons(tmp_path: Path) -> None:
    run = made.write(tmp_path / "run", made.rows()[:2])
    with pytest.raises(InputError, match="no row is left to publish: 2 not reviewed"):
        publish(run, [CSV], tmp_path / "out", Options(reviewed_only=True))


def test_an_eventdate_is_an_interval_of_iso_8601() -> None:
    """dwc:eventDate's own examples of intervals (Darwin Core list of terms) have the form that the schema asks for."""
    row = made.rows()[1]
    validate("event", [row | {"eventDate": "2007-03-01T13:00:00Z/2008-05-11T15:30:00Z"}])
    validate("event", [row | {"eventDate": "1963-03-08T14:07:00Z"}])
