"""A small checklist, and `earwitness checklist` run in this process."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from tests.conftest import Told

# Real taxa, names from WoRMS, from memory.
LIST = """\
taxonID,scientificName,taxonRank,taxonomicStatus,acceptedNameUsageID,vernacularName
1,Hexactinellida,class,accepted,1,glass sponge
2,Chaceon,genus,accepted,2,
3,Chaceon affinis,species,accepted,3,deep-sea red crab
4,Munididae,family,accepted,4,squat lobster
5,Munidopsidae,family,accepted,5,squat lobster
6,Desmophyllum pertusum,species,accepted,6,
7,Lophelia pertusa,species,synonym,6,
8,Talorchestia,genus,accepted,8,
9,Talorchestia,genus,accepted,9,
10,Müllerina,genus,accepted,10,[bold]red[/bold] œuf
"""


@pytest.fixture(autouse=True)
def _cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Indexes are kept where no other test, and nothing of the user's, lies."""
    monkeypatch.setenv("EARWITNESS_CACHE", str(tmp_path_factory.mktemp("cache")))


@pytest.fixture
def taxa(tmp_path: Path) -> Path:
    path = tmp_path / "taxa.csv"
    path.write_text(LIST, encoding="utf-8")
    return path


@pytest.fixture
def told(here: Callable[..., Told]) -> Callable[..., Told]:
    """Run `earwitness checklist` in this process."""
    return partial(here, "checklist")
