from __future__ import annotations

import pytest

from earwitness.pipeline.segment import build_language
from tests.judge.talk import Listener, load_index


@pytest.fixture(scope="session")
def hear(tmp_path_factory: pytest.TempPathFactory) -> Listener:
    return Listener(load_index(tmp_path_factory.mktemp("checklist")), build_language())
