"""Whether the right claims are recorded: the figures of `earwitness score` that have a target, beside it.

Every scripted dive, clean and as heard, then all of them together; the dives nobody tunes on apart from the others.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

from earwitness.pipeline.score.claims import order_agreement
from earwitness.pipeline.score.figures import GOLD_STATUSES, STATUSES, Confusion, Rates, share
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.narrations import dives, measured, unseen_dives

Score = dict[str, Any]
CAPTIONS = ("clean.vtt", "heard.vtt")
KIN = {"same_taxon", "same_genus", "same_family", "ancestor"}


@dataclass(frozen=True)
class Figure:
    """A column: its value over one or more dives together, and the bound for clean and for heard captions."""

    name: str
    value: Callable[[Sequence[Score]], float | None]
    clean: float | None
    heard: float | None
    at_most: bool = False


def _added(scores: Sequence[Score], part: str, *keys: str) -> tuple[int, ...]:
    return tuple(sum(score["claims"][part][key] for score in scores) for key in keys)


def _sighting(scores: Sequence[Score]) -> float | None:
    return Rates(*_added(scores, "sighting", "correct", "inRun", "inGold")).f1


def _false(scores: Sequence[Score]) -> float | None:
    *kinds, rows = _added(scores, "falseRows", "notOccurrence", "repeated", "invented", "rows")
    return share(sum(kinds), rows)


def _chains(scores: Sequence[Score]) -> float | None:
    return share(*_added(scores, "chains", "right", "chains"))


def _counts(scores: Sequence[Score]) -> float | None:
    return share(*_added(scores, "countRight", "right", "asked"))


def _status(scores: Sequence[Score]) -> float | None:
    tables = [score["mentions"]["status"]["rowsGoldColumnsRun"] for score in scores]
    added = tuple(tuple(map(sum, zip(*rows, strict=True))) for rows in zip(*tables, strict=True))
    return Confusion(STATUSES, added, averaged=GOLD_STATUSES).macro.f1


def _order(kind: str) -> Callable[[Sequence[Score]], float | None]:
    def value(scores: Sequence[Score]) -> float | None:
        pairs = [pair for score in scores for pair in score[kind]["pairs"]]
        if kind == "events":
            pairs = [pair for pair in pairs if pair["isOccurrence"] and pair["agreement"] in KIN]
        return order_agreement((pair["runCertainty"], pair["goldCertaintyTerm"]) for pair in pairs).tau

    return value


FIGURES = (
    Figure("sighting F1", _sighting, 0.90, 0.75),
    Figure("status F1", _status, 0.90, None),
    Figure("count right", _counts, 0.92, None),
    Figure("false rows", _false, 0.05, 0.08, at_most=True),
    Figure("chains right", _chains, 0.90, None),
    Figure("tau-b mentions", _order("mentions"), 0.75, None),
    Figure("tau-b events", _order("events"), 0.75, None),
)


def main(console: Console) -> None:
    """Print the table: a row a dive and kind of caption, all dives together, and the targets."""
    table = Table(
        title="Claims: sightings within 5 s, of the right name; status over all eight; * short of the target",
        caption="false rows by kind: of what is no occurrence, recorded already, nothing like it there",
    )
    for name in ("dives", "captions", *(figure.name for figure in FIGURES), "false rows by kind"):
        table.add_column(name, justify="left" if name in ("dives", "captions") else "right")
    indexes: dict[Path, NameIndex] = {}
    for title, folders in (
        ("development dives", dives()),
        ("opened dives", unseen_dives(opened=True)),
        ("blind dives", unseen_dives()),
    ):
        for captions in CAPTIONS:
            present = [(folder, checklist) for folder, checklist in folders if (folder / captions).exists()]
            scores = []
            for folder, checklist in present:
                if checklist not in indexes:
                    indexes[checklist] = NameIndex(load_checklist(checklist))
                scores.append(measured(folder, captions, indexes[checklist])[1])
                table.add_row(folder.name, captions, *_cells(scores[-1:], captions))
            if scores:
                table.add_section()
                table.add_row(f"all {len(scores)} {title}", captions, *_cells(scores, captions), style="bold")
                table.add_section()
    for captions in CAPTIONS:
        table.add_row("target", captions, *(_target(figure, captions) for figure in FIGURES), "")
    console.print(table)


def _bound(figure: Figure, captions: str) -> float | None:
    return figure.clean if captions == "clean.vtt" else figure.heard


def _target(figure: Figure, captions: str) -> str:
    bound = _bound(figure, captions)
    return "" if bound is None else f"{'≤' if figure.at_most else '≥'} {bound:.2f}"


def _cells(scores: Sequence[Score], captions: str) -> list[str]:
    cells = []
    for figure in FIGURES:
        value, bound = figure.value(scores), _bound(figure, captions)
        short = value is not None and bound is not None and (value > bound if figure.at_most else value < bound)
        cells.append("–" if value is None else f"{value:.3f}{'*' if short else ' '}")
    kinds = _added(scores, "falseRows", "notOccurrence", "repeated", "invented")
    return [*cells, " + ".join(map(str, kinds))]
