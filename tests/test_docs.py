"""Documentation that cannot fall behind: every command and file is told of, and what it shows runs."""

from __future__ import annotations

import re
import subprocess
import sys

import pytest

from earwitness.pipeline.command.app import COMMANDS, loaded
from earwitness.pipeline.table import FILES
from tests.conftest import HERE

README = (HERE / "README.md").read_text("utf-8")
DEVELOPERS = (HERE / "DEVELOPERS.md").read_text("utf-8")


@pytest.mark.parametrize("name", COMMANDS)
def test_command_is_in_the_readme_and_teaches(name: str) -> None:
    command = loaded(name)
    assert f"earwitness {name}" in README or f"make {name}" in README
    assert command.help
    assert len(command.help) > 60
    for parameter in command.params:
        assert parameter.name == "help" or len(parameter.help) > 15, parameter.name


@pytest.mark.parametrize("name", FILES)
def test_file_of_a_run_is_in_the_readme(name: str) -> None:
    assert f"`{name}`" in README


def test_python_in_the_readme_runs() -> None:
    """All code blocks as one script, in the checkout."""
    code = "\n".join(re.findall(r"```python\n(.*?)```", README, re.DOTALL))
    check = """
assert len(frame) > 20 and "nameScore" in frame
assert names == [("glass sponge", "glass sponge"), ("bamboo coral", "bamboo coral")], names
"""
    run = subprocess.run([sys.executable, "-c", code + check], cwd=HERE, capture_output=True, text=True, timeout=300)
    assert run.returncode == 0, run.stderr


def test_the_job_is_the_first_paragraph() -> None:
    title, first = README.split("\n\n")[:2]
    assert title == "# earwitness"
    assert len(first.split()) > 80
    assert "draft records" in first


@pytest.mark.parametrize("room", sorted(p.name for p in (HERE / "pipeline").iterdir() if (p / "__init__.py").exists()))
def test_room_is_in_the_guide(room: str) -> None:
    assert f"`pipeline/{room}`" in DEVELOPERS


@pytest.mark.parametrize("document", ["README.md", "DEVELOPERS.md", "CHANGELOG.md", "fixtures/README.md"])
def test_links_lead_somewhere(document: str) -> None:
    path = HERE / document
    for target in re.findall(r"\]\(([^)#]+)\)", path.read_text("utf-8")):
        if not target.startswith("http"):
            assert (path.parent / target).exists(), target


def test_targets_of_make_are_told() -> None:
    told = subprocess.run(
        ["make", "--no-print-directory", "help"], cwd=HERE, capture_output=True, text=True, check=True
    ).stdout
    targets = re.findall(r"^([a-z-]+):.*## ", (HERE / "Makefile").read_text("utf-8"), re.MULTILINE)
    assert {line.split("\t")[0] for line in told.splitlines()} == set(targets)
    assert {"demo", "test", "bench", "types", "lint"} <= set(targets)
