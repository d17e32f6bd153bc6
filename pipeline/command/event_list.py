"""Events as a table for the terminal, and the lines under it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from rich import box
from rich.table import Table
from rich.text import Text

from earwitness.pipeline.command.console import CAUTION_LINE, Words
from earwitness.schemas import Problem

_SURE = {"certain": "bold green", "probable": "green", "possible": "yellow", "doubtful": "red"}
_ITALIC_RANKS = {"genus", "subgenus", "species", "subspecies"}


def event_list(events: Sequence[Mapping[str, Any]], limit: int | None, title: str) -> Table:
    """A table of events: time, what, how many, how sure the speaker was, how well the name fits, the words."""
    table = Table(
        box=box.SIMPLE_HEAD, pad_edge=False, title=Words.literal(title), title_justify="left", title_style="bold"
    )
    table.add_column("time", justify="right", style="dim", no_wrap=True)
    table.add_column("what")
    table.add_column("how many", max_width=9)
    table.add_column("sure", no_wrap=True)
    table.add_column("fits", justify="right", no_wrap=True)
    table.add_column("heard as", max_width=26)
    shown = events[:limit]
    for event in shown:
        table.add_row(
            _clock(event["startTime"]), _what(event), _how_many(event), _sure(event), _fit(event), _heard(event)
        )
    if len(shown) < len(events):
        table.caption = f"{len(events) - len(shown)} more: --all lists them, events.csv has them"
    return table


def run_lines(
    events: Sequence[Mapping[str, Any]],
    problems: Sequence[Problem],
    summary: Mapping[str, Any],
    out: Path,
    corrected: int = 0,
) -> Iterator[Text]:
    """What was found, how many names people had corrected, what could not be used, where it lies, and the caution."""
    counts = summary["counts"]
    taxa = len({event["taxonID"] for event in events if event["taxonID"]})
    yield Text(
        f"{counts['occurrences']} occurrences of {taxa} taxa, {counts['markers']} markers, "
        f"{counts['measurements']} measurements, {counts['substrates']} notes of the ground."
    )
    if corrected:
        file = Words.literal(Path(summary["settings"]["corrections"]["path"]).name)
        yield Text(f"{corrected} {'name' if corrected == 1 else 'names'} as corrected in {file}.")
    for severity, meaning in (("skipped", "could not be used"), ("mended", "were mended")):
        found = [problem for problem in problems if problem.severity == severity]
        if found:
            yield Text(f"{len(found)} parts of the input {meaning}; first: {found[0]}", style="yellow")
    yield Text(f"Written to {Words.literal(str(out))}: events.csv, .jsonl, .parquet; problems.csv; run.json.")
    yield Text(CAUTION_LINE, style="bold")


def _clock(seconds: float) -> Text:
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return Text(f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}")


def _what(event: Mapping[str, Any]) -> Text:
    if event["recordKind"] == "occurrence":
        style = "italic" if event["taxonRank"] in _ITALIC_RANKS else ""
        text = Text(event["scientificName"], style=style)
        if event["identificationQualifier"]:
            text.append(f" {event['identificationQualifier']}", style="not italic")
        if event["vernacularName"]:
            text.append(f"  {event['vernacularName']}", style="not italic dim")
        return text
    if event["recordKind"] == "marker":
        rank = f" {event['markerRank']}" if event["markerRank"] is not None else ""
        return Text(f"▸ {event['markerType'].replace('_', ' ')}{rank}", style="cyan")
    if event["recordKind"] == "measurement":
        return Text(
            f"▸ {event['measurementType']} {event['measurementValue']} {event['measurementUnit']}",
            style="cyan",
        )
    return Text(f"▸ ground: {event['habitat']}", style="cyan dim")


def _how_many(event: Mapping[str, Any]) -> Text:
    if event["individualCount"] is not None:
        return Text(str(event["individualCount"]))
    sign = {"individuals, approximate": "~", "individuals, at least": "≥"}.get(event["organismQuantityType"] or "", "")
    return Text(f"{sign}{event['organismQuantity']}" if event["organismQuantity"] else "")


def _sure(event: Mapping[str, Any]) -> Text:
    term = event["certaintyTerm"]
    return Text(term, style=_SURE[term]) if term else Text("")


def _fit(event: Mapping[str, Any]) -> Text:
    score = event["nameScore"]
    return Text("" if score is None else f"{score:.2f}")


def _heard(event: Mapping[str, Any]) -> Text:
    words = event["verbatimIdentification"] if event["recordKind"] == "occurrence" else ""
    return Text(f"“{words}”" if words else "")
