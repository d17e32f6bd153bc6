"""Desks for the tests: on SQLite, on a real PostgreSQL, or on both in turn."""

from __future__ import annotations

import itertools
import os
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from playwright.sync_api import Browser

from earwitness.pipeline.review import Desk
from tests.review import made, page_desk, postgres

_numbers = itertools.count(1)


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """The URL of a server that runs while the tests do."""
    if postgres.programs() is None and not os.environ.get("CI"):
        pytest.skip("PostgreSQL is not installed here")
    with postgres.server() as url:
        yield url


@pytest.fixture
def postgres_url(postgres_server: str) -> str:
    """The URL of an empty place on that server."""
    name = f"desk_{os.getpid()}_{next(_numbers)}"
    with psycopg.connect(postgres_server, autocommit=True) as connection:
        connection.execute(f"CREATE SCHEMA {name}")
    return f"{postgres_server}&options=-csearch_path%3D{name}"


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where decisions are kept: a file, and in turn a server."""
    if request.param == "sqlite":
        return str(tmp_path / "decisions.sqlite")
    url: str = request.getfixturevalue("postgres_url")
    return url


@pytest.fixture
def run(tmp_path: Path) -> Path:
    """The run of `made`."""
    return made.write(tmp_path / "run")


@pytest.fixture
def desk(run: Path) -> Iterator[Desk]:
    """The run on a desk of its own."""
    desk = made.opened(run)
    yield desk
    desk.close()


@pytest.fixture
def ann(desk: Desk) -> made.Hands:
    return made.Hands(desk, "Ann")


@pytest.fixture
def bob(desk: Desk) -> made.Hands:
    return made.Hands(desk, "Bob")


@pytest.fixture(scope="session")
def ground(tmp_path_factory: pytest.TempPathFactory) -> made.Ground:
    """The run of `made`, read once."""
    return made.Ground(tmp_path_factory.mktemp("ground") / "run")


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """A browser for all tests of a file: no longer, as tests of other files fork."""
    if not page_desk.BROWSER and not os.environ.get("CI"):
        pytest.skip("no Chromium on this machine")
    with page_desk.browser() as one:
        yield one


@pytest.fixture
def site(run: Path) -> Iterator[page_desk.Served]:
    """The run of `made`, served."""
    with page_desk.served(run) as at:
        yield at
