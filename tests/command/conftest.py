"""A small checklist, and `earwitness checklist` run in this process."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from earwitness.pipeline.command import main

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

Told = tuple[int, str, str]
"""Exit code, standard output and standard error."""


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
def told(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Told]:
    """Run `earwitness checklist` in this process with the same ending as in a shell."""

    def run(*arguments: str | Path, given: bytes = b"") -> Told:
        monkeypatch.setattr(sys, "argv", ["earwitness", "checklist", *map(str, arguments)])
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(given)))
        with pytest.raises(SystemExit) as ended:
            main()
        printed = capsys.readouterr()
        return int(ended.value.code or 0), printed.out, printed.err

    return run
