"""Scores on the scripted dives, clean and as heard: the built-in one, and the development narrations where they lie
beside the checkout."""

from __future__ import annotations

import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

from earwitness.pipeline import draft
from earwitness.pipeline.score import score_run
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.places import FIXTURES, HERE, SHARED
from tests.unseen import OPENED

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


def unseen_dives(*, opened: bool = False) -> list[tuple[Path, Path]]:
    """Folders of the dives that nobody tunes on (clean captions only), or of those opened to rule writers, and the
    checklist of each; none without them."""
    folder, checklist = HERE / "tests" / "unseen", SHARED / "checklists" / "demo_seas.csv"
    if not (folder.is_dir() and checklist.exists()):
        return []
    found = [path.parent for path in sorted(folder.glob("*/clean.vtt"))]
    return [(path, checklist) for path in found if (path.name in OPENED) is opened]


def main(console: Console) -> None:
    """Print a table of scores, a row a dive and kind of caption."""
    table = Table(title="Scripted dives: F1 (precision/recall) of events within 5 s; status F1 (macro) of mentions")
    for name in ("dive", "captions", *LEVELS, "counts", "certainty", "status"):
        table.add_column(name, justify="left" if name in ("dive", "captions") else "right")
    indexes: dict[Path, NameIndex] = {}
    right: Counter[str] = Counter()
    found: Counter[str] = Counter()
    for folder, checklist in dives():
        index = indexes.setdefault(checklist, NameIndex(load_checklist(checklist)))
        for captions in CAPTIONS:
            mentions, score = measured(folder, captions, index)
            table.add_row(folder.name, captions, *_figures(score))
            if captions == "clean.vtt":
                _count_ways(mentions, score, right, found)
    console.print(table)
    ways = "; ".join(f"{how} {right[how]}/{n} = {(right[how] + 1) / (n + 2):.2f}" for how, n in sorted(found.items()))
    console.print(
        f"Clean captions, names right or an ancestor or below, by way of matching (rule of succession): {ways}"
    )


def measured(folder: Path, captions: str, index: NameIndex) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """The mention rows of a dive, and its score."""
    with tempfile.TemporaryDirectory() as out:
        run = draft(folder / captions, index)
        run.write(out)
        gold = [folder / "gold_events.csv", folder / "gold_mentions.csv"]
        return run.mentions, score_run(Path(out), gold, checklist=index.checklist).to_json()


def _count_ways(
    mentions: list[dict[str, Any]], score: dict[str, Any], right: Counter[str], found: Counter[str]
) -> None:
    """By way of matching: how many names were found, and how many of them are related to what was meant."""
    how = {mention["mentionID"]: mention["matchedHow"] for mention in mentions}
    found.update(how.values())
    for pair in score["mentions"]["pairs"]:
        if pair["mentionID"] and pair["goldName"] and pair["relation"] in ("same", "ancestor", "descendant"):
            right[how[pair["mentionID"]]] += 1


def _figures(score: dict[str, Any]) -> list[str]:
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
