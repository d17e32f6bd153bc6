"""`earwitness draft`: transcripts and a checklist to a folder with the event table."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from earwitness.pipeline.command.console import complaints, results
from earwitness.pipeline.command.event_list import event_list, run_lines
from earwitness.pipeline.command.options import pairs
from earwitness.pipeline.describe import LASER_CM
from earwitness.pipeline.drafting import draft, recording_ids
from earwitness.pipeline.people import refuse_key_within
from earwitness.pipeline.place import parse_start

SHOWN = 40
SHOWN_OF_SEVERAL = 12


def draft_command(
    transcripts: Annotated[
        list[Path],
        typer.Argument(
            help="Transcripts: WebVTT, SubRip, SBV, TTML, timed text, CSV/TSV or a recogniser's JSON.",
            show_default=False,
        ),
    ],
    checklist: Annotated[
        Path,
        typer.Option(help="Taxa as CSV/TSV (plain or .gz) with Darwin Core columns, or a Darwin Core Archive."),
    ],
    out: Annotated[Path, typer.Option(help="Folder for the results; files of an earlier run in it are replaced.")],
    start: Annotated[
        list[str] | None,
        typer.Option(
            help="UTC moment of the first frame, like 2031-06-14T08:12:00Z; with several transcripts "
            "NAME=MOMENT, once for each. Without it no calendar time is given."
        ),
    ] = None,
    recording: Annotated[
        list[Path] | None,
        typer.Option(
            help="Description of a recording (TOML): start, clock, cuts, vehicle logs. Gives dates, and from logs "
            "positions, depths and the water's properties. Once for each recording."
        ),
    ] = None,
    column: Annotated[
        list[str] | None,
        typer.Option(help="For a checklist with columns of its own: THEIRS=TERM, like 'Latin name=scientificName'."),
    ] = None,
    words: Annotated[Path | None, typer.Option(help="Folder with word lists of your own, named as ours.")] = None,
    corrections: Annotated[
        Path | None,
        typer.Option(help="File of corrections; default: CHECKLIST's name.corrections.csv beside it."),
    ] = None,
    lasers: Annotated[
        float, typer.Option(min=0.1, help="Distance of the vehicle's two laser dots, in centimetres.")
    ] = LASER_CM,
    pseudonyms: Annotated[
        Path | None,
        typer.Option(
            help="Replace people's names and speakers' labels in everything that is written; this CSV file, outside "
            "--out, keeps who is who and is added to."
        ),
    ] = None,
    model: Annotated[
        str | None, typer.Option(help="An installed spaCy pipeline to use instead of blank English.")
    ] = None,
    strict: Annotated[bool, typer.Option("--strict", help="Stop at the first cue that cannot be used.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the run's summary as JSON and no table.")] = False,
    everything: Annotated[
        bool,
        typer.Option(
            "--all", help=f"List every event, not only the first {SHOWN} ({SHOWN_OF_SEVERAL} of several recordings)."
        ),
    ] = False,
) -> None:
    """Draft the event table of one or more recordings.

    Writes events.csv, events.jsonl, events.parquet (the same rows), mentions.jsonl (every name that was heard),
    utterances.jsonl (all that was said), problems.csv (what could not be used) and run.json (what went in) into the
    folder --out names.

    With --pseudonyms, people are called "Person 1", "Person 2" ... throughout, the same in every run with the same
    file. Paths and names of recordings are left as they are, as is what an animal is called.

    With --recording, the talk of a transcript whose name is the description's id, or one of its transcripts, gets
    dates and places. fixtures/quillmere_canyon/recording.toml is an example; schemas/recording.schema.json says what
    may stand in it. Positions are the vehicle's, and not fit for navigation.

    What people corrected (`earwitness checklist correct`) comes first, whatever else the words may mean.

    Two confidences, never mixed: how well the words fit the name ("fits"), and how sure the speaker was ("sure").

        earwitness draft dive.vtt --checklist taxa.csv --out dive_draft --start 2031-06-14T08:12:00Z
    """
    if pseudonyms:
        refuse_key_within(pseudonyms, out)
    with complaints.status("Starting") as status:
        run = draft(
            transcripts,
            checklist,
            columns=pairs("--column", column or [], "THEIRS=TERM"),
            starts=_starts(start or [], transcripts),
            recordings=recording or [],
            own_words=words,
            corrections=corrections,
            laser_cm=lasers,
            pseudonyms=pseudonyms,
            strict=strict,
            model=model,
            watch=lambda text: status.update(complaints.literal(text)),
        )
        status.update("Writing")
        run.write(out)
    if as_json:
        results.print_json(json.dumps(run.summary, ensure_ascii=False))
        return
    names = recording_ids(transcripts)
    limit = None if everything else (SHOWN if len(names) == 1 else SHOWN_OF_SEVERAL)
    for name in names:
        events = [event for event in run.events if event["recordingID"] == name]
        results.print(event_list(events, limit, title=name))
    corrected = sum(mention["matchedHow"] == "corrected" for mention in run.mentions)
    for line in run_lines(run.events, run.problems, run.summary, out, corrected):
        results.print(line)


def _starts(texts: list[str], transcripts: list[Path]) -> dict[str, datetime]:
    names = recording_ids(transcripts)
    if len(texts) == 1 and "=" not in texts[0] and len(names) == 1:
        return {names[0]: parse_start(texts[0])}
    shape = "NAME=MOMENT, with NAME one of " + ", ".join(names)
    return {name: parse_start(moment) for name, moment in pairs("--start", texts, shape).items()}
