"""The vehicle's way, from the logs that a run's recordings were described with.

The run's folder keeps the way to the description and its hash, and no copy of the logs: where they are gone, or have
changed since, there is no track, and a Problem says why.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from itertools import groupby, pairwise
from typing import Any

from earwitness.pipeline.place import Recording, read_recording, track_points
from earwitness.pipeline.place.description import read_description
from earwitness.pipeline.publish.described import as_drafted, credited, no_longer
from earwitness.pipeline.publish.options import Options
from earwitness.pipeline.publish.publisher import Fix
from earwitness.schemas import InputError, Problem

EVERY = 10.0
"""Seconds between the fixes that are shown; a choice: a vehicle makes some metres in that time."""
_JOINED = " | "
"""Between the names of recordings that have a stretch in common, as Darwin Core joins lists."""


def run_track(run: Mapping[str, Any], options: Options | None = None) -> tuple[tuple[Fix, ...], tuple[Problem, ...]]:
    """The track of every recording of a run that has one, and what the descriptions, where they are gone, leave out.

    Args:
        run: the run's run.json.
        options: how the edition is made. Where it blurs positions there is no track, as it would undo that.

    Returns:
        Fixes, in order of recording and time. Transcripts of one recording, and recordings with one log, have the same
        stretches, each in its own name and by its own time (see `drawn_once`).
    """
    options = options or Options()
    blurred = options.grid_degrees is not None
    fixes: list[Fix] = []
    problems: list[Problem] = []
    for told in run.get("recordings", ()):
        try:
            if blurred:
                as_drafted(told, read_description)
            else:
                recording = as_drafted(told, read_recording)
                _refuse_other_logs(recording, told["logs"])
                fixes.extend(_fixes(recording, told.get("recordingIDs") or [told["id"]]))
        except InputError as error:
            problems.append(no_longer(error, "no track, blurred or not" if blurred else "no track"))
    uncredited = () if options.pseudonyms else credited(run)[1]
    return tuple(fixes), (*problems, *uncredited)


def _refuse_other_logs(recording: Recording, logs: Iterable[Mapping[str, Any]]) -> None:
    for log, told in zip(recording.logs, logs, strict=True):
        if log.sha256 != told["sha256"]:
            raise InputError(Problem(log.file, 0, "the log has changed since the run", "draft the recording again"))


def _fixes(recording: Recording, names: Iterable[str]) -> list[Fix]:
    start = recording.clock.utc(0.0) if recording.clock else None
    points = [
        (
            round((point.utc - start).total_seconds() if start else 0.0, 3),
            point.latitude,
            point.longitude,
            point.depth,
            _iso(point.utc),
        )
        for point in track_points(recording, every=EVERY)
    ]
    return [Fix(name, *point) for name in names for point in points]


def drawn_once(track: Iterable[Fix]) -> list[list[Fix]]:
    """The track in stretches to be drawn: each once, in the names of all recordings that have it ("dive_a | dive_b").

    Where another recording's stretch goes on, the fix between is in both, so that no line has a hole.
    """
    ways = [list(way) for _, way in groupby(track, lambda fix: fix.recording_id)]
    owners: dict[object, dict[str, None]] = {}
    for way in ways:
        for step in _steps(way):
            owners.setdefault(tuple(map(_spot, step)), {})[way[0].recording_id] = None
    drawn: list[list[Fix]] = []
    for way in ways:
        last: Fix | None = None
        for one, two in _steps(way):
            # Taken out of the list: a step that is not in it any more has been drawn.
            own = owners.pop((_spot(one), _spot(two)), None)
            if own is None:
                continue
            name = _JOINED.join(own)
            if one is not last or drawn[-1][0].recording_id != name:
                drawn.append([replace(one, recording_id=name)])
            if two is not one:
                drawn[-1].append(replace(two, recording_id=name))
            last = two
    return drawn


def _steps(way: Sequence[Fix]) -> Iterator[tuple[Fix, Fix]]:
    """From each fix to the next; a lone fix goes nowhere."""
    return pairwise(way) if len(way) > 1 else iter([(way[0], way[0])])


def _spot(fix: Fix) -> object:
    """What two fixes have in common that are one; a fix without a moment is its recording's alone."""
    return (fix.moment or (fix.recording_id, fix.time), fix.latitude, fix.longitude)


def _iso(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
