"""People who may be credited: kept by the run, hidden by pseudonyms, and never dropped without a word."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from earwitness.pipeline import draft
from earwitness.pipeline.publish import Options, make_edition, read_run
from earwitness.pipeline.publish.described import credited
from earwitness.pipeline.publish.track import run_track
from earwitness.pipeline.report.head import head
from earwitness.schemas import ContractError, validate

PEOPLE = [{"name": "Wanda Quillfeather", "role": "sponges"}, {"name": "Ivo Tarn"}]
DESCRIPTION = """id = "clean"
[[people]]
name = "Wanda Quillfeather"
role = "sponges"
[[people]]
name = "Ivo Tarn"
"""


@pytest.fixture
def description(dive: Path, tmp_path: Path) -> Path:
    """A description without logs, and beside it a run that was drafted with it."""
    file = tmp_path / "described.toml"
    file.write_text(DESCRIPTION, encoding="utf-8")
    draft(dive / "clean.vtt", dive / "checklist.csv", recordings=[file]).write(tmp_path / "run")
    return file


def of_an_earlier_version(run: Path) -> None:
    """A run as it was before runs kept the people."""
    told = json.loads((run / "run.json").read_text("utf-8"))
    for one in told["recordings"]:
        del one["people"]
    (run / "run.json").write_text(json.dumps(told), encoding="utf-8")


def named(run: Path, **options: Any) -> str | None:
    """Who is credited at the head of the report."""
    edition = make_edition(read_run(run), Options(**options))
    facts = head(edition.rows, edition.run, None, bool(edition.options.pseudonyms)).facts
    return dict(facts).get("May be credited")


def test_the_run_keeps_whom_the_description_named(description: Path, tmp_path: Path) -> None:
    description.unlink()
    assert credited(read_run(tmp_path / "run").run) == (tuple(PEOPLE), ())
    assert named(tmp_path / "run") == "Wanda Quillfeather (sponges); Ivo Tarn"


def test_nobody_is_named_where_pseudonyms_are_asked_for(description: Path, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    assert named(tmp_path / "run", pseudonyms=key) is None
    of_an_earlier_version(tmp_path / "run")
    description.unlink()
    told = run_track(read_run(tmp_path / "run").run, Options(pseudonyms=key))[1]
    assert [problem.reason for problem in told] == ["no track: no such file"]


def test_a_run_drafted_with_pseudonyms_names_nobody_and_lacks_nobody(
    description: Path, dive: Path, tmp_path: Path
) -> None:
    run = draft(dive / "clean.vtt", dive / "checklist.csv", recordings=[description], pseudonyms=tmp_path / "key.csv")
    run.write(tmp_path / "hidden")
    description.unlink()
    assert credited(read_run(tmp_path / "hidden").run) == ((), ())
    assert named(tmp_path / "hidden") is None


def test_an_older_run_reads_the_description_once_more(description: Path, tmp_path: Path) -> None:
    of_an_earlier_version(tmp_path / "run")
    assert named(tmp_path / "run") == "Wanda Quillfeather (sponges); Ivo Tarn"
    shutil.move(description, tmp_path / "elsewhere.toml")
    assert named(tmp_path / "run") is None


@pytest.mark.parametrize("grid", [None, 0.1])
@pytest.mark.parametrize("fate", ["gone", "changed", "broken"])
def test_what_an_older_run_lacks_is_told_with_a_remedy(
    description: Path, tmp_path: Path, fate: str, grid: float | None
) -> None:
    of_an_earlier_version(tmp_path / "run")
    reason = {
        "gone": "no such file",
        "changed": "the description has changed since the run",
        "broken": "is no TOML",
    }[fate]
    if fate == "gone":
        description.unlink()
    else:
        description.write_text(DESCRIPTION + ("# a remark\n" if fate == "changed" else "people ="), encoding="utf-8")
    problems = run_track(read_run(tmp_path / "run").run, Options(grid_degrees=grid))[1]
    assert [problem.reason.partition(": ")[0] for problem in problems] == [
        "no track, blurred or not" if grid else "no track",
        "nobody is credited",
    ]
    for problem in problems:
        assert reason in problem.reason
        assert problem.file == str(description)
        assert problem.severity == "noted"
        assert problem.expected


def test_an_edition_tells_that_nobody_is_credited(description: Path, tmp_path: Path) -> None:
    of_an_earlier_version(tmp_path / "run")
    description.unlink()
    told = [problem.reason for problem in make_edition(read_run(tmp_path / "run"), Options()).problems]
    assert told == ["no track: no such file", "nobody is credited: no such file"]


def test_a_person_of_a_run_has_a_name(description: Path, tmp_path: Path) -> None:
    told = json.loads((tmp_path / "run" / "run.json").read_text("utf-8"))
    validate("run", [told])
    told["recordings"][0]["people"] = [{"role": "sponges"}]
    with pytest.raises(ContractError, match="name"):
        validate("run", [told])
