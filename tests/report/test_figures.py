"""The figure files and the folder: same bytes each time, nothing from outside, text never read as a formula."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

from earwitness.pipeline.command.publish import PUBLISHERS
from earwitness.pipeline.publish import Edition
from earwitness.pipeline.report import REPORT, write_report
from tests.report.made import dive, edition, placed
from tests.report.test_page import hostile

ALL = {f"{name}.{kind}" for name in ("timeline", "map", "taxa", "confidence") for kind in ("png", "svg")}


def whole(folder: Path) -> Edition:
    rows, track = placed(dive(40))
    return edition(rows, folder, track)


def written(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_the_same_edition_gives_the_same_bytes(tmp_path: Path) -> None:
    """In another process too, where hashes of strings fall out differently."""
    REPORT.write(whole(tmp_path), tmp_path / "one")
    code = "import sys; from pathlib import Path; from tests.report.test_figures import whole, write_report; "
    code += "there = Path(sys.argv[1]); write_report(whole(there), there / 'two')"
    root = Path(__file__).parents[2]
    subprocess.run([sys.executable, "-c", code, str(tmp_path)], check=True, cwd=root, env={"PYTHONHASHSEED": "5"})
    one, two = written(tmp_path / "one"), written(tmp_path / "two")
    assert {name for name in one if name.startswith("figures/")} == {f"figures/{name}" for name in ALL}
    assert one == two


def test_figures_have_no_date_and_fetch_nothing(tmp_path: Path) -> None:
    write_report(whole(tmp_path), tmp_path / "out")
    for path in (tmp_path / "out" / "figures").iterdir():
        if path.suffix == ".png":
            with Image.open(path) as picture:
                assert picture.width >= 1000
                assert len(picture.convert("RGB").resize((200, 200)).getcolors(40_000) or ()) > 8, path.name
                assert set(picture.info) <= {"dpi"}
        else:
            for element in ElementTree.parse(path).getroot().iter():
                for name, value in element.attrib.items():
                    assert not name.endswith("href") or value.startswith("#")
                assert "date" not in str(element.tag)


def test_hostile_names_are_drawn_as_they_are(tmp_path: Path) -> None:
    rows, track = placed(hostile(dive(20)))
    write_report(edition(rows, tmp_path, track), tmp_path / "out")
    for path in (tmp_path / "out" / "figures").glob("*.svg"):
        root = ElementTree.parse(path).getroot()
        assert not [e for e in root.iter() if str(e.tag).rpartition("}")[2] in ("script", "image", "foreignObject")]
    drawn = (tmp_path / "out" / "figures" / "taxa.svg").read_text("utf-8")
    assert "&lt;/title&gt;&lt;/script&gt;" in drawn


@pytest.mark.parametrize("letters", ["深海の海老", "Крабовидка", "ΑΣΤΑΚΟΣ", "سرطان", "\U0001f980"])
def test_letters_of_any_script_are_drawn(letters: str, tmp_path: Path) -> None:
    rows = [row | {"scientificName": f"{letters} {row['scientificName']}"} for row in dive(12) if row["scientificName"]]
    write_report(edition(rows, tmp_path), tmp_path / "out")
    assert letters in (tmp_path / "out" / "figures" / "taxa.svg").read_text("utf-8")


def test_the_command_line_knows_it() -> None:
    assert PUBLISHERS["report"] is REPORT
    assert not REPORT.archival


def test_a_run_without_events_has_a_page_and_no_figure(tmp_path: Path) -> None:
    write_report(edition([], tmp_path), tmp_path / "out")
    assert list(written(tmp_path / "out")) == ["report.html"]
