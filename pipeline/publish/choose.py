"""Rows of a run come in, rows as they may go out: chosen, disguised, blurred; and how many stayed behind, and why."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from earwitness.pipeline.publish.blur import blurred
from earwitness.pipeline.publish.options import Options
from earwitness.pipeline.publish.publisher import Row
from earwitness.pipeline.publish.run_folder import RunFolder
from earwitness.pipeline.publish.statements import is_reviewed
from earwitness.schemas import InputError, Problem

_STATUS = {"present": {"detected": "present", "notDetected": "absent"}}
_STATUS["detected"] = {present: detected for detected, present in _STATUS["present"].items()}
_RELATED = re.compile(r'^"[^"]*":"(.*)"$')


def chosen(run: RunFolder, options: Options) -> tuple[list[Row], Counter[str]]:
    """The rows that go out, and how many were left out for which reason.

    Raises:
        InputError: no row is left, or the key of pseudonyms cannot be used.
    """
    reasons = [_left_out(row, options) for row in run.events]
    kept = [row for row, reason in zip(run.events, reasons, strict=True) if reason is None]
    left = Counter(reason for reason in reasons if reason is not None)
    if not kept:
        told = ", ".join(f"{number} {reason}" for reason, number in left.items())
        remedy = "other options, or rows that a person has reviewed"
        raise InputError(Problem(str(run.folder / "events.jsonl"), 0, f"no row is left to publish: {told}", remedy))
    kept = _without_dangling(kept)
    if options.pseudonyms and not run.run["settings"].get("pseudonyms"):
        # Names are found with spaCy, which nothing else here needs.
        from earwitness.pipeline.publish.disguise import disguised

        kept = disguised(kept, run.mentions, options.pseudonyms)
    if options.grid_degrees is not None:
        kept = [blurred(row, options.grid_degrees) for row in kept]
    words = _STATUS[options.status_words]
    return [row | {"occurrenceStatus": words.get(s := row["occurrenceStatus"], s)} for row in kept], left


def _left_out(row: Row, options: Options) -> str | None:
    if row["reviewStatus"] == "rejected":
        return "rejected"
    if options.reviewed_only and not is_reviewed(row):
        return "not reviewed"
    least = options.least_certainty
    if least is not None and row["certainty"] is not None and row["certainty"] < least:
        return "less certain"
    return None


def _without_dangling(rows: Sequence[Row]) -> list[Row]:
    """Relations to rows that stay behind are left out with them."""
    there = {row["eventID"] for row in rows}

    def stays(part: str) -> bool:
        found = _RELATED.match(part)
        return found is None or found[1] in there

    done = []
    for row in rows:
        parts = (row["associatedOccurrences"] or "").split(" | ")
        done.append(row | {"associatedOccurrences": " | ".join(p for p in parts if p and stays(p)) or None})
    return done
