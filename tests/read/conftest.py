from __future__ import annotations

from pathlib import Path

import pytest

from .samples import ReadAs, reader


@pytest.fixture
def read_as(tmp_path: Path) -> ReadAs:
    """`read_as(content, name, **options)` writes a file and reads it."""
    return reader(tmp_path)
