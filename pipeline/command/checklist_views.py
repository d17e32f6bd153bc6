"""What `earwitness checklist` shows: tables for people, plain lists for machines, printed for as long as one reads."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import typer
from rich import box
from rich.console import RenderableType
from rich.table import Table

from earwitness.pipeline.command.console import complaints, results
from earwitness.schemas import Problem
from earwitness.taxonomy import NameIndex, Suggestion
from earwitness.taxonomy.corrections import Corrections, Statement
from earwitness.taxonomy.fold import spoken_key
from earwitness.taxonomy.health import Health, Item

SUGGESTIONS_LINE = "Suggestions, not identifications: a qualified taxonomist has to check names against the video."
_RANKS_SHOWN = 12
_NAMES_SHOWN = 4


@contextmanager
def as_long_as_read() -> Iterator[None]:
    """Stop quietly where whoever reads standard output has had enough (`| head`)."""
    try:
        yield
    except BrokenPipeError:
        # What is still buffered would fail once more when Python ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit from None


def show(what: RenderableType) -> None:
    """Print for people, at once."""
    with results.capture() as captured:
        results.print(what)
    typer.echo(captured.get(), nl=False)


def print_json(what: Any, indent: int | None = 1) -> None:
    """Print JSON in UTF-8 whatever the terminal's encoding is (RFC 8259, section 8.1), at once."""
    typer.echo(json.dumps(what, ensure_ascii=False, indent=indent).encode())


def complain(problems: Sequence[Problem]) -> None:
    """A line on standard error for each problem."""
    for problem in problems:
        complaints.print(complaints.literal(str(problem)), style="yellow", soft_wrap=True)


def candidate(index: NameIndex, suggestion: Suggestion) -> dict[str, str | float | None]:
    """A suggestion for machines. The vernacular is the one that fits the words, else the taxon's first."""
    taxon = index.checklist.taxon(suggestion.row)
    first = taxon.vernaculars[0] if taxon.vernaculars else None
    return {
        "scientificName": taxon.scientific_name,
        "vernacularName": suggestion.entry.text if suggestion.entry.kind == "vernacular" else first,
        "taxonID": taxon.taxon_id,
        "nameScore": suggestion.score,
    }


def answer_table(index: NameIndex, learned: Corrections, heard: str, found: Sequence[Suggestion]) -> Table:
    """Heard words and, a line each, nameScore, name, vernacular, rank, and what people corrected."""
    key = spoken_key(heard.replace("\n", " "))
    corrected = learned.names_for(key)
    table = Table(box=None, show_header=False, pad_edge=False, title=results.literal(f"“{heard}”"))
    table.title_justify, table.title_style = "left", "bold"
    for suggestion in found:
        told = candidate(index, suggestion)
        table.add_row(
            f"{suggestion.score:.2f}",
            results.literal(str(told["scientificName"])),
            results.literal(str(told["vernacularName"] or "")),
            results.literal(index.checklist.taxon(suggestion.row).rank),
            "corrected" if suggestion.row in corrected else "",
        )
    if not found:
        table.add_row("names no taxon, as corrected" if learned.is_no_name(key) else "no candidates")
    return table


def statement(said: Statement) -> dict[str, str | bool]:
    """A row of the corrections for machines."""
    return {
        "heard": said.heard,
        "scientificName": said.name,
        "taxonID": said.taxon_id,
        "action": said.action,
        "by": said.by,
        "at": said.at,
        "note": said.note,
        "stands": said.stands,
    }


def corrections_table(title: str, listed: Sequence[Statement]) -> Table:
    """Corrections for people; what no longer stands is struck out."""
    table = _table(title, "heard", "means", "by", "at", "note", "")
    for said in listed:
        means = "names no taxon" if said.action == "no name" else said.name or said.taxon_id or "all of it"
        state = "" if said.stands else "undo" if said.action == "undo" else "taken back"
        cells = map(results.literal, (said.heard, means, said.by, said.at, said.note))
        table.add_row(*cells, state, style="" if said.stands else "dim")
    return table


def health_parts(health: Health, examples: int | None) -> Iterator[RenderableType]:
    """The health of a checklist for people, ending with what to do about each finding."""
    kinds = health.kinds
    names = _table(
        f"{health.name}: {kinds['accepted']} taxa, {kinds['synonym']} synonyms, {kinds['vernacular']} vernaculars, "
        f"{kinds['english']} English forms of group names",
        "rank",
    )
    for kind in ("accepted", "synonyms", "vernaculars"):
        names.add_column(kind, justify="right")
    shown, rest = health.ranks[:_RANKS_SHOWN], health.ranks[_RANKS_SHOWN:]
    for rank in shown:
        counts = map(str, (rank.accepted, rank.synonyms, rank.vernaculars))
        names.add_row(results.literal(rank.rank or "no rank"), *counts)
    if rest:
        sums = (sum(getattr(rank, kind) for rank in rest) for kind in ("accepted", "synonyms", "vernaculars"))
        names.add_row(f"{len(rest)} other ranks", *map(str, sums), style="dim")
    yield names
    table = _table("How it can be heard", "finding")
    table.add_column("how many", justify="right")
    table.add_column("of", justify="right")
    table.add_column("such as" if examples else "which", overflow="fold")
    for finding in health.findings:
        cases = "\n".join(_case(item) for item in finding.items[:examples])
        of = str(finding.of) if finding.of else ""
        table.add_row(finding.title, str(finding.count), of, cases, style="" if finding.count else "dim")
    yield table
    todo = [finding for finding in health.findings if finding.count]
    yield "[bold]What to do[/]" if todo else "Nothing to do."
    for finding in todo:
        yield f"• [bold]{finding.title}[/] ({finding.count}): {finding.remedy}"


def _case(item: Item) -> str:
    more = f" and {len(item.names) - _NAMES_SHOWN} more" if len(item.names) > _NAMES_SHOWN else ""
    names = " / ".join(item.names[:_NAMES_SHOWN]) + more
    return results.literal(f"{names} ({item.note})" if names and item.note else names or item.note)


def _table(title: str, *columns: str) -> Table:
    table = Table(*columns, box=box.SIMPLE_HEAD, pad_edge=False, title=results.literal(title))
    table.title_justify, table.title_style = "left", "bold"
    return table
