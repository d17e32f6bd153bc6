"""A run and a folder come in; which file is whose, from when to when, and at how many frames a second, goes out.

A recording is one file, or several that its description lists in order: then times in the recording run on from one
file to the next. Of a file that does not lie in the folder the place in time is told all the same.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path, PureWindowsPath
from typing import Any
from urllib.parse import quote

from earwitness.pipeline.place.description import Description, described_at, read_description
from earwitness.pipeline.place.recording import video_files
from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.web.media import TYPES, Media, find_all
from earwitness.schemas import InputError, Problem


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of a recording that is one file.

    Args:
        name: of the file, without its folders.
        start, end: seconds in the recording; end None: to the end of the file.
        media: None where the file does not lie in the folder.
    """

    name: str
    start: float
    end: float | None
    media: Media | None


@dataclass(frozen=True, slots=True)
class _Listed:
    """A file of several, as a description lists it; `names` is what it may be called in the folder."""

    names: tuple[str, ...]
    start: float
    end: float | None

    @property
    def name(self) -> str:
        return PureWindowsPath(self.names[0]).name


@dataclass(frozen=True, slots=True)
class _Told:
    """What is known of a recording's files: what one of the whole may be called, or which follow each other."""

    whole: tuple[str, ...]
    listed: tuple[_Listed, ...] = ()
    frame_rate: float | None = None


class Films:
    """The videos and sounds of a run's recordings."""

    def __init__(self, desk: Desk, folder: Path | None):
        self._folder = folder
        self._told = {name: _Told((name,)) for name in desk.run.recording_ids}
        if folder is not None:
            self._told |= {name: told for name, told in _described(desk) if name in self._told}

    def parts(self, recording_id: str) -> list[Part]:
        """The files of a recording of this run in order; empty where none of them lies in the folder."""
        told = self._told.get(recording_id)
        if told is None or self._folder is None:
            return []
        whole, *found = find_all(self._folder, [told.whole, *(one.names for one in told.listed)])
        paths = Counter(media.path for media in found if media)
        # A transcript may be named as the first of several files: that one is not the whole.
        if whole is not None and whole.path not in paths:
            return [Part(whole.path.name, 0.0, None, whole)]
        if not paths:
            return []
        # What two files of a list may be is neither.
        sure = [media if media and paths[media.path] == 1 else None for media in found]
        parts = [Part(one.name, one.start, one.end, media) for one, media in zip(told.listed, sure, strict=True)]
        return parts if any(sure) else []

    def of(self, recording_id: str, part: int | None = None) -> Media | None:
        """The file of a recording, or of a part of one that has several; parts are numbered from 1."""
        parts = self.parts(recording_id)
        if part is None:
            return parts[0].media if len(parts) == 1 else None
        return parts[part - 1].media if 1 <= part <= len(parts) else None

    def told(self, recording_id: str) -> dict[str, Any]:
        """What the page needs to play it."""
        parts, address = self.parts(recording_id), f"/media/{quote(recording_id, safe='')}"
        only = parts[0].media if len(parts) == 1 else None
        return {
            "media": address if only else None,
            "mediaType": only.media_type if only else None,
            "frameRate": self._told[recording_id].frame_rate if parts else None,
            "parts": [
                {
                    "media": (address if only else f"{address}?part={number}") if part.media else None,
                    "mediaType": part.media.media_type if part.media else None,
                    "startTime": part.start,
                    "endTime": part.end,
                    "name": part.name,
                }
                for number, part in enumerate(parts, start=1)
            ],
        }

    def lacking(self) -> list[str]:
        """Recordings without a file, and files that lack of others.

        Raises:
            InputError: the folder cannot be used, or has a file of none.
        """
        if self._folder is None:
            return []
        if not self._folder.is_dir():
            reason = "is no folder" if self._folder.exists() else "no such folder"
            raise InputError(Problem(str(self._folder), 0, reason, "--media names the folder with the videos"))
        found = {name: self.parts(name) for name in self._told}
        if not any(found.values()):
            endings = ", ".join(ending[1:] for ending in TYPES)
            reason = f"has no file named like {next(iter(found))}{next(iter(TYPES))}"
            remedy = f"files named as their recordings, of a kind that browsers play: {endings}"
            raise InputError(Problem(str(self._folder), 0, reason, remedy))
        lacking = []
        for name, parts in found.items():
            gone = [f"{name} ({part.name})" for part in parts if part.media is None]
            lacking += gone if parts else [name]
        return lacking


def _described(desk: Desk) -> Iterator[tuple[str, _Told]]:
    """What the descriptions tell that the run was drafted with, where they can still be read."""
    for told in desk.run.summary.get("recordings", ()):
        with suppress(InputError, ValueError, ZeroDivisionError):
            description = read_description(described_at(told, desk.run.folder))
            values = description.values
            rate = float(Fraction(str(values["frame_rate"]))) if "frame_rate" in values else None
            stated = values.get("files", ())
            # A file named as the description is the whole recording, and so is the only one that is listed.
            whole = (str(values["id"]), *(_names(stated[0]["name"]) if len(stated) == 1 else ()))
            listed = _listed(description) if len(stated) > 1 else ()
            yield from ((name, _Told((name, *whole), listed, rate)) for name in told["recordingIDs"])


def _listed(description: Description) -> tuple[_Listed, ...]:
    """The files in order; none where it is not told when one begins."""
    listed: list[_Listed] = []
    start = 0.0
    with suppress(InputError):
        for file in video_files(description):
            end = None if file.duration is None else round(start + file.duration, 3)
            listed.append(_Listed(_names(file.name), start, end))
            start = end or start
    return tuple(listed)


def _names(told: str) -> tuple[str, ...]:
    """What a listed file may be called: in its folders, without, and with the ending of a kind that browsers play."""
    path = PureWindowsPath(told)  # which knows both strokes
    inside = not path.anchor and ".." not in path.parts
    return tuple(dict.fromkeys(((path.as_posix(),) if inside else ()) + (path.name, path.stem)))
