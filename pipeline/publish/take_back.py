"""An edited export comes in; it is compared with what was exported, and the run with the edits goes out.

    told = compare("dive_draft", "dive_published/events.csv")
    take_in(told, "dive_reviewed", by="R. Reader", at="2031-11-04T10:00:00Z")

A row that was changed is "changed" by whoever hands it in; one that was removed is kept as "rejected"; one that was
added is "changed" too: nothing of the run is lost. Refuses edits that break the event schema, and an export of another
state of the run.
"""

from __future__ import annotations

import csv
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, cast

from earwitness.pipeline.publish.changes import Addition, Differences, differences
from earwitness.pipeline.publish.edited import read_edited
from earwitness.pipeline.publish.issue import MANIFEST, make_edition
from earwitness.pipeline.publish.options import Options
from earwitness.pipeline.publish.publisher import Row
from earwitness.pipeline.publish.run_folder import RunFolder, read_run
from earwitness.pipeline.publish.statements import is_reviewed
from earwitness.pipeline.table import write_run
from earwitness.pipeline.table.remarks import signed, unsigned
from earwitness.schemas import ContractError, InputError, Problem, Severity, columns, validate
from earwitness.schemas.spreadsheet import unguarded

_LETTERS = {"occurrence": "o", "marker": "m", "measurement": "q", "substrate": "s"}
_REVIEW = ("reviewStatus", "reviewedBy", "reviewedAt")


@dataclass(frozen=True, slots=True)
class Comparison:
    """An edited file beside the run it came from."""

    run: RunFolder
    edited: Path
    sha256: str
    differences: Differences


def compare(
    out: str | Path, edited: str | Path, pseudonyms: Path | None = None, database: str | None = None
) -> Comparison:
    """Compare an edited export with what was exported.

    Args:
        out: the run's folder.
        edited: the edited CSV or XLSX; its publication.json lies beside it.
        pseudonyms: the key, where the export had pseudonyms.
        database: where people's decisions are (see `read_run`).

    Raises:
        InputError: one of them cannot be used, or they do not belong together.
    """
    run, table = read_run(out, database), read_edited(edited)
    edition = make_edition(run, _options(Path(edited), run, pseudonyms), with_track=False)
    digest = hashlib.sha256(Path(edited).read_bytes()).hexdigest()
    return Comparison(run, Path(edited), digest, differences(edition, table))


def _options(edited: Path, run: RunFolder, pseudonyms: Path | None) -> Options:
    """The options of the export, as the publication.json beside it has them."""
    found = [
        path for path in (edited.with_name(f"{edited.stem}.{MANIFEST}"), edited.with_name(MANIFEST)) if path.exists()
    ]
    remedy = f"the {MANIFEST} that was written with the export, beside the edited file"
    if not found:
        raise InputError(Problem(str(edited.with_name(MANIFEST)), 0, "is missing", remedy))
    try:
        told = json.loads(found[0].read_text(encoding="utf-8"))
        chosen, digest = told["options"], told["eventsSha256"]
        hidden = bool(chosen["pseudonyms"])
        options = Options(
            bool(chosen["reviewedOnly"]),
            chosen["leastCertainty"],
            chosen["gridDegrees"],
            pseudonyms if hidden else None,
            chosen["statusWords"],
        )
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise InputError(Problem(str(found[0]), 0, f"cannot be used ({type(error).__name__})", remedy)) from error
    if digest != run.sha256:
        reason = "the export was made of another state of the run"
        expected = "a new export of the run as it is now, and the edits made in that"
        raise InputError(Problem(str(found[0]), 0, reason, expected))
    if hidden and pseudonyms is None:
        raise InputError(Problem("--pseudonyms", 0, "the export has pseudonyms", "the key that it was made with"))
    return options


def taken_in(told: Comparison, by: str, at: str) -> list[Row]:
    """The run's rows with the edits, checked.

    Raises:
        InputError: an edit cannot be used; names the line of the edited file and the remedy.
    """
    found = told.differences
    if found.problems:
        raise InputError(found.problems[0])
    edits: dict[str, dict[str, Any]] = {}
    lines: dict[str, int] = {}
    for change in found.changes:
        edits.setdefault(change.event_id, {})[change.column] = change.after
        lines.setdefault(change.event_id, change.line)
    review = {"reviewedBy": by, "reviewedAt": at}
    order = {name: place for place, name in enumerate(dict.fromkeys(r["recordingID"] for r in told.run.events))}
    rows = []
    for row in told.run.events:
        name = row["eventID"]
        if name in found.removed:
            row = row | review | {"reviewStatus": "rejected"}
        elif name in edits:
            row = _reviewed(row, edits[name], review)
            _check(row, told.edited, lines[name])
            if row["recordingID"] not in order:
                reason = f"recordingID is {row['recordingID']!r}"
                raise InputError(Problem(str(told.edited), lines[name], reason, f"one of {', '.join(order)}"))
        rows.append(row)
    taken = {row["eventID"] for row in rows}
    for addition in found.added:
        row = _added(addition, told, review, taken)
        _check(row, told.edited, addition.line)
        taken.add(row["eventID"])
        rows.append(row)
    return sorted(rows, key=lambda row: (order[row["recordingID"]], row["startTime"], row["eventID"]))


def _reviewed(row: Row, edits: Mapping[str, Any], review: Mapping[str, str]) -> Row:
    """The row with its edits; a draft is 'changed' unless the editor says otherwise."""
    new = {**row, **edits}
    if new["reviewStatus"] == "draft":
        new["reviewStatus"] = "changed"
    content = any(column not in _REVIEW for column in edits)
    for column in ("reviewedBy", "reviewedAt"):
        if not new[column] or (content and column not in edits):
            new[column] = review[column]
    told = new["identificationRemarks"]
    if content and told and unsigned(told) != told:
        # Who signed before did not see it as it stands now.
        new = signed(new)
    return new


def _added(addition: Addition, told: Comparison, review: Mapping[str, str], taken: set[str]) -> Row:
    sample = told.run.events[0]
    own = {"softwareVersion", "checklistName", "checklistHash"}
    row: Row = dict.fromkeys(columns("event"))
    row |= {name: [] for name, value in sample.items() if isinstance(value, list)}
    row |= {name: sample[name] for name in own}
    row |= {"timeUncertainty": 0.0, "transcriptText": "", "reviewStatus": "changed", **review}
    row |= {name: value for name, value in addition.cells.items() if name not in own}
    known = dict.fromkeys(r["recordingID"] for r in told.run.events)
    if row["recordingID"] not in known:
        reason = f"a new row is of recording {row['recordingID']!r}"
        raise InputError(Problem(str(told.edited), addition.line, reason, f"one of {', '.join(known)}"))
    if not is_reviewed(row):
        row["reviewStatus"] = "changed"
    if row["recordKind"] == "occurrence":
        row = {**row, "basisOfRecord": row["basisOfRecord"] or "MachineObservation"}
    if not row["eventID"] and isinstance(row["startTime"], int | float):
        letter = _LETTERS.get(str(row["recordKind"]), "x")
        stem = f"{row['recordingID']}:{letter}{round(row['startTime'] * 1000):08d}"
        names = (stem, *(f"{stem}.{number}" for number in range(2, len(taken) + 3)))
        row["eventID"] = next(name for name in names if name not in taken)
    return row


def _check(row: Row, file: Path, line: int) -> None:
    try:
        validate("event", [row])
    except ContractError as error:
        reason = str(error).partition(": ")[2][:240]
        raise InputError(Problem(str(file), line, reason, "a row as schemas/event.schema.json tells")) from error
    if row["endTime"] < row["startTime"]:
        raise InputError(Problem(str(file), line, "endTime is before startTime", "a time that is not earlier"))
    if row["eventDate"] and not _is_interval(row["eventDate"]):
        reason = f"eventDate {row['eventDate']!r} is no time there was"
        expected = "moments in UTC that the calendar has, the first not after the second"
        raise InputError(Problem(str(file), line, reason, expected))


def _is_interval(text: str) -> bool:
    """Whether moments of ISO 8601, of the form that the schema asks for, exist and stand in order."""
    try:
        moments = [datetime.fromisoformat(part) for part in text.split("/")]
    except ValueError:
        return False
    return moments == sorted(moments)


def take_in(told: Comparison, to: str | Path, by: str, at: str) -> list[Row]:
    """Write the run with the edits into a folder of its own.

    Raises:
        InputError: an edit or the folder cannot be used; nothing is written.
    """
    target = Path(to)
    if target.resolve() == told.run.folder.resolve():
        reason = "is the folder of the run, which stays as it was drafted"
        raise InputError(Problem(str(to), 0, reason, "another folder"))
    rows = taken_in(told, by, at)
    found = told.differences
    edits = {"changed": len(found.changed), "added": len(found.added), "removed": len(found.removed)}
    back = {
        "file": told.edited.name,
        "sha256": told.sha256,
        "eventsSha256": told.run.sha256,
        "by": by,
        "at": at,
        **edits,
    }
    settings = dict(told.run.run["settings"])
    settings["takenBack"] = [*settings.get("takenBack", []), back]
    kinds = [row["recordKind"] for row in rows]
    counts = dict(told.run.run["counts"]) | {"events": len(rows)}
    counts |= {f"{kind}s": kinds.count(kind) for kind in _LETTERS}
    problems = _problems(told.run.folder / "problems.csv")
    summary = dict(told.run.run) | {"settings": settings, "counts": counts}
    write_run(target, rows, list(told.run.mentions), problems, summary, list(told.run.utterances))
    return rows


def _problems(file: Path) -> list[Problem]:
    """The problems of the run; what stands there is checked again when it is written."""
    if not file.exists():
        return []
    with file.open(encoding="utf-8", newline="") as lines:
        return [_problem(row) for row in csv.DictReader(lines)]


def _problem(row: Mapping[str, str]) -> Problem:
    path, reason, expected = (unguarded(row[column]) for column in ("file", "reason", "expected"))
    return Problem(path, int(row["line"] or 0), reason, expected, cast(Severity, row["severity"]))
