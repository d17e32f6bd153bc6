"""Writing a run: all files are made beside the folder and moved in at the end, so that none is ever half there."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from earwitness.pipeline.table.frame import flat, to_polars
from earwitness.schemas import InputError, Problem, columns, validate
from earwitness.schemas.spreadsheet import guarded_throughout

FILES = (
    "events.csv",
    "events.jsonl",
    "events.parquet",
    "mentions.jsonl",
    "utterances.jsonl",
    "problems.csv",
    "run.json",
)
"""The files of a run."""
DATABASE = "review.sqlite"
"""The file of people's decisions on a run, in its folder; no draft touches it."""


def write_run(
    out: Path,
    events: Sequence[dict[str, Any]],
    mentions: Sequence[dict[str, Any]],
    problems: Sequence[Problem],
    run: Mapping[str, Any],
    utterances: Sequence[dict[str, Any]] = (),
) -> None:
    """Validate and write the files of a run into `out`, replacing those of an earlier run and touching nothing else.

    Raises:
        ContractError: a row breaks its schema; nothing is written.
        InputError: the folder cannot be written.
    """
    troubles = [
        {"file": p.file, "line": p.line, "severity": p.severity, "reason": p.reason, "expected": p.expected}
        for p in problems
    ]
    run = _found_from(out, run)
    for name, rows in (
        ("event", events),
        ("mention", mentions),
        ("utterance", utterances),
        ("problem", troubles),
        ("run", [run]),
    ):
        validate(name, rows)
    try:
        out.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(prefix=".earwitness-", dir=out))
    except OSError as error:
        raise InputError(
            Problem(str(out), 0, f"cannot write here ({error.strerror})", "a folder to write to")
        ) from error
    try:
        (aside / "events.csv").write_text(_csv([flat(row) for row in events], columns("event")), encoding="utf-8")
        (aside / "events.jsonl").write_text(_json_lines(events), encoding="utf-8")
        to_polars(events).write_parquet(aside / "events.parquet", compression="zstd")
        (aside / "mentions.jsonl").write_text(_json_lines(mentions), encoding="utf-8")
        (aside / "utterances.jsonl").write_text(_json_lines(utterances), encoding="utf-8")
        (aside / "problems.csv").write_text(_csv(troubles, columns("problem")), encoding="utf-8")
        (aside / "run.json").write_text(json.dumps(run, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
        # run.json last: a folder whose run.json is new is whole.
        for name in FILES:
            (aside / name).replace(out / name)
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def _found_from(out: Path, run: Mapping[str, Any]) -> Mapping[str, Any]:
    """The summary with the way from the run's folder to each description, which holds wherever one works later."""
    if "recordings" not in run:
        return run
    told = [one | {"pathFromRun": Path(os.path.relpath(one["path"], out)).as_posix()} for one in run["recordings"]]
    return {**run, "recordings": told}


def _csv(rows: Sequence[Mapping[str, Any]], names: Sequence[str]) -> str:
    lines = io.StringIO(newline="")
    # As RFC 4180 has it; with a bare line feed a cell that holds a bare carriage return would not be quoted.
    writer = csv.DictWriter(lines, fieldnames=list(names), lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(
        {key: guarded_throughout(value) if isinstance(value, str) else value for key, value in row.items()}
        for row in rows
    )
    return lines.getvalue()


def _json_lines(rows: Sequence[Mapping[str, Any]]) -> str:
    return "".join(json.dumps(row, ensure_ascii=False) + "\n" for row in rows)
