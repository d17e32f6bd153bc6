"""A real PostgreSQL server for tests: made in a folder of its own, on a socket in it, as a user that is not root."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

_USERS = ("postgres", "nobody")
"""Whom a server may run as where the tests run as root: PostgreSQL refuses root."""


def programs() -> Path | None:
    """The folder with initdb and pg_ctl: of the PATH, or where distributions put them."""
    found = shutil.which("initdb")
    if found and shutil.which("pg_ctl"):
        return Path(found).resolve().parent
    versions = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: -float(path.parts[4]))
    return versions[0].parent if versions else None


@contextmanager
def server() -> Iterator[str]:
    """A running server: the URL of its database, without options.

    fsync stays on: what is tested is what is on the disk.
    """
    where = programs()
    assert where is not None, "PostgreSQL is not installed"
    user = next(name for name in _USERS if _is_known(name)) if os.geteuid() == 0 else None
    # The path of a socket has to be short, and the user's to enter.
    home = Path(tempfile.mkdtemp(prefix="ew-pg-", dir="/tmp"))
    try:
        if user:
            shutil.chown(home, user)
        data, log = home / "data", home / "log"

        def run(program: str, *arguments: str) -> None:
            command = [str(where / program), *arguments]
            done = subprocess.run(command, user=user, cwd=home, capture_output=True, text=True, timeout=120)
            told = log.read_text("utf-8", "replace") if log.exists() else ""
            assert done.returncode == 0, f"{command}: {done.stdout}{done.stderr}{told}"

        run(
            "initdb",
            "--pgdata",
            str(data),
            "--username",
            "desk",
            "--auth",
            "trust",
            "--encoding",
            "UTF8",
            "--no-locale",
        )
        options = f"-c listen_addresses='' -c unix_socket_directories='{home}' -c fsync=on -c max_connections=200"
        run("pg_ctl", "--pgdata", str(data), "--log", str(log), "--options", options, "--wait", "start")
        try:
            yield f"postgresql://desk@/postgres?host={quote(str(home), safe='')}"
        finally:
            run("pg_ctl", "--pgdata", str(data), "--mode", "immediate", "--wait", "stop")
    finally:
        shutil.rmtree(home, ignore_errors=True)


def _is_known(name: str) -> bool:
    try:
        pwd.getpwnam(name)
    except KeyError:
        return False
    return True
