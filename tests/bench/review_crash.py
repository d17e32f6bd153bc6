"""kill -9 while decisions are written, fifty times: what was confirmed over HTTP and is not there afterwards.

First the desk's own program is killed, on SQLite and on PostgreSQL; then the PostgreSQL server with all its processes,
which has to recover from its log. fsync is on throughout.
"""

from __future__ import annotations

import contextlib
import os
import random
import signal
import subprocess
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import httpx
from rich.console import Console
from rich.table import Table

from earwitness.pipeline.review import open_desk
from earwitness.schemas import validate
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.review_desks import DEMO, Program, drafted
from tests.review import postgres

TIMES, WRITERS = 50, 3


@dataclass
class Told:
    """What was confirmed, and what was on its way when the end came."""

    confirmed: dict[str, int] = field(default_factory=dict)
    sent: set[str] = field(default_factory=set)
    lost: set[str] = field(default_factory=set)
    kills: int = 0
    broken: list[str] = field(default_factory=list)


def main(console: Console) -> None:
    """Print a row a way of dying."""
    table = Table(title=f"kill -9 during writes by {WRITERS} clients; target: no confirmed decision lost")
    for column in ("killed", "times", "confirmed", "lost", "in flight, of these written", "desk does not open"):
        table.add_column(column, justify="left" if column == "killed" else "right")
    with tempfile.TemporaryDirectory() as folder:
        demo = drafted(DEMO / "clean.vtt", NameIndex(load_checklist(DEMO / "checklist.csv")), Path(folder) / "demo")
        table.add_row("the desk's program, SQLite", *_cells(demo, str(Path(folder) / "a.sqlite"), _kill_program))
        if postgres.programs():
            with postgres.server() as url:
                table.add_row("the desk's program, PostgreSQL", *_cells(demo, url, _kill_program))
            with postgres.server() as url:
                table.add_row("the PostgreSQL server", *_cells(demo, url, _kill_server))
    console.print(table)


def _cells(run: Path, database: str, kill: Callable[[Program, str], None]) -> tuple[str, ...]:
    told = Told()
    chance = random.Random(20)
    for turn in range(TIMES):
        _once(run, database, kill, told, chance, turn)
    with closing(open_desk(run, database=database)) as after:
        written = {decision.uid for decision in after.history.decisions}
    flying = told.sent - told.confirmed.keys()
    return (
        str(told.kills), f"{len(told.confirmed):,}", str(len(told.lost)), f"{len(flying)}, {len(flying & written)}",
        str(len(told.broken)),
    )  # fmt: skip


def _once(
    run: Path, database: str, kill: Callable[[Program, str], None], told: Told, chance: random.Random, turn: int
) -> None:
    desk = Program(run, "--database", database)
    over = threading.Event()
    threads = [threading.Thread(target=_write, args=(desk.url, told, over, turn, n)) for n in range(WRITERS)]
    before = len(told.confirmed)
    for thread in threads:
        thread.start()
    # Not before something was confirmed, and then at any moment.
    while len(told.confirmed) == before and any(thread.is_alive() for thread in threads):
        time.sleep(0.005)
    time.sleep(chance.uniform(0, 0.4))
    kill(desk, database)
    over.set()
    told.kills += 1
    for thread in threads:
        thread.join(60)
    with contextlib.suppress(ProcessLookupError):
        desk.kill()
    try:
        with closing(open_desk(run, database=database)) as after:
            written = {decision.uid: decision.number for decision in after.history.decisions}
            validate("event", after.rows.values())
    except Exception as error:
        told.broken.append(repr(error))
        return
    told.lost |= {uid for uid, number in told.confirmed.items() if written.get(uid) != number}


def _write(url: str, told: Told, over: threading.Event, turn: int, writer: int) -> None:
    """Decide on one event after the other until nobody answers any more."""
    with httpx.Client(base_url=url, timeout=5) as client, contextlib.suppress(httpx.HTTPError):
        key = {"X-Desk-Key": client.get("/api/run").json()["key"]}
        listed = client.get("/api/events").json()
        at = listed["columns"].index("version")
        mine = [(row[0], row[at]) for row in listed["rows"]][writer::WRITERS]
        versions = dict(mine)
        n = 0
        while not over.is_set():
            event = mine[n % len(mine)][0]
            n += 1
            uid = f"{turn}-{writer}-{n}"
            body = {
                "uid": uid,
                "action": "note",
                "note": uid,
                "targets": [{"eventID": event, "version": versions[event]}],
            }
            told.sent.add(uid)
            answer = client.post("/api/decisions", json=body, headers=key)
            if answer.status_code != 200:
                told.sent.discard(uid)
                time.sleep(0.05)
                continue
            [decision] = answer.json()["decisions"]
            told.confirmed[uid] = versions[event] = decision["number"]


def _kill_program(desk: Program, database: str) -> None:
    desk.kill()


def _kill_server(desk: Program, database: str) -> None:
    """End the database's server and all its processes at once, and start it again."""
    home = Path(parse_qs(urlsplit(database).query)["host"][0])
    postmaster = int((home / "data" / "postmaster.pid").read_text().split()[0])
    for pid in (postmaster, *_children(postmaster)):
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    desk.kill()
    where = postgres.programs()
    assert where is not None
    options = f"-c listen_addresses='' -c unix_socket_directories='{home}' -c fsync=on -c max_connections=200"
    command = [str(where / "pg_ctl"), "--pgdata", str(home / "data"), "--log", str(home / "log"), "--options", options]
    user = home.owner() if os.geteuid() == 0 else None
    for _ in range(20):
        done = subprocess.run([*command, "--wait", "start"], user=user, cwd=home, capture_output=True, text=True)
        if done.returncode == 0:
            return
        # What the dead one held of shared memory may not be free yet.
        time.sleep(0.5)
    raise AssertionError(done.stdout + done.stderr)


def _children(pid: int) -> Iterator[int]:
    for path in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            fields = path.read_text().rpartition(")")[2].split()
            if int(fields[1]) == pid:
                yield int(path.parent.name)
