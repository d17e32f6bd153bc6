"""`earwitness publish` and `earwitness take-back` as a user meets them."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from earwitness.pipeline.command.publish import PUBLISHERS
from earwitness.pipeline.publish import FORMATS
from tests.conftest import Told
from tests.publish import made


def test_all_formats_at_once(here: Callable[..., Told], run: Path, metadata: Path, tmp_path: Path) -> None:
    names = [publisher.name for publisher in FORMATS]
    assert set(names) <= set(PUBLISHERS)
    asked = [part for name in names for part in ("--as", name)]
    code, printed, _ = here("publish", run, *asked, "--to", tmp_path / "out", "--publication", metadata)
    assert code == 0
    assert "7 rows, 2 of them reviewed by a person. Left out: 1 rejected." in printed
    assert "not fit for navigation" in " ".join(printed.split())
    assert all((tmp_path / "out" / publisher.target).exists() for publisher in FORMATS)


def test_a_copy_without_a_licence_says_so(here: Callable[..., Told], run: Path, tmp_path: Path) -> None:
    code, printed, _ = here("publish", run, "--as", "csv", "--to", tmp_path / "out")
    assert code == 0
    assert "it is not for publication" in printed


def test_the_manifest_as_json(here: Callable[..., Told], run: Path, tmp_path: Path) -> None:
    code, printed, _ = here("publish", run, "--as", "csv", "--to", tmp_path / "out", "--blur", "0.5", "--json")
    assert code == 0
    assert json.loads(printed)["options"]["gridDegrees"] == 0.5


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        (("--as", "stone"), "there is no format 'stone'; expected one of dwca, audiovisual-core"),
        (("--as", "dwca"), "it needs a licence, a rights holder"),
        (("--as", "csv", "--blur", "0"), "--blur: 0.0 is no width of a grid"),
    ],
)
def test_what_cannot_be_done_is_one_line(
    arguments: tuple[str, ...], complaint: str, here: Callable[..., Told], run: Path, tmp_path: Path
) -> None:
    code, printed, error = here("publish", run, *arguments, "--to", tmp_path / "out")
    assert (code, printed) == (3, "")
    assert complaint in error
    assert len(error.strip().splitlines()) == 1
    assert not (tmp_path / "out").exists()


def test_a_missing_run_is_told_before_a_missing_licence(here: Callable[..., Told], tmp_path: Path) -> None:
    lost = tmp_path / "lost_draft"
    code, printed, error = here("publish", lost, "--as", "dwca", "--to", tmp_path / "out")
    assert (code, printed) == (3, "")
    assert "events.jsonl: is missing; expected the folder of a finished run" in error
    assert "licence" not in error
    assert not (tmp_path / "out").exists()


def test_a_missing_run_is_told_before_a_missing_name(here: Callable[..., Told], tmp_path: Path) -> None:
    lost = tmp_path / "lost_draft"
    code, printed, error = here("take-back", tmp_path / "events.csv", "--run", lost, "--to", tmp_path / "taken")
    assert (code, printed) == (3, "")
    assert "events.jsonl: is missing; expected the folder of a finished run" in error
    assert "--by" not in error
    assert not (tmp_path / "taken").exists()


def test_an_edited_table_is_listed_then_taken_in(here: Callable[..., Told], run: Path, tmp_path: Path) -> None:
    here("publish", run, "--as", "csv", "--to", tmp_path / "out")
    file = tmp_path / "out" / "events.csv"
    with file.open(encoding="utf-8", newline="") as lines:
        table = list(csv.DictReader(lines))
    table[1]["scientificName"] = "Munida [bold]rugosa"
    with file.open("w", encoding="utf-8", newline="") as lines:
        writer = csv.DictWriter(lines, list(table[0]))
        writer.writeheader()
        writer.writerows(table[:-1])
    code, printed, _ = here("take-back", file, "--run", run)
    assert code == 0
    assert "1 rows changed, 0 added, 1 removed." in printed
    assert "[bold]" in printed
    assert "removed: kettle_02:o03700000" in printed
    code, printed, _ = here("take-back", file, "--run", run, "--json")
    assert json.loads(printed)["changed"][0]["after"] == "Munida [bold]rugosa"
    code, _, error = here("take-back", file, "--run", run, "--to", tmp_path / "new")
    assert code == 3
    assert "--by: is not given" in error
    code, printed, _ = here(
        "take-back", file, "--run", run, "--to", tmp_path / "new", "--by", "R. Reader", "--at", "2031-11-04T10:00:00Z"
    )
    assert code == 0
    assert "Taken in: 8 rows" in printed
    rows = made.read(tmp_path / "new")
    assert [row["reviewStatus"] for row in rows].count("rejected") == 2
    assert rows[1]["reviewedAt"] == "2031-11-04T10:00:00Z"


def test_nothing_edited_says_so(here: Callable[..., Told], run: Path, tmp_path: Path) -> None:
    here("publish", run, "--as", "xlsx", "--to", tmp_path / "mine.xlsx")
    code, printed, _ = here("take-back", tmp_path / "mine.xlsx", "--run", run)
    assert (code, printed.strip()) == (0, "Nothing was edited.")
