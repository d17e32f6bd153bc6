"""`earwitness publish`: a finished run to files for archives, maps, players and spreadsheets."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from earwitness.pipeline.command.console import complaints, results
from earwitness.pipeline.publish import CAUTION, FORMATS, Issue, Options, Publisher, StatusWords, is_reviewed, publish
from earwitness.pipeline.report import REPORT
from earwitness.schemas import InputError, Problem

# Formats of stages after publish (the report) are added here.
PUBLISHERS: dict[str, Publisher] = {publisher.name: publisher for publisher in (*FORMATS, REPORT)}


def publish_command(
    out: Annotated[Path, typer.Argument(help="Folder of a finished run.", show_default=False)],
    formats: Annotated[
        list[str],
        typer.Option("--as", help=f"Format, once for each: {', '.join(PUBLISHERS)}."),
    ],
    to: Annotated[
        Path, typer.Option(help="Folder for the files; or, for one format that is a file, the file (with its ending).")
    ],
    publication: Annotated[
        Path | None,
        typer.Option(
            help="TOML file with title, creators, contact, licence, rights holder and where the video lies. "
            "Needed for what archives take (dwca, audiovisual-core)."
        ),
    ] = None,
    only_reviewed: Annotated[
        bool, typer.Option("--only-reviewed", help="Only rows that a person has accepted or changed.")
    ] = False,
    least_certainty: Annotated[
        float | None, typer.Option(min=0, max=1, help="Leave out occurrences whose speaker sounds less sure (0-1).")
    ] = None,
    blur: Annotated[
        float | None,
        typer.Option(
            help="Width of a grid in degrees, like 0.1: positions become the centres of their cells, with an "
            "uncertainty that covers the cell; the vehicle's track is left out."
        ),
    ] = None,
    pseudonyms: Annotated[
        Path | None,
        typer.Option(help="Replace people's names by pseudonyms; this CSV file, kept by you alone, says who is who."),
    ] = None,
    database: Annotated[
        str | None,
        typer.Option(help="Where a team's decisions are, as for `review`; default: OUT/review.sqlite, if there."),
    ] = None,
    status: Annotated[
        StatusWords, typer.Option(help="Words of occurrenceStatus: present and absent, or detected and notDetected.")
    ] = "present",
    as_json: Annotated[bool, typer.Option("--json", help="Print what was written as JSON.")] = False,
) -> None:
    """Publish a run: for biodiversity archives, maps, video players, spreadsheets.

    What people decided with `earwitness review` goes in; rows that a person has rejected stay behind. All others say
    that they are a machine draft from spoken commentary until a person has reviewed them. Nothing that archives take is
    written without a licence and a rights holder.

    publication.json, beside the files, says what was exported with which options; `earwitness take-back` needs it.

        earwitness publish dive_draft --as dwca --as geojson --to dive_published --publication dive.toml
    """
    unknown = [name for name in formats if name not in PUBLISHERS]
    if unknown:
        raise InputError(Problem("--as", 0, f"there is no format {unknown[0]!r}", f"one of {', '.join(PUBLISHERS)}"))
    options = Options(only_reviewed, least_certainty, blur, pseudonyms, status)
    chosen = [PUBLISHERS[name] for name in dict.fromkeys(formats)]
    with complaints.status("Starting") as shown:
        issue = publish(
            out,
            chosen,
            to,
            options,
            publication,
            watch=lambda text: shown.update(complaints.literal(text)),
            database=database,
        )
    for problem in issue.edition.problems:
        complaints.print(complaints.literal(str(problem)), style="yellow", soft_wrap=True)
    if as_json:
        results.print_json(issue.manifest.read_text(encoding="utf-8"))
        return
    _tell(issue, chosen)


def _tell(issue: Issue, chosen: list[Publisher]) -> None:
    rows = issue.edition.rows
    reviewed = sum(map(is_reviewed, rows))
    left = ", ".join(f"{number} {reason}" for reason, number in issue.edition.left_out.items())
    results.print(
        f"{len(rows)} rows, {reviewed} of them reviewed by a person." + (f" Left out: {left}." if left else "")
    )
    for publisher, path in zip(chosen, issue.files, strict=True):
        results.print(results.literal(f"{publisher.name}: {path}"), soft_wrap=True)
    if issue.edition.publication is None:
        results.print("A working copy: no licence was given, so it is not for publication.")
    results.print(CAUTION, style="bold")
