"""The tables of the history, the same in SQLite and PostgreSQL. Rows are added, never changed; but for the counter of
a run, which is also what writers lock, and for lessons that wait to be written into the file of corrections."""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Integer, MetaData, String, Table, Text, UniqueConstraint

FORMAT = 1
"""Of these tables; to be raised when their meaning changes."""

metadata = MetaData()

formats = Table("desk_format", metadata, Column("format", Integer, primary_key=True))

runs = Table(
    "desk_runs",
    metadata,
    Column("run", String(16), primary_key=True),
    Column("last", Integer, nullable=False),
)

decisions = Table(
    "desk_decisions",
    metadata,
    Column("run", String(16), ForeignKey("desk_runs.run"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("uid", String(200), nullable=False),
    Column("at", String(32), nullable=False),
    Column("reviewer", Text, nullable=False),
    Column("action", String(16), nullable=False),
    Column("changes", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("undoes", Integer),
    Column("batch", String(200)),
    Column("software", Text, nullable=False),
    Column("draft", String(64), nullable=False),
    Column("lesson", Text),
    UniqueConstraint("run", "uid"),
)

touched = Table(
    "desk_touched",
    metadata,
    Column("run", String(16), primary_key=True),
    Column("event", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
)
"""Which decisions touched an event: the largest number is its version."""

snapshots = Table(
    "desk_snapshots",
    metadata,
    Column("run", String(16), primary_key=True),
    Column("event", Text, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("row", Text, nullable=False),
)
"""Drafted rows as the decision of that number saw them."""

drafts = Table(
    "desk_drafts",
    metadata,
    Column("run", String(16), primary_key=True),
    Column("draft", String(64), primary_key=True),
    Column("events", Text, nullable=False),
)
"""The events of each draft that decisions were made on, by the SHA-256 of its events.jsonl."""

waiting = Table(
    "desk_waiting",
    metadata,
    Column("run", String(16), primary_key=True),
    Column("number", Integer, primary_key=True),
)
"""Decisions whose lesson is not yet in the file of corrections."""

Index("desk_batches", decisions.c.run, decisions.c.batch)
