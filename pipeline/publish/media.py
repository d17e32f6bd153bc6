"""Where in the video a row is: W3C media fragments (Media Fragments URI 1.0, 4.2.1: `#t=begin,end`, end not included).

A recording may lie in several files; its rows' times run on from one to the next. Where the publication does not say
where the video of a row lies, no address is made up: the row has no region, and one problem tells what to write.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from earwitness.pipeline.publish.metadata import MediaFile, Publication
from earwitness.pipeline.publish.publisher import Edition, Row
from earwitness.schemas import Problem

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


def region_of(row: Row, files: Sequence[MediaFile]) -> Region | None:
    """The stretch of video of a row, in the file in which it begins; None where no file of its time is known.

    Args:
        row: with startTime and endTime.
        files: of the row's recording, in order.
    """
    found = [file for file in files if file.begin <= row["startTime"]]
    if not found:
        return None
    file = found[-1]
    start, end = row["startTime"] - file.begin, row["endTime"] - file.begin
    if file.duration is not None and start >= file.duration:
        return None
    last = file.duration if file.duration is not None else math.inf
    following = [other.begin - file.begin for other in files if other.begin > file.begin]
    end = min([max(end, start + _LEAST), last, *following])
    return Region(file, round(start, 3), round(end, 3))


def files_used(rows: Sequence[Row], publication: Publication) -> Mapping[str, Sequence[MediaFile]]:
    """The known files of the rows' recordings, in order."""
    return {name: publication.files_of(name) for name in dict.fromkeys(row["recordingID"] for row in rows)}


def regions(rows: Sequence[Row], publication: Publication) -> Iterator[tuple[Row, Region]]:
    """The rows that lie in a known file, with where."""
    files = files_used(rows, publication)
    for row in rows:
        if region := region_of(row, files[row["recordingID"]]):
            yield row, region


def media_remarks(edition: Edition) -> Iterator[Problem]:
    """Of which recordings no video is known, and how many rows lie in no file of theirs: a problem each, at most."""
    publication = edition.publication
    if publication is None:
        return
    files = files_used(edition.rows, publication)
    unknown = [name for name, known in files.items() if not known]
    if unknown:
        reason = f"no media rows for recording {', '.join(map(repr, unknown))}: it does not say where the video lies"
        remedy = f'[[media]] with recording = "{unknown[0]}" and address = "https://..." of its file, for each'
        yield Problem(publication.path, 0, reason, remedy, "noted")
    outside = Counter(
        row["recordingID"]
        for row in edition.rows
        if files[row["recordingID"]] and region_of(row, files[row["recordingID"]]) is None
    )
    if outside:
        listed = ", ".join(f"{number} of recording {name!r}" for name, number in outside.items())
        reason = f"rows at whose time no file lies have no media row: {listed}"
        remedy = "a [[media]] for each file, with 'from' and 'duration' as they are"
        yield Problem(publication.path, 0, reason, remedy, "noted")


def _seconds(value: float) -> str:
    """Normal play time in seconds, no more digits than needed."""
    return f"{value:.3f}".rstrip("0").rstrip(".")
