"""`earwitness explain`: why a row of the event table says what it says."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer
from rapidfuzz import process

from earwitness.pipeline.command.console import CAUTION_LINE, results
from earwitness.pipeline.command.explanation import Row, explanation
from earwitness.pipeline.table import read_rows
from earwitness.schemas import ContractError, InputError, Problem, columns, validate

NEAR_IDS = 5
"""How many event IDs an error names."""
ALIKE = 60
"""Likeness (0-100) from which an ID may be the one that was meant; a choice, no source."""


def explain_command(
    event_id: Annotated[
        str,
        typer.Argument(help="eventID of a row, or as much of its beginning as no other has.", show_default=False),
    ],
    out: Annotated[Path, typer.Argument(help="Folder of the finished run; default: where you are.")] = Path(),
    as_json: Annotated[bool, typer.Option("--json", help="Print the same as JSON.")] = False,
) -> None:
    """Tell why a row of the event table says what it says.

    Shows the words with the names and cues marked, what each cue did, which names the words may mean and how well each
    fits, how the name came about step by step, and what else was said of the animal.

        earwitness explain dive:o00039177 dive_draft
    """
    event, mentions, others = found(event_id, out)
    if as_json:
        told = {"event": event, "mentions": mentions, "alsoNamed": others, "caution": CAUTION_LINE}
        # Half a surrogate pair is JSON, and no text.
        results.print_json(json.dumps(told, ensure_ascii=False).encode("utf-8", "replace").decode())
        return
    results.print(explanation(event, mentions, others))


def found(event_id: str, out: Path) -> tuple[Row, list[Row], list[Row]]:
    """The event of a run, the mentions it rests on, and what else was named in the same utterances; in order of time.

    Raises:
        InputError: no or several such events, a folder without a run, a broken file.
    """
    events, mentions = read_rows(out / "events.jsonl", {}), read_rows(out / "mentions.jsonl", {})
    event = _chosen(event_id, events, out)
    here = [row for row in mentions if row.get("recordingID") == event.get("recordingID")]
    own = [row for row in here if row.get("eventID") == event["eventID"]]
    spoken = {_utterance(row) for row in own}
    others = [row for row in here if row.get("eventID") != event["eventID"] and _utterance(row) in spoken]
    (event,) = _whole("event", [event], out / "events.jsonl")
    own, others = (_whole("mention", rows, out / "mentions.jsonl") for rows in (own, others))
    return event, sorted(own, key=_when), sorted(others, key=_when)


def _chosen(event_id: str, events: Sequence[Row], out: Path) -> Row:
    by_id = {row["eventID"]: row for row in events if isinstance(row.get("eventID"), str)}
    if event_id in by_id:
        return by_id[event_id]
    begun = [known for known in by_id if event_id and known.startswith(event_id)]
    if len(begun) == 1:
        return by_id[begun[0]]
    file = str(out / "events.jsonl")
    if begun:
        reason = f"{len(begun)} events begin with {event_id!r}"
        raise InputError(Problem(file, 0, reason, f"one of {_listed(begun)}"))
    near = [known for known, _, _ in process.extract(event_id, list(by_id), limit=NEAR_IDS, score_cutoff=ALIKE)]
    expected = f"perhaps {_listed(near)}" if near else f"an eventID of this run, like {_listed(list(by_id))}"
    if not by_id:
        expected = "an eventID; this run has no events"
    raise InputError(Problem(file, 0, f"there is no event {event_id!r}", expected))


def _listed(ids: Sequence[str]) -> str:
    more = f" and {len(ids) - NEAR_IDS} more" if len(ids) > NEAR_IDS else ""
    return ", ".join(ids[:NEAR_IDS]) + more


def _whole(schema: str, rows: Sequence[Row], file: Path) -> list[Row]:
    """Rows with every column; one of another version, or that somebody edited, is refused rather than half told."""
    for row in rows:
        try:
            validate(schema, [row])
        except ContractError as error:
            reason = f"{schema} {row.get(schema + 'ID')!r} cannot be told: {str(error).partition(': ')[2][:200]}"
            remedy = f"rows as this version writes them (schemas/{schema}.schema.json): draft the recording again"
            raise InputError(Problem(str(file), 0, reason, remedy)) from error
    return [dict.fromkeys(columns(schema)) | row for row in rows]


def _utterance(row: Row) -> str:
    """What tells one utterance of a recording from another; any row has it, a broken one too."""
    return repr([row.get(column) for column in ("utteranceStart", "utteranceEnd", "utteranceText")])


def _when(row: Row) -> tuple[float, str]:
    return row["startTime"], row["mentionID"]
