"""`earwitness score`: a run's folder against gold files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from earwitness.pipeline.command.console import complaints, results
from earwitness.pipeline.score import EVENT_TOLERANCE, MENTION_TOLERANCE, render, score_run
from earwitness.schemas import InputError, Problem
from earwitness.taxonomy import Checklist, load_checklist


def score_command(
    out: Annotated[Path, typer.Argument(help="Folder of a finished run.", show_default=False)],
    against: Annotated[
        list[Path],
        typer.Option(help="Gold events, gold mentions, or both (twice --against): CSV, told by their header."),
    ],
    checklist: Annotated[
        Path | None, typer.Option(help="Checklist for the names in the gold; default: the one the run used.")
    ] = None,
    recording: Annotated[str | None, typer.Option(help="Which recording, where the run has several.")] = None,
    tolerance: Annotated[
        float,
        typer.Option(min=0, help="Seconds by which a gold event is widened before it is matched in time."),
    ] = EVENT_TOLERANCE,
    mention_tolerance: Annotated[
        float, typer.Option(min=0, help="As --tolerance, for mentions and the utterances they stand in.")
    ] = MENTION_TOLERANCE,
    as_json: Annotated[bool, typer.Option("--json", help="Print the figures as JSON.")] = False,
) -> None:
    """Measure a run against what a careful reader wrote down.

    Events are matched one to one in time, then counted: right at species, genus and family, right or an ancestor of
    what is right, certainty, counts. With gold mentions also what was heard, missed and made up, and how claims were
    taken. The claims come first: sightings with the right name, rows that are no sighting, changed names that ended
    right, counts, and whether surer words were given more certainty.

        earwitness score dive_draft --against gold_events.csv --against gold_mentions.csv
    """
    score = score_run(
        out,
        against,
        checklist=_checklist(out, checklist),
        recording=recording,
        tolerance=tolerance,
        mention_tolerance=mention_tolerance,
    )
    if as_json:
        results.print_json(json.dumps(score.to_json(), ensure_ascii=False))
        return
    results.print(render(score))
    for problem in score.problems:
        complaints.print(complaints.literal(str(problem)), style="yellow", soft_wrap=True)


def _checklist(out: Path, given: Path | None) -> Checklist:
    """The checklist given, or the one run.json names, if it still is the same."""
    if given is not None:
        return load_checklist(given)
    summary = out / "run.json"
    remedy = "a finished run's folder, or --checklist FILE"
    try:
        used = json.loads(summary.read_text(encoding="utf-8"))["checklist"]
        path, digest = Path(used["path"]), used["sha256"]
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise InputError(Problem(str(summary), 0, "cannot tell the run's checklist", remedy)) from error
    if not path.exists():
        raise InputError(Problem(str(path), 0, "the run's checklist is not there any more", "--checklist FILE"))
    checklist = load_checklist(path)
    if checklist.sha256 != digest:
        raise InputError(Problem(str(path), 0, "the checklist has changed since the run", "--checklist FILE"))
    return checklist
