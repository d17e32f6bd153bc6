from __future__ import annotations

import pytest

from .listed import Listener, listen, write_checklist


@pytest.fixture(scope="session")
def sea(tmp_path_factory: pytest.TempPathFactory) -> Listener:
    """A listener over the small checklist."""
    return listen(write_checklist(tmp_path_factory.mktemp("list") / "sixty_taxa.csv"))
