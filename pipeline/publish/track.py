"""The vehicle's way, from the logs that a run's recordings were described with.

The run's folder keeps the way to the description and its hash, and no copy of the logs: where they are gone, or have
changed since, there is no track, and a Problem says why.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from earwitness.pipeline.place import read_recording, track_points
from earwitness.pipeline.publish.publisher import Fix
from earwitness.schemas import InputError, Problem

EVERY = 10.0
"""Seconds between the fixes that are shown; a choice: a vehicle makes some metres in that time."""


def run_track(run: Mapping[str, Any]) -> tuple[tuple[Fix, ...], tuple[Problem, ...]]:
    """The track of every recording of a run that has one, and what stood in the way of the others'."""
    fixes: list[Fix] = []
    problems: list[Problem] = []
    for told in run.get("recordings", ()):
        path = str(told["path"])
        try:
            recording = read_recording(Path(path))
        except InputError as error:
            reason = f"no track: {error.problem.reason}"
            problems.append(Problem(error.problem.file, error.problem.line, reason, error.problem.expected, "noted"))
            continue
        if recording.sha256 != told["sha256"]:
            reason = "no track: the description has changed since the run"
            problems.append(Problem(path, 0, reason, "draft the recording again", "noted"))
            continue
        names = told.get("recordingIDs") or [told["id"]]
        start = recording.clock.utc(0.0) if recording.clock else None
        for point in track_points(recording, every=EVERY):
            since = (point.utc - start).total_seconds() if start else 0.0
            place = (point.latitude, point.longitude, point.depth)
            # Several transcripts of one recording are one way of the vehicle.
            fixes.append(Fix(names[0], round(since, 3), *place, moment=_iso(point.utc)))
    return tuple(fixes), tuple(problems)


def _iso(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
