"""Eight reviewers at one desk for a minute, over HTTP: what is lost (nothing may be), and how soon others see it."""

from __future__ import annotations

import statistics
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from rich.console import Console
from rich.table import Table

from earwitness.pipeline.review import open_desk
from earwitness.schemas import validate
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.review_desks import DEMO, TOKEN, Program, drafted, large, percentile
from tests.review import postgres
from tests.review.many import NAMES, Reviewer, latencies, sign_in, work

SECONDS, PAUSE = 60.0, 0.5
"""For how long, and how long each of them looks at an event, on average."""
CONTESTED = 40
"""So few events do all of them draw from, that they get into each other's way."""


def main(console: Console) -> None:
    """Print a column a store."""
    table = Table(
        title=f"{len(NAMES)} reviewers for {SECONDS:.0f} s, {CONTESTED} events between them, one desk of 5,000"
    )
    for column in ("", "target", "SQLite", "PostgreSQL"):
        table.add_column(column, justify="right" if column else "left")
    with tempfile.TemporaryDirectory() as folder:
        demo = drafted(DEMO / "clean.vtt", NameIndex(load_checklist(DEMO / "checklist.csv")), Path(folder) / "demo")
        told = []
        for name in ("sqlite", "postgresql"):
            run = large(demo, Path(folder) / name)
            with _database(name, run) as database:
                told.append(_measured(run, database) if database else {})
    for what, target in _TARGETS.items():
        table.add_row(what, target, *(figures.get(what, "–") for figures in told))
    console.print(table)


_TARGETS = {
    "decisions confirmed": "",
    "of these lost": "0",
    "written without being confirmed": "0",
    "conflicts told, nothing written": "",
    "anything else that went wrong": "0",
    "decisions that some listener never heard of": "0",
    "until the others see it, from sending: median": "",
    "95%": "",
    "worst": "1,000 ms",
}


@contextmanager
def _database(name: str, run: Path) -> Iterator[str | None]:
    if name == "sqlite":
        yield str(run / "review.sqlite")
    elif postgres.programs() is None:
        yield None
    else:
        with postgres.server() as url:
            yield url


def _measured(run: Path, database: str) -> dict[str, str]:
    desk = Program(run, "--token", "--database", database)
    try:
        reviewers = [sign_in(desk.url, name, TOKEN) for name in NAMES]
        told = reviewers[0].client.get("/api/events").json()
        rows = [dict(zip(told["columns"], row, strict=True)) for row in told["rows"]]
        events = [row["eventID"] for row in rows if row["recordKind"] == "occurrence"][:CONTESTED]
        last = work(reviewers, events, SECONDS, PAUSE)
    finally:
        desk.stop()
    return _figures(run, database, reviewers, last)


def _figures(run: Path, database: str, reviewers: list[Reviewer], last: int) -> dict[str, str]:
    confirmed = {uid: number for one in reviewers for uid, (number, _) in one.confirmed.items()}
    with closing(open_desk(run, database=database)) as after:
        written = {decision.uid: decision.number for decision in after.history.decisions}
        validate("event", after.rows.values())
    waits = [1000 * seconds for seconds in latencies(reviewers)]
    values = (
        len(confirmed),
        sum(written.get(uid) != number for uid, number in confirmed.items()),
        len(written.keys() - confirmed.keys()),
        sum(len(one.conflicts) for one in reviewers),
        sum(len(one.went_wrong) for one in reviewers),
        sum(any(number not in one.heard for one in reviewers) for number in range(1, last + 1)),
        f"{statistics.median(waits):.0f} ms",
        f"{percentile(waits, 0.95):.0f} ms",
        f"{max(waits):.0f} ms",
    )
    return {
        what: f"{value:,}" if isinstance(value, int) else value for what, value in zip(_TARGETS, values, strict=True)
    }
