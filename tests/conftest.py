"""What many tests share: where the data lies, a small checklist of real taxa, and transcripts written on the spot."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parents[1]
SHARED = HERE.parent / "shared"
DIVE = HERE / "fixtures" / "quillmere_canyon"


@pytest.fixture(scope="session")
def dive() -> Path:
    """The built-in invented dive."""
    return DIVE


@pytest.fixture(scope="session")
def shared() -> Path:
    """The shared development data, where it lies beside the checkout."""
    if not SHARED.is_dir():
        pytest.skip("the shared development data does not lie beside the checkout")
    return SHARED
