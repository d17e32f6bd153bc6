"""A run and its metadata in a folder."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.publish import made


@pytest.fixture
def run(tmp_path: Path) -> Path:
    return made.write(tmp_path / "run")


@pytest.fixture
def metadata(tmp_path: Path) -> Path:
    return made.metadata(tmp_path)
