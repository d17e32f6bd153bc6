"""A described recording: its TOML file comes in, a Recording with clock and vehicle tracks goes out.

Refuses a description or log that cannot be used, with the line and the remedy. What is not told stays unknown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path, PurePath
from typing import Any

from earwitness.pipeline.place.clock import Clock, Pair, Seam, build_clock
from earwitness.pipeline.place.description import Description, Site, read_description
from earwitness.pipeline.place.log import LogFile, describe_log
from earwitness.pipeline.place.timecode import FrameRate, is_drop, parse_rate
from earwitness.pipeline.place.tracks import Track, read_tracks
from earwitness.schemas import InputError, Problem
from earwitness.schemas.toml_faults import KeyPath

SPOKEN_DEPTH_METERS = 10.0
"""By how much a spoken depth may differ from the log's where the description states nothing (a choice, no source)."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who may be credited."""

    name: str
    role: str | None = None
    orcid: str | None = None

    def to_json(self) -> dict[str, str]:
        """What is told of them."""
        told = {"name": self.name, "role": self.role, "orcid": self.orcid}
        return {key: value for key, value in told.items() if value is not None}


@dataclass(frozen=True, slots=True)
class VideoFile:
    """A file of the recording: length in s, and UTC of its first frame (s since 1970) where told."""

    name: str
    duration: float | None = None
    start: float | None = None


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """What is stated of how well places and times are known (see `uncertainty.py`)."""

    position: float | None = None
    range: float = 0.0
    clock: float = 0.0


@dataclass(frozen=True, slots=True)
class Recording:
    """All that is known of a recording.

    Args:
        clock: seconds of video to UTC; None where neither a start nor a clock pair was told.
        length: of all files together (s), None where it was not told.
        tracks: the quantities of the logs, in the logs' order.
        problems: what of the logs could not be used.
    """

    id: str
    path: str
    sha256: str
    transcripts: tuple[str, ...] = ()
    title: str | None = None
    dive: str | None = None
    ship: str | None = None
    vehicle: str | None = None
    licence: str | None = None
    rights_holder: str | None = None
    site: Site = field(default_factory=Site)
    people: tuple[Person, ...] = ()
    files: tuple[VideoFile, ...] = ()
    length: float | None = None
    frame_rate: FrameRate | None = None
    timecode_start: str | None = None
    clock: Clock | None = None
    uncertainty: Uncertainty = field(default_factory=Uncertainty)
    spoken_depth: float = SPOKEN_DEPTH_METERS
    logs: tuple[LogFile, ...] = ()
    tracks: tuple[Track, ...] = field(default=(), repr=False)
    problems: tuple[Problem, ...] = field(default=(), repr=False)

    def matches(self, recording_id: str) -> bool:
        """Whether the talk of a transcript of this name is this recording's."""
        names = {self.id, *self.transcripts, *(PurePath(name).stem for name in self.transcripts)}
        return recording_id in names

    def timecode_at(self, seconds: float) -> str | None:
        """The time code at a moment of the video, where rate and first label are known."""
        if self.frame_rate is None or self.timecode_start is None:
            return None
        first = self.frame_rate.frames(self.timecode_start)
        return self.frame_rate.label(first + int(seconds * self.frame_rate.rate + 1e-6))

    def to_json(self, *, people: bool = False) -> dict[str, Any]:
        """What run.json says of it; the people only if they are asked for: their names may have to be kept out."""
        named = [person.to_json() for person in self.people]
        return {
            "id": self.id,
            "path": self.path,
            "sha256": self.sha256,
            "title": self.title,
            "dive": self.dive,
            "site": self.site.name,
            "ship": self.ship,
            "vehicle": self.vehicle,
            "licence": self.licence,
            "rightsHolder": self.rights_holder,
            "start": _iso(self.clock) if self.clock else None,
            "logs": [log.to_json() for log in self.logs],
            **({"people": named} if people else {}),
        }


def read_recording(path: str | Path) -> Recording:
    """Read a description and the logs it names.

    Raises:
        InputError: the description or a log cannot be used; says which, which line, and what to do.
    """
    description = read_description(path)
    values = description.values
    rate, timecode = _timecode(description)
    files = _files(description, rate, timecode)
    clock = _clock(description, files, rate, timecode)
    if values.get("logs") and clock is None:
        description.refuse(
            ("logs",), "logs cannot be joined to a recording without a start", "start, or a [[clock]] pair"
        )
    site = Site(**values.get("site", {}))
    stated = values.get("uncertainty", {})
    logs = [describe_log(description, number, Path(path).parent) for number in range(len(values.get("logs", [])))]
    tracks, read, problems = read_tracks(logs, clock, site, values.get("spikes", {}))
    known = [file.duration for file in files if file.duration is not None]
    return Recording(
        id=values["id"],
        path=str(path),
        sha256=description.sha256,
        transcripts=tuple(values.get("transcripts", ())),
        **{name: values.get(name) for name in ("title", "dive", "ship", "vehicle", "licence", "rights_holder")},
        site=site,
        people=tuple(Person(**person) for person in values.get("people", ())),
        files=files,
        length=sum(known) if files and len(known) == len(files) else None,
        frame_rate=rate,
        timecode_start=timecode,
        clock=clock,
        uncertainty=Uncertainty(
            stated.get("position_meters"), stated.get("range_meters", 0.0), stated.get("clock_seconds", 0.0)
        ),
        spoken_depth=values.get("spoken_depth", {}).get("within_meters", SPOKEN_DEPTH_METERS),
        logs=read,
        tracks=tracks,
        problems=problems,
    )


def read_recordings(paths: Sequence[str | Path]) -> list[Recording]:
    """Read several descriptions.

    Raises:
        InputError: one cannot be used, or two describe one recording.
    """
    read: dict[str, Recording] = {}
    for path in paths:
        recording = read_recording(path)
        if twin := read.get(recording.id):
            reason = f"describes the recording {recording.id!r}, and so does {twin.path}"
            raise InputError(Problem(str(path), 1, reason, "an id of its own for each recording"))
        read[recording.id] = recording
    return list(read.values())


def match_recordings(
    recordings: Sequence[str | Path | Recording], recording_ids: Sequence[str]
) -> dict[str, Recording]:
    """Descriptions (files, or read before) by the recordings of a run that they describe.

    Raises:
        InputError: a description cannot be used, describes none of them, or one that another describes, too.
    """
    read = read_recordings([r for r in recordings if not isinstance(r, Recording)])
    read += [r for r in recordings if isinstance(r, Recording)]
    matched: dict[str, Recording] = {}
    for recording in read:
        own = [name for name in recording_ids if recording.matches(name)]
        if not own:
            known = ", ".join(recording_ids)
            reason = f"describes none of the recordings of this run ({known})"
            raise InputError(Problem(recording.path, 1, reason, "its id, or a name in its transcripts, is one of them"))
        for name in own:
            if twin := matched.get(name):
                reason = f"describes the recording {name!r}, and so does {twin.path}"
                raise InputError(Problem(recording.path, 1, reason, "one description for each recording"))
            matched[name] = recording
    return matched


def _iso(clock: Clock) -> str:
    return clock.utc(0.0).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _timecode(description: Description) -> tuple[FrameRate | None, str | None]:
    values = description.values
    label = values.get("timecode_start")
    if "frame_rate" not in values:
        if label is not None:
            description.refuse(("timecode_start",), "a time code needs its frame rate", "frame_rate, like 29.97")
        return None, None
    key = "frame_rate"
    try:
        rate = parse_rate(values["frame_rate"], drop=label is not None and is_drop(label))
        key = "timecode_start"
        if label is not None:
            rate.frames(label)
    except ValueError as error:
        description.refuse((key,), str(error), "a frame rate and a label that exists at it")
    return rate, label


def video_seconds(
    description: Description, path: KeyPath, value: float | str, rate: FrameRate | None, first: str | None
) -> float:
    """Seconds of video from what the description says: seconds, H:MM:SS(.mmm) or a time code.

    Raises:
        InputError: a time code without rate and first label, or one that cannot be.
    """
    if isinstance(value, (int, float)):
        return float(value)
    fields = value.replace(";", ":").split(":")
    if len(fields) == 3:
        hours, minutes, seconds = int(fields[0]), int(fields[1]), float(fields[2].replace(",", "."))
        if minutes > 59 or seconds >= 60:
            description.refuse(path, f"{value!r} is no time", "H:MM:SS with minutes and seconds below 60")
        return hours * 3600 + minutes * 60 + seconds
    if rate is None or first is None:
        description.refuse(path, f"{value!r} is a time code", "frame_rate and timecode_start, or seconds")
    try:
        return rate.seconds_between(first, value)
    except ValueError as error:
        description.refuse(path, str(error), f"a label that exists at {float(rate.rate):.3f} frames a second")


def video_files(description: Description) -> tuple[VideoFile, ...]:
    """The files that a description lists, in order.

    Raises:
        InputError: one before the last has no duration, or a value cannot be used.
    """
    return _files(description, *_timecode(description))


def _files(description: Description, rate: FrameRate | None, first: str | None) -> tuple[VideoFile, ...]:
    files: list[VideoFile] = []
    stated = description.values.get("files", [])
    for number, value in enumerate(stated):
        path: KeyPath = ("files", number)
        if "duration" not in value and number < len(stated) - 1:
            description.refuse(path, f"{value['name']!r} has no duration, and another file follows", "its duration")
        length = value.get("duration")
        if isinstance(length, str) and length.count(":") + length.count(";") == 3:
            first = "00:00:00;00" if rate and rate.drop else "00:00:00:00"
        seconds = None if length is None else video_seconds(description, (*path, "duration"), length, rate, first)
        if seconds == 0:
            description.refuse((*path, "duration"), f"{value['name']!r} is of no length", "a duration above 0")
        start = description.moment((*path, "start"), value["start"]) if "start" in value else None
        files.append(VideoFile(value["name"], seconds, start))
    return tuple(files)


def _clock(
    description: Description, files: Sequence[VideoFile], rate: FrameRate | None, first: str | None
) -> Clock | None:
    values = description.values
    start = description.moment(("start",), values["start"]) if "start" in values else None
    stated = values.get("files", [])
    seams, at = [], 0.0
    for number, file in enumerate(files):
        if number and file.start is not None:
            seams.append(Seam(at, resumes=file.start))
        elif file.start is not None:
            if start is not None and abs(start - file.start) > 1:
                reason = f"{stated[0]['start']!r} is not the start of the recording"
                description.refuse(("files", 0, "start"), reason, "one of the two left out")
            start = file.start if start is None else start
        at += file.duration or 0.0
    for number, cut in enumerate(values.get("cuts", [])):
        path: KeyPath = ("cuts", number)
        moment = video_seconds(description, (*path, "at"), cut["at"], rate, first)
        if moment == 0:
            description.refuse((*path, "at"), "a cut at the very beginning", "a start that is later")
        resumes = description.moment((*path, "resumes"), cut["resumes"]) if "resumes" in cut else None
        seams.append(Seam(moment, cut.get("removed", 0.0), resumes))
    pairs = [
        Pair(
            video_seconds(description, ("clock", number, "video"), pair["video"], rate, first),
            description.moment(("clock", number, "utc"), pair["utc"]),
        )
        for number, pair in enumerate(values.get("clock", []))
    ]
    try:
        return build_clock(start, pairs, seams)
    except ValueError as error:
        key = "clock" if "clock" in str(error) or not values.get("cuts") else "cuts"
        description.refuse((key if key in values else "files",), str(error), "times that can follow one another")


__all__ = [
    "Person",
    "Recording",
    "Site",
    "Uncertainty",
    "VideoFile",
    "match_recordings",
    "read_recording",
    "read_recordings",
]
