"""`earwitness demo`: the main job on the built-in invented dive."""

from __future__ import annotations

import json
from importlib.resources import as_file, files
from pathlib import Path
from typing import Annotated

import typer
from rich import box
from rich.table import Table

from earwitness.pipeline.command.console import complaints, results
from earwitness.pipeline.command.event_list import event_list, run_lines
from earwitness.pipeline.drafting import draft
from earwitness.pipeline.place import read_recording
from earwitness.pipeline.score import Score, score_run
from earwitness.taxonomy import open_index

DIVE = "quillmere_canyon"
VERSIONS = {"clean": "the true talk", "heard": "as a recogniser might have heard it"}


def demo(
    out: Annotated[Path, typer.Option(help="Folder for the results.")] = Path("earwitness_demo"),
    everything: Annotated[bool, typer.Option("--all", help="List every event of the clean talk.")] = False,
) -> None:
    """Draft an invented dive that comes with earwitness, from clean and from misheard captions.

    The talk, the ship, the people, the place and the vehicle's log are invented; the taxa are real. See
    fixtures/README.md.
    """
    with as_file(files("earwitness.fixtures") / DIVE) as dive:
        described = json.loads((dive / "dive.json").read_text(encoding="utf-8"))
        recording = read_recording(dive / "recording.toml")
        index = open_index(dive / "checklist.csv")
        scores: dict[str, Score] = {}
        for version, meaning in VERSIONS.items():
            with complaints.status(f"Listening to the dive, {meaning}"):
                run = draft(dive / f"{version}.vtt", index, recordings=[recording])
                run.write(out / version)
            gold = [dive / "gold_events.csv", dive / "gold_mentions.csv"]
            scores[version] = score_run(out / version, gold, checklist=index.checklist)
            results.print(event_list(run.events, None if everything else 25, f"{described['region']}: {meaning}"))
            for line in run_lines(run.events, run.problems, run.summary, out / version):
                results.print(line)
            results.print()
    results.print(_comparison(scores))


def _comparison(scores: dict[str, Score]) -> Table:
    """How both drafts compare with the dive's gold rows."""
    table = Table(
        box=box.SIMPLE_HEAD,
        pad_edge=False,
        title="Against what the script's author meant (F1; 1 is perfect)",
        title_justify="left",
        title_style="bold",
    )
    table.add_column("captions")
    for name in ("found in time", "species", "genus", "family", "right or above"):
        table.add_column(name, justify="right")
    for version, score in scores.items():
        events = score.to_json()["events"]
        levels = [
            events["levels"]["detection"],
            *(events["levels"][k] for k in ("species", "genus", "family")),
        ]
        figures = [*levels, events["levels"]["rightOrAncestor"]]
        table.add_row(version, *("–" if f["f1"] is None else f"{f['f1']:.2f}" for f in figures))
    return table
