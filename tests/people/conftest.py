from __future__ import annotations

import pytest

from earwitness.pipeline.segment import build_language

from .talk import Teller


@pytest.fixture(scope="session")
def tell() -> Teller:
    return Teller(build_language())
