"""Rules of the house that a reader would otherwise have to trust."""

from __future__ import annotations

import ast
import csv
import re
from pathlib import Path

import pytest

from tests.conftest import HERE

ROOMS = ("pipeline", "taxonomy", "schemas", "fixtures")
STAGES = (
    "late",
    "words",
    "read",
    "segment",
    "mention",
    "people",
    "judge",
    "settle",
    "describe",
    "place",
    "table",
    "score",
    "drafting",
    "review",
    "publish",
    "report",
    "command",
)
"""In the order of the flow: a stage imports itself and those before it. Words are data that any stage may read."""
SOURCES = sorted(path for room in ROOMS for path in (HERE / room).rglob("*.py"))
TEXTS = sorted(
    path
    for room in (*ROOMS, "tests", ".ci")
    for path in (HERE / room).rglob("*")
    if path.is_file() and path.suffix in ("", ".py", ".md", ".csv", ".json", ".txt") and "__pycache__" not in path.parts
) + [HERE / name for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md", "Makefile", "pyproject.toml")]


def named(path: Path) -> str:
    return str(path.relative_to(HERE))


def imports(path: Path) -> set[str]:
    """Modules of ours that a file imports, wherever in the file."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return {name for name in found if name.startswith("earwitness")}


@pytest.mark.parametrize("path", [p for p in SOURCES if p.parent.name != "fixtures"], ids=named)
def test_imports_run_one_way(path: Path) -> None:
    room, *rest = path.relative_to(HERE).parts
    seen = imports(path)
    if room == "schemas":
        assert not [name for name in seen if not name.startswith("earwitness.schemas")]
    elif room == "taxonomy":
        assert not [name for name in seen if name.startswith("earwitness.pipeline")]
    elif len(rest) > 1 or rest[0] != "__init__.py":
        here = STAGES.index(rest[0].removesuffix(".py"))
        for name in seen:
            parts = name.split(".")
            if parts[:2] == ["earwitness", "pipeline"] and len(parts) > 2 and parts[2] in STAGES:
                assert STAGES.index(parts[2]) <= here, name


@pytest.mark.parametrize("path", SOURCES, ids=named)
def test_files_can_be_read_in_one_sitting(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= 400


@pytest.mark.parametrize("path", SOURCES, ids=named)
def test_modules_say_what_they_are(path: Path) -> None:
    assert ast.get_docstring(ast.parse(path.read_text("utf-8")))


WORD_LISTS = sorted(p for room in ("pipeline", "taxonomy") for p in (HERE / room).rglob("*.csv"))


@pytest.mark.parametrize("path", WORD_LISTS, ids=named)
def test_every_row_of_a_data_file_names_its_source(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert rows
    for number, row in enumerate(rows, start=2):
        assert (row["source"] or "").strip(), f"line {number}"
        assert None not in row, f"line {number} has more cells than the header"


@pytest.mark.parametrize("path", TEXTS, ids=named)
def test_the_project_speaks_of_itself_alone(path: Path) -> None:
    """No absolute path of a machine, no address of a registry."""
    text = path.read_text("utf-8")
    assert not re.search(r"(?<![\w.])/(?:work|root|home|Users)/\w", text)
    assert not re.search(r"\b(?:pypi|npmjs|debian)\.(?:org|com)\b", text)


def test_every_package_is_in_the_wheel() -> None:
    """Folders with code are named in pyproject.toml: setuptools takes what is listed and no more."""
    listed = set(
        re.findall(r'^    "(earwitness\.[\w.]+)",$', (HERE / "pyproject.toml").read_text("utf-8"), re.MULTILINE)
    )
    there = {
        ".".join(("earwitness", *path.parent.relative_to(HERE).parts)) for path in SOURCES if path.name == "__init__.py"
    }
    assert listed == there
