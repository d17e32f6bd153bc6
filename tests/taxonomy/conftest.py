"""The shared checklists, loaded once; tests that want them are skipped where they are absent."""

from __future__ import annotations

from pathlib import Path

import pytest

from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.load import load_checklist

SHARED = Path(__file__).resolve().parents[3] / "shared"


def _shared_list(name: str) -> Path:
    path = SHARED / "checklists" / name
    if not path.exists():
        pytest.skip(f"the shared checklist {name} is not beside this checkout")
    return path


@pytest.fixture(scope="session")
def demo_seas_path() -> Path:
    return _shared_list("demo_seas.csv")


@pytest.fixture(scope="session")
def marine_ncbi_path() -> Path:
    return _shared_list("marine_ncbi.csv.gz")


@pytest.fixture(scope="session")
def demo_seas(demo_seas_path: Path) -> Checklist:
    return load_checklist(demo_seas_path)


@pytest.fixture(scope="session")
def marine_ncbi(marine_ncbi_path: Path) -> Checklist:
    return load_checklist(marine_ncbi_path)
