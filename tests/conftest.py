"""What many tests share: where the data lies, a small checklist of real taxa, and transcripts written on the spot."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from earwitness.pipeline.command import main

# Time never decides a test; a clean checkout tries the same examples each time, a contributor's machine new ones.
settings.register_profile(
    "house",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
)
settings.load_profile("house")

HERE = Path(__file__).resolve().parents[1]
SHARED = HERE.parent / "shared"
Told = tuple[int, str, str]
"""Exit code, standard output and standard error."""
DIVE = HERE / "fixtures" / "quillmere_canyon"


@pytest.fixture(scope="session", autouse=True)
def _cache_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test, nor a process that one starts, writes into the user's own cache."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("EARWITNESS_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., Told]:
    """Run the command in this process, which is much quicker, with the same ending as in a shell."""

    def run(*arguments: str | Path, given: bytes = b"") -> Told:
        monkeypatch.setattr(sys, "argv", ["earwitness", *map(str, arguments)])
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(given)))
        with pytest.raises(SystemExit) as ended:
            main()
        printed = capsys.readouterr()
        return int(ended.value.code or 0), printed.out, printed.err

    return run


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
