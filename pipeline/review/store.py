"""The history of a run's decisions: kept in a SQLite file or on a PostgreSQL server, appended to and never changed.

    store = open_store("dive_draft/review.sqlite", run_key(["dive_206"]))
    decisions = store.append([proposed])

What `append` returns is on the disk: SQLite writes ahead and syncs at every commit, PostgreSQL as its server is set up.
Writers take turns at the run's row, so that numbers have no gaps. Refuses a decision on an event that has another
version by then (ConflictError), and a database of a newer format (InputError).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import URL, Connection, Engine, create_engine, event, func, insert, make_url, select, text, update
from sqlalchemy.exc import ArgumentError, DBAPIError, SQLAlchemyError

from earwitness.pipeline.review.decisions import Change, Conflict, ConflictError, Decision, Lesson, Proposed, Row
from earwitness.pipeline.review.tables import (
    FORMAT,
    decisions,
    drafts,
    formats,
    metadata,
    runs,
    snapshots,
    touched,
    waiting,
)
from earwitness.schemas import InputError, Problem

T = TypeVar("T")

_LOCK = 0x6561727769746E65
"""Of PostgreSQL's advisory locks, for making the tables: the bytes of "earwitne"."""
_PATIENCE = 60
"""Seconds that a writer waits for its turn."""


def run_key(recording_ids: Sequence[str]) -> str:
    """The key of a run: its recordings, whatever draft of them."""
    return hashlib.sha256("\n".join(sorted(recording_ids)).encode()).hexdigest()[:16]


def open_store(place: str | Path, key: str) -> Store:
    """Open the history of a run, made where there is none.

    Args:
        place: a SQLite file, or a URL like postgresql://user@server/database.
        key: see `run_key`.

    Raises:
        InputError: the database cannot be opened or is of a newer format.
    """
    url, shown = _url(place)
    engine = _engine(url)
    try:
        _prepare(engine, key, shown)
    except InputError:
        engine.dispose()
        raise
    except SQLAlchemyError as error:
        engine.dispose()
        raise InputError(
            Problem(shown, 0, f"cannot be opened ({_reason(error)})", "a database of decisions")
        ) from error
    return Store(engine, key, shown)


class Store:
    """The history of one run. Safe to use from several threads; several processes may have it open."""

    def __init__(self, engine: Engine, key: str, shown: str):
        self._engine, self.key, self.shown = engine, key, shown

    def append(self, proposed: Sequence[Proposed]) -> list[Decision]:
        """Append decisions, all or none; when this returns they are on the disk.

        A uid that the history has already is not written again: what stands is returned.

        Raises:
            ConflictError: an event has another version than was seen; nothing is written.
        """
        with self._writing() as connection:
            last = connection.execute(select(runs.c.last).where(runs.c.run == self.key).with_for_update()).scalar_one()
            known = self._select(connection, decisions.c.uid.in_([one.uid for one in proposed]))
            if known:
                return known
            self._refuse_conflicts(connection, proposed)
            made = [one.decided(number) for number, one in enumerate(proposed, start=last + 1)]
            connection.execute(insert(decisions), [self._cells(decision) for decision in made])
            for decision, one in zip(made, proposed, strict=True):
                here = {"run": self.key, "number": decision.number}
                events = dict.fromkeys(change.event_id for change in decision.changes)
                if events:
                    connection.execute(insert(touched), [here | {"event": name} for name in events])
                if one.snapshots:
                    rows = [here | {"event": name, "row": _dumped(row)} for name, row in one.snapshots.items()]
                    connection.execute(insert(snapshots), rows)
                if decision.lesson is not None:
                    connection.execute(insert(waiting), [here])
            connection.execute(update(runs).where(runs.c.run == self.key).values(last=last + len(made)))
        return made

    def since(self, number: int) -> list[Decision]:
        """All decisions after that number, in order."""
        with self._reading() as connection:
            return self._select(connection, decisions.c.number > number)

    def last(self) -> int:
        """Number of the last decision; 0: none."""
        with self._reading() as connection:
            return int(connection.execute(select(runs.c.last).where(runs.c.run == self.key)).scalar_one())

    def snapshots_since(self, number: int) -> dict[int, dict[str, Row]]:
        """Drafted rows kept with decisions after that number: number -> event -> row."""
        asked = select(snapshots.c.number, snapshots.c.event, snapshots.c.row).where(
            snapshots.c.run == self.key, snapshots.c.number > number
        )
        found: dict[int, dict[str, Row]] = {}
        with self._reading() as connection:
            for at, name, row in connection.execute(asked):
                found.setdefault(at, {})[name] = json.loads(row)
        return found

    def keep_draft(self, sha256: str, events: Sequence[str]) -> None:
        """Note which events a draft has, once, so that a newer one can be told from it."""
        with self._writing() as connection:
            here = (drafts.c.run == self.key) & (drafts.c.draft == sha256)
            # Before the look, so that of two at once the other waits.
            connection.execute(select(runs.c.last).where(runs.c.run == self.key).with_for_update())
            if connection.execute(select(drafts.c.draft).where(here)).first() is None:
                row = {"run": self.key, "draft": sha256, "events": _dumped(list(events))}
                connection.execute(insert(drafts), [row])

    def draft_events(self, sha256: str) -> frozenset[str] | None:
        """The events of a draft that decisions were made on; None for one that was not noted."""
        asked = select(drafts.c.events).where(drafts.c.run == self.key, drafts.c.draft == sha256)
        with self._reading() as connection:
            found = connection.execute(asked).scalar()
        return frozenset(json.loads(found)) if found is not None else None

    def waiting(self) -> list[int]:
        """Numbers of decisions whose lesson was not told yet."""
        with self._reading() as connection:
            asked = select(waiting.c.number).where(waiting.c.run == self.key).order_by(waiting.c.number)
            return [int(number) for number in connection.execute(asked).scalars()]

    def told(self, numbers: Sequence[int]) -> None:
        """Their lessons are in the file of corrections."""
        with self._writing() as connection:
            connection.execute(waiting.delete().where(waiting.c.run == self.key, waiting.c.number.in_(list(numbers))))

    def close(self) -> None:
        """Let the database go."""
        self._engine.dispose()

    def _refuse_conflicts(self, connection: Connection, proposed: Sequence[Proposed]) -> None:
        seen: dict[str, int] = {}
        for one in proposed:
            for name, version in one.seen.items():
                seen.setdefault(name, version)
        stand = self._versions(connection, list(seen))
        stale = {name: now for name, version in seen.items() if (now := stand.get(name, 0)) != version}
        numbers = list(set(stale.values()))
        last: dict[int, Decision] = {}
        for part in _parts(numbers):
            last |= {one.number: one for one in self._select(connection, decisions.c.number.in_(part))}
        found = []
        for name, now in stale.items():
            decision = last.get(now)
            by, at = (decision.reviewer, decision.at) if decision else ("", "")
            found.append(Conflict(name, seen[name], now, by, at, None, decision))
        if found:
            raise ConflictError(found)

    def _versions(self, connection: Connection, names: list[str]) -> Mapping[str, int]:
        found: dict[str, int] = {}
        for part in _parts(names):
            asked = (
                select(touched.c.event, func.max(touched.c.number))
                .where(touched.c.run == self.key, touched.c.event.in_(part))
                .group_by(touched.c.event)
            )
            found |= {name: int(number) for name, number in connection.execute(asked)}
        return found

    def _select(self, connection: Connection, condition: Any) -> list[Decision]:
        asked = select(decisions).where(decisions.c.run == self.key, condition).order_by(decisions.c.number)
        return [_decision(dict(row)) for row in connection.execute(asked).mappings()]

    def _cells(self, decision: Decision) -> dict[str, Any]:
        lesson = decision.lesson
        return {
            "run": self.key,
            "number": decision.number,
            "uid": decision.uid,
            "at": decision.at,
            "reviewer": decision.reviewer,
            "action": decision.action,
            "changes": _dumped([[c.event_id, c.before, c.after] for c in decision.changes]),
            "note": decision.note,
            "undoes": decision.undoes,
            "batch": decision.batch,
            "software": decision.software,
            "draft": decision.draft,
            "lesson": _dumped([lesson.heard, lesson.taxon_id, lesson.name]) if lesson else None,
        }

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        with self._engine.connect().execution_options(desk_writes=True) as connection, connection.begin():
            yield connection

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with self._engine.connect() as connection, connection.begin():
            yield connection


def _parts(values: list[T]) -> Iterator[list[T]]:
    """SQLite takes some thousand parameters a statement."""
    return (values[begin : begin + 500] for begin in range(0, len(values), 500))


def _dumped(value: object) -> str:
    # ASCII alone: PostgreSQL takes no zero character, and no half of a surrogate pair.
    return json.dumps(value, ensure_ascii=True, separators=(",", ":"))


def _decision(row: Mapping[str, Any]) -> Decision:
    cells = {name: row[name] for name in row if name not in ("run", "changes", "lesson")}
    changes = tuple(Change(*change) for change in json.loads(row["changes"]))
    lesson = Lesson(*json.loads(row["lesson"])) if row["lesson"] else None
    return Decision(**cells, changes=changes, lesson=lesson)


def _url(place: str | Path) -> tuple[URL, str]:
    """The URL to connect with, and how it is shown: without a password."""
    written = str(place)
    if isinstance(place, Path) or "://" not in written:
        return URL.create("sqlite", database=written), written
    try:
        url = make_url(written)
    except (ArgumentError, ValueError) as error:
        raise InputError(Problem("--database", 0, "is no URL of a database", "postgresql://...")) from error
    if url.drivername in ("postgresql", "postgres"):
        url = url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() not in ("postgresql", "sqlite"):
        reason = f"databases of the kind {url.get_backend_name()!r} are not supported"
        raise InputError(Problem("--database", 0, reason, "postgresql://... or a SQLite file"))
    return url, url.render_as_string(hide_password=True)


def _engine(url: URL) -> Engine:
    if url.get_backend_name() != "sqlite":
        return create_engine(url, pool_pre_ping=True)
    engine = create_engine(url, connect_args={"timeout": _PATIENCE})

    @event.listens_for(engine, "connect")
    def _set_up(connection: Any, _: Any) -> None:
        # The driver's own transactions begin too late: at the first write, when another may have written since.
        connection.isolation_level = None
        for pragma in ("journal_mode = WAL", "synchronous = FULL", f"busy_timeout = {_PATIENCE * 1000}"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("desk_writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _prepare(engine: Engine, key: str, shown: str) -> None:
    with engine.connect().execution_options(desk_writes=True) as connection, connection.begin():
        if engine.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        metadata.create_all(connection)
        found = connection.execute(select(formats.c.format)).scalar()
        if found is None:
            connection.execute(insert(formats).values(format=FORMAT))
        elif found > FORMAT:
            raise InputError(Problem(shown, 0, f"was written by a newer version (format {found})", "that version"))
        if connection.execute(select(runs.c.run).where(runs.c.run == key)).first() is None:
            connection.execute(insert(runs).values(run=key, last=0))


def _reason(error: SQLAlchemyError) -> str:
    whole = str(error.orig) if isinstance(error, DBAPIError) and error.orig is not None else str(error)
    return " ".join(whole.split())[:300]
