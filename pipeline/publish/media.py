"""Where in the video a row is: W3C media fragments (Media Fragments URI 1.0, 4.2.1: `#t=begin,end`, end not included).

A recording may lie in several files; its rows' times run on from one to the next. Refuses a recording of which the
publication does not say where its video lies.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from earwitness.pipeline.publish.metadata import MediaFile, Publication
from earwitness.pipeline.publish.publisher import Edition, Row
from earwitness.schemas import InputError, Problem

_LEAST = 0.001
"""Seconds: a fragment has to last."""


@dataclass(frozen=True, slots=True)
class Region:
    """A stretch of a file, in seconds into that file."""

    file: MediaFile
    start: float
    end: float

    @property
    def address(self) -> str:
        """The file's address with the media fragment."""
        return f"{self.file.address}#t={_seconds(self.start)},{_seconds(self.end)}"


def region_of(row: Row, publication: Publication) -> Region | None:
    """The stretch of video of a row, in the file in which it begins; None where no file of its time is known."""
    found = [file for file in publication.files_of(row["recordingID"]) if file.begin <= row["startTime"]]
    if not found:
        return None
    file = found[-1]
    start, end = row["startTime"] - file.begin, row["endTime"] - file.begin
    if file.duration is not None and start >= file.duration:
        return None
    last = file.duration if file.duration is not None else math.inf
    following = [
        other.begin - file.begin for other in publication.files_of(row["recordingID"]) if other.begin > file.begin
    ]
    end = min([max(end, start + _LEAST), last, *following])
    return Region(file, round(start, 3), round(end, 3))


def files_used(edition: Edition, publication: Publication) -> list[MediaFile]:
    """The files of the edition's recordings, in order.

    Raises:
        InputError: a recording has none.
    """
    names = dict.fromkeys(row["recordingID"] for row in edition.rows)
    for name in names:
        if not publication.files_of(name):
            reason = f"does not say where the video of recording {name!r} lies"
            remedy = f'[[media]] with recording = "{name}" and address = "https://..." of its file'
            raise InputError(Problem(publication.path, 0, reason, remedy))
    return [file for name in names for file in publication.files_of(name)]


def _seconds(value: float) -> str:
    """Normal play time in seconds, no more digits than needed."""
    return f"{value:.3f}".rstrip("0").rstrip(".")
