from __future__ import annotations

from pathlib import Path

import pytest

from earwitness.pipeline.segment import build_language
from earwitness.taxonomy import NameIndex, load_checklist

from .talk import Listener


@pytest.fixture(scope="session")
def hear(dive: Path) -> Listener:
    return Listener(NameIndex(load_checklist(dive / "checklist.csv")), build_language())
