"""From a run to the description it was drafted with, wherever one works."""

from __future__ import annotations

from pathlib import Path

import pytest

from earwitness.pipeline.place.description import described_at


@pytest.mark.parametrize(
    ("there", "found"),
    [
        (("given.toml", "run/way.toml"), "given.toml"),
        (("run/way.toml",), "run/way.toml"),
        ((), "given.toml"),
    ],
)
def test_the_path_as_given_comes_first_then_the_way_from_the_run(
    there: tuple[str, ...], found: str, tmp_path: Path
) -> None:
    (tmp_path / "run").mkdir()
    for name in there:
        (tmp_path / name).touch()
    told = {"path": str(tmp_path / "given.toml"), "pathFromRun": "way.toml"}
    assert described_at(told, tmp_path / "run") == tmp_path / found


def test_an_older_run_tells_no_way(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "run").mkdir()
    (tmp_path / "run" / "given.toml").touch()
    assert described_at({"path": "given.toml"}, tmp_path / "run") == tmp_path / "run" / "given.toml"
