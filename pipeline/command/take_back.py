"""`earwitness take-back`: an edited export, compared with what was exported and taken in."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer
from rich import box
from rich.table import Table
from rich.text import Text

from earwitness.pipeline.command.console import complaints, results
from earwitness.pipeline.place import parse_start
from earwitness.pipeline.publish.changes import Differences
from earwitness.pipeline.publish.run_folder import refuse_missing
from earwitness.pipeline.publish.take_back import compare, take_in, taken_in
from earwitness.schemas import InputError, Problem

SHOWN = 40


def take_back_command(
    edited: Annotated[
        Path, typer.Argument(help="The edited CSV or XLSX, with its publication.json beside it.", show_default=False)
    ],
    run: Annotated[Path, typer.Option(help="Folder of the run that was exported.")],
    to: Annotated[
        Path | None,
        typer.Option(help="Folder for the run with the edits; without it the differences are listed and no more."),
    ] = None,
    by: Annotated[str | None, typer.Option(help="Who decided; needed with --to.")] = None,
    at: Annotated[
        str | None, typer.Option(help="UTC moment of the decision, like 2031-11-04T10:00:00Z; default: now.")
    ] = None,
    pseudonyms: Annotated[
        Path | None, typer.Option(help="The key of pseudonyms, where the export had pseudonyms.")
    ] = None,
    database: Annotated[
        str | None,
        typer.Option(
            help="Where a team's decisions are, as for `publish`; default: review.sqlite of the run, if there."
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the differences as JSON.")] = False,
    everything: Annotated[bool, typer.Option("--all", help=f"List every cell, not only the first {SHOWN}.")] = False,
) -> None:
    """Take back an edited table: list what was changed, added and removed, check it, and take it in.

    The run itself stays as it is: the run with the edits goes into the folder --to names. Changed and added rows are
    "changed" there by whoever --by names, removed ones are kept as "rejected". One edit that cannot be used stops all.

        earwitness take-back dive_published/events.xlsx --run dive_draft
        earwitness take-back dive_published/events.xlsx --run dive_draft --to dive_reviewed --by "R. Reader"
    """
    refuse_missing(run)
    if to is not None and not (by and by.strip()):
        raise InputError(Problem("--by", 0, "is not given", "the name of whoever decided, for reviewedBy"))
    moment = parse_start(at) if at else datetime.now(UTC)
    stamp = moment.isoformat(timespec="seconds").replace("+00:00", "Z")
    told = compare(run, edited, pseudonyms, database)
    found = told.differences
    if as_json:
        results.print_json(json.dumps(_json(found), ensure_ascii=False).encode("utf-8", "replace").decode())
    else:
        _tell(found, None if everything else SHOWN)
    for problem in found.problems:
        complaints.print(complaints.literal(str(problem)), style="yellow", soft_wrap=True)
    if to is None:
        taken_in(told, by or "nobody", stamp)
        return
    rows = take_in(told, to, by or "", stamp)
    if not as_json:
        results.print(results.literal(f"Taken in: {len(rows)} rows written to {to}."), soft_wrap=True)


def _json(found: Differences) -> dict[str, object]:
    return {
        "changed": [
            {"eventID": c.event_id, "column": c.column, "before": c.before, "after": c.after, "line": c.line}
            for c in found.changes
        ],
        "added": [{"line": addition.line, "cells": dict(addition.cells)} for addition in found.added],
        "removed": list(found.removed),
        "problems": [str(problem) for problem in found.problems],
    }


def _tell(found: Differences, limit: int | None) -> None:
    counts = f"{len(found.changed)} rows changed, {len(found.added)} added, {len(found.removed)} removed."
    results.print(counts if found else "Nothing was edited.", style="bold")
    if found.changes:
        table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
        for name in ("line", "event", "column", "was", "is"):
            table.add_column(name)
        for change in found.changes[:limit]:
            cells = (str(change.line), change.event_id, change.column, _shown(change.before), _shown(change.after))
            table.add_row(*(Text(cell) for cell in cells))
        if limit is not None and len(found.changes) > limit:
            table.caption = f"{len(found.changes) - limit} more cells: --all lists them"
        results.print(table)
    for addition in found.added[:limit]:
        what = addition.cells.get("scientificName") or addition.cells.get("recordKind") or "row"
        results.print(results.literal(f"added, line {addition.line}: {what}"), soft_wrap=True)
    for name in found.removed[:limit]:
        results.print(results.literal(f"removed: {name}"), soft_wrap=True)


def _shown(value: object) -> str:
    return "" if value is None else "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in str(value))
