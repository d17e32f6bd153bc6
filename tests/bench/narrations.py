"""Scores on the scripted dives, clean and as heard: the built-in one, and the development narrations where they lie
beside the checkout."""

from __future__ import annotations

import tempfile
from pathlib import Path

from rich.console import Console
from rich.table import Table

from earwitness.pipeline import draft
from earwitness.pipeline.score import score_run
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.places import FIXTURES, SHARED

CAPTIONS = ("clean.vtt", "heard.vtt", "heard_words.json")
LEVELS = ("detection", "species", "genus", "family", "rightOrAncestor")


def dives() -> list[tuple[Path, Path]]:
    """Folders of dives with gold, and the checklist of each."""
    found = [(FIXTURES / "quillmere_canyon", FIXTURES / "quillmere_canyon" / "checklist.csv")]
    narrations = SHARED / "narrations"
    if narrations.is_dir():
        checklist = SHARED / "checklists" / "demo_seas.csv"
        found += [(folder, checklist) for folder in sorted(narrations.iterdir()) if folder.is_dir()]
    return found


def main(console: Console) -> None:
    """Print a table of scores, a row a dive and kind of caption."""
    table = Table(title="Scripted dives: F1 (precision/recall) of events within 5 s; status F1 (macro) of mentions")
    for name in ("dive", "captions", *LEVELS, "counts", "certainty", "status"):
        table.add_column(name, justify="left" if name in ("dive", "captions") else "right")
    indexes: dict[Path, NameIndex] = {}
    for folder, checklist in dives():
        index = indexes.setdefault(checklist, NameIndex(load_checklist(checklist)))
        for captions in CAPTIONS:
            table.add_row(folder.name, captions, *_figures(folder, captions, index))
    console.print(table)


def _figures(folder: Path, captions: str, index: NameIndex) -> list[str]:
    with tempfile.TemporaryDirectory() as out:
        draft(folder / captions, index).write(out)
        gold = [folder / "gold_events.csv", folder / "gold_mentions.csv"]
        score = score_run(Path(out), gold, checklist=index.checklist).to_json()
    events, mentions = score["events"], score["mentions"]
    levels = [_rates(events["levels"][level]) for level in LEVELS]
    counts = (
        events["count"]["exactOfAsked"],
        events["certainty"]["micro"]["f1"],
        mentions["status"]["macro"]["f1"],
    )
    return [*levels, *("–" if figure is None else f"{figure:.2f}" for figure in counts)]


def _rates(rates: dict[str, float | None]) -> str:
    f1, precision, recall = ("–" if rates[k] is None else f"{rates[k]:.2f}" for k in ("f1", "precision", "recall"))
    return f"{f1} ({precision}/{recall})"
