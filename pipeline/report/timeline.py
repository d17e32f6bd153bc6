"""The dive's timeline: what was seen over time, by depth and by higher group. In: rows and track. Out: Timelines.

One timeline runs over all recordings in UTC where every row has it and the recordings follow each other; else each
recording has its own, in its own time. No depth is made up: a row without one stands in its group's lane only.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from earwitness.pipeline.publish.publisher import Fix
from earwitness.pipeline.report.axes import Point
from earwitness.pipeline.report.depths import depth_profile
from earwitness.pipeline.report.groups import Group, Groups
from earwitness.pipeline.report.wording import clean, clock, number, utc

MOST = 12
"""Most timelines in one report."""
LOOSE = 2.0
"""Recordings are laid on one axis if it is no longer than this many times what they last."""
BEYOND = 0.1
"""How far (share of the events' span) the axis may run past the events for the track's sake."""
PHASES = {"dive_start": "dive starts", "on_bottom": "on bottom", "off_bottom": "off bottom", "dive_end": "dive ends"}
LETTERS = {"sample": "S", "image": "I", "highlight": "H", "target": "T"}
PLURALS = {"sample": "samples", "image": "images", "highlight": "highlights", "target": "targets"}
UNSURE = frozenset({"possible", "doubtful"})
SAID = "depth as said"


@dataclass(frozen=True, slots=True)
class Mark:
    """One event on a timeline: the number of its row, its time, depth and lane, and how it is drawn."""

    row: int
    x: float
    depth: float | None
    lane: int
    label: str
    group: Group | None = None
    letter: str = ""
    open: bool = False


@dataclass(frozen=True, slots=True)
class Lane:
    """One line of the timeline: a group of animals, or a kind of marker (then with a letter)."""

    name: str
    events: int
    group: Group | None = None
    letter: str = ""


@dataclass(frozen=True, slots=True)
class Timeline:
    """Everything one timeline shows.

    Args:
        name: of the recording, or of all of them.
        joined: whether times are UTC (seconds of the epoch) over several recordings; else seconds of the recording.
        low: first time of the axis.
        high: last time of the axis.
        start: UTC (seconds of the epoch) of the recording's zero; None where unknown, or the clocks drift apart.
        lanes: groups, then markers, from top to bottom.
        marks: events in order of time.
        phases: (time, name) of what happened to the whole dive.
        profile: stretches of (time, depth) of the vehicle.
        depths: shallowest and deepest; None where nothing has a depth.
        said: (time, text) of depths said aloud.
    """

    name: str
    joined: bool
    low: float
    high: float
    start: float | None
    lanes: tuple[Lane, ...]
    marks: tuple[Mark, ...]
    phases: tuple[tuple[float, str], ...]
    profile: tuple[tuple[Point, ...], ...]
    depths: tuple[float, float] | None
    said: tuple[tuple[float, str], ...]

    @property
    def shown_depths(self) -> tuple[float, float]:
        """The ends of a depth axis, with room above and below the marks."""
        low, high = self.depths or (0.0, 1.0)
        room = max((high - low) * 0.07, 3.0)
        return low - room, high + room

    @property
    def without_depth(self) -> int:
        """Sightings that have no depth."""
        return sum(mark.depth is None for mark in self.marks if mark.group)


def timelines(rows: Sequence[dict[str, Any]], groups: Groups, track: Sequence[Fix]) -> tuple[Timeline, ...]:
    """The timelines of a report; those of the recordings with most rows where there are more than `MOST`."""
    numbered = list(enumerate(rows))
    names = list(dict.fromkeys(clean(row["recordingID"]) for row in rows))
    moments = [utc(row.get("eventDate")) for row in rows]
    if len(names) > 1 and all(moments) and _follow(rows, [m for m in moments if m]):
        return (_timeline(f"{len(names)} recordings", True, numbered, groups, track),)
    each = {name: [(n, row) for n, row in numbered if clean(row["recordingID"]) == name] for name in names}
    chosen = set(sorted(names, key=lambda name: -len(each[name]))[:MOST])
    return tuple(
        _timeline(name, False, each[name], groups, [fix for fix in track if clean(fix.recording_id) == name])
        for name in names
        if name in chosen
    )


def _follow(rows: Sequence[dict[str, Any]], moments: Sequence[datetime]) -> bool:
    """Whether the recordings are of one dive: their common axis is not mostly empty."""
    spans: dict[str, list[float]] = {}
    for row, moment in zip(rows, moments, strict=True):
        spans.setdefault(row["recordingID"], []).append(moment.timestamp())
    lasted = sum(max(times) - min(times) for times in spans.values())
    return max(m.timestamp() for m in moments) - min(m.timestamp() for m in moments) <= LOOSE * lasted


def depth_of(row: dict[str, Any]) -> float | None:
    """The middle of a row's depth range."""
    ends = [row[k] for k in ("minimumDepthInMeters", "maximumDepthInMeters") if row.get(k) is not None]
    return sum(ends) / len(ends) if ends else None


def _timeline(
    name: str, joined: bool, numbered: Sequence[tuple[int, dict[str, Any]]], groups: Groups, track: Sequence[Fix]
) -> Timeline:
    rows = [row for _, row in numbered]
    times = {n: _time(row, joined) for n, row in numbered}
    lanes, places = _lanes(rows, groups)
    marks = []
    for n, row in sorted(numbered, key=lambda item: times[item[0]]):
        place = places.get(_lane_key(row, groups))
        if place is not None:
            marks.append(_mark(n, row, times[n], place, lanes[place], groups))
    first = min(times.values(), default=0.0)
    last = max((times[n] + row["endTime"] - row["startTime"] for n, row in numbered), default=first)
    if not joined:
        first = 0.0 if first < 0.35 * last else first
    room = max(BEYOND * (last - first), 1.0)
    line = depth_profile(rows, track, joined, first - room if joined else max(first - room, 0.0), last + room)
    low = min([first, *(x for part in line for x, _ in part)])
    high = max([last, low + 1.0, *(x for part in line for x, _ in part)])
    deep = [mark.depth for mark in marks if mark.depth is not None] + [depth for part in line for _, depth in part]
    measured = [row for row in rows if row["recordKind"] == "measurement" and row.get("measurementType") == "depth"]
    return Timeline(
        name,
        joined,
        low,
        high,
        None if joined else _start(rows),
        tuple(lanes),
        tuple(marks),
        tuple(sorted((_time(row, joined), PHASES[row["markerType"]]) for row in rows if row["markerType"] in PHASES)),
        line,
        (min(deep), max(deep)) if deep else None,
        tuple(sorted((_time(row, joined), _said(row)) for row in measured)),
    )


def _time(row: dict[str, Any], joined: bool) -> float:
    moment = utc(row.get("eventDate")) if joined else None
    return moment.timestamp() if moment else float(row["startTime"])


def _start(rows: Sequence[dict[str, Any]]) -> float | None:
    """UTC of the recording's zero, where one offset holds for all rows to the second."""
    starts = [m.timestamp() - row["startTime"] for row in rows if (m := utc(row.get("eventDate")))]
    return starts[0] if starts and max(starts) - min(starts) <= 1.0 else None


def _lanes(rows: Sequence[dict[str, Any]], groups: Groups) -> tuple[list[Lane], dict[str, int]]:
    keys = [_lane_key(row, groups) for row in rows]
    lanes = [Lane(g.name, keys.count(f"group {g.name}"), group=g) for g in groups.groups if f"group {g.name}" in keys]
    lanes += [Lane(PLURALS[kind], keys.count(kind), letter=letter) for kind, letter in LETTERS.items() if kind in keys]
    kinds = {plural: kind for kind, plural in PLURALS.items()}
    return lanes, {kinds[lane.name] if lane.letter else f"group {lane.name}": n for n, lane in enumerate(lanes)}


def _lane_key(row: dict[str, Any], groups: Groups) -> str:
    if row["recordKind"] == "occurrence":
        return f"group {groups.of(row).name}"
    return str(row["markerType"]) if row["recordKind"] == "marker" else ""


def _mark(n: int, row: dict[str, Any], x: float, place: int, lane: Lane, groups: Groups) -> Mark:
    name = clean(row.get("scientificName")) or clean(row.get("markerType"))
    return Mark(
        n,
        x,
        depth_of(row) if lane.group else None,
        place,
        f"{clock(row['startTime'])} {name}",
        groups.of(row) if lane.group else None,
        lane.letter,
        row.get("certaintyTerm") in UNSURE,
    )


def _said(row: dict[str, Any]) -> str:
    value = clean(row.get("measurementValue"))
    with suppress(ValueError):
        value = number(float(value), 1)
    return f"{value} {clean(row.get('measurementUnit'))}".strip()
