"""How well doubt puts wrong rows first: drafts of dives whose truth is known, and the doubt of each row.

A row is wrong where people would name it otherwise or reject it: its gold event has another name (a wider or narrower
one, too), is no record, or is not there. AUC: of all pairs of a wrong and a right row, in how many the wrong one has
more doubt (ties half). Of the blind dives only totals are printed.

    python -m tests.bench.doubt
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

from earwitness.pipeline import draft
from earwitness.pipeline.review.queues import doubt
from earwitness.pipeline.score import score_run
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.narrations import dives, unseen_dives

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Judged:
    """A drafted sighting, on how many mentions it rests, and whether it is wrong."""

    row: Row
    mentions: int
    is_wrong: bool


WAYS: dict[str, Callable[[Judged], float]] = {
    "doubt": lambda one: doubt(one.row, mentions=one.mentions),
    "nameScore alone": lambda one: 1 - (one.row["nameScore"] or 0.0),
    "certainty alone": lambda one: 1 - (one.row["certainty"] or 0.0),
    "mentions alone": lambda one: -one.mentions,
}


def judged(captions: Path, index: NameIndex) -> Iterator[Judged]:
    """The sightings drafted from a dive's captions, held against the gold rows beside them."""
    with tempfile.TemporaryDirectory() as out:
        run = draft(captions, index)
        run.write(out)
        score = score_run(Path(out), [captions.parent / "gold_events.csv"], checklist=index.checklist).to_json()
    rows = {row["eventID"]: row for row in run.events}
    for pair in score["events"]["pairs"]:
        if name := pair["eventID"]:
            mentions = sum(mention["eventID"] == name for mention in run.mentions)
            yield Judged(rows[name], mentions, not (pair["relation"] == "same" and pair["isOccurrence"]))


def auc(values: Sequence[tuple[float, bool]]) -> float | None:
    """Of all pairs of a wrong and a right one, the share in which the wrong one has the greater value; ties half."""
    wrong = [value for value, is_wrong in values if is_wrong]
    right = [value for value, is_wrong in values if not is_wrong]
    if not wrong or not right:
        return None
    won = sum((one > other) + (one == other) / 2 for one in wrong for other in right)
    return won / (len(wrong) * len(right))


def found_first(rows: Sequence[Judged], part: float = 1 / 3) -> float:
    """The share of the wrong rows that lie in the most doubtful part of the pile."""
    pile = sorted(rows, key=WAYS["doubt"], reverse=True)
    wrong = sum(one.is_wrong for one in rows)
    return sum(one.is_wrong for one in pile[: round(len(pile) * part)]) / wrong if wrong else 0.0


def main(console: Console) -> None:
    """Print a line for each set of dives and kind of captions."""
    table = Table(title="Doubt: wrong rows before right ones (AUC)")
    for name in ("dives", "captions", "rows", "wrong", *WAYS, "wrong ones in the first third"):
        table.add_column(name, justify="left" if name in ("dives", "captions") else "right")
    indexes: dict[Path, NameIndex] = {}
    sets = (
        ("development", dives(), ("clean", "heard")),
        ("unseen, opened to rule writers", unseen_dives(opened=True), ("clean", "raw")),
        ("unseen, blind", unseen_dives(), ("clean", "raw")),
    )
    for name, folders, kinds in sets:
        for kind in kinds if folders else ():
            rows: list[Judged] = []
            for folder, checklist in folders:
                if checklist not in indexes:
                    indexes[checklist] = NameIndex(load_checklist(checklist))
                rows += judged(folder / f"{kind}.vtt", indexes[checklist])
            table.add_row(name, kind, *_figures(rows))
    console.print(table)


def _figures(rows: Sequence[Judged]) -> Iterable[str]:
    yield str(len(rows))
    yield str(sum(one.is_wrong for one in rows))
    for way in WAYS.values():
        figure = auc([(way(one), one.is_wrong) for one in rows])
        yield "–" if figure is None else f"{figure:.2f}"
    yield f"{found_first(rows):.0%}"


if __name__ == "__main__":
    main(Console(width=150))
