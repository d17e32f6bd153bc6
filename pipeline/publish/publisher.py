"""What a way of publishing is, and what is handed to it.

A `Publisher` gets an `Edition` (the rows as they may go out: chosen, blurred, disguised) and a path that does not exist
yet, beside its final place, and makes a file or a folder there. Whoever called it moves that in when it is whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from earwitness.pipeline.publish.metadata import Publication
from earwitness.pipeline.publish.options import Options
from earwitness.schemas import Problem

Row = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Fix:
    """One position of the vehicle: where it was at a moment of a recording.

    Args:
        recording_id: of the recording.
        time: seconds since the recording's first frame by the clock: more than seconds into it where it was cut.
        latitude: degrees, north positive, WGS 84.
        longitude: degrees, east positive, -180 to 180.
        depth: metres below the surface, if known.
        moment: ISO 8601 in UTC, if known.
    """

    recording_id: str
    time: float
    latitude: float
    longitude: float
    depth: float | None = None
    moment: str | None = None


@dataclass(frozen=True, slots=True)
class Edition:
    """What goes out.

    Args:
        rows: event rows with every column of schemas/event.schema.json, in order of recording and time.
        run: the run's run.json.
        options: how the rows were chosen and changed.
        publication: the metadata of the publication; None where nobody gave any: then it is a draft, not publishable.
        track: the vehicle's way, in order of recording and time; empty where there is none, or positions are blurred.
        folder: the run's folder, for error messages.
        left_out: how many rows stayed behind, by reason.
        problems: what could not be used for this edition.
    """

    rows: tuple[Row, ...]
    run: Mapping[str, Any]
    options: Options
    publication: Publication | None
    track: tuple[Fix, ...]
    folder: Path
    left_out: Mapping[str, int] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()


def _nothing(_: Edition) -> Iterable[Problem]:
    return ()


@dataclass(frozen=True, slots=True)
class Publisher:
    """One format.

    Args:
        name: as `--as` takes it.
        what: one line of what comes out, for `--help`.
        target: name of the file or folder that comes out.
        write: makes it at a path that does not exist yet; raises InputError where the rows do not allow the format.
        archival: whether archives take it as a publication, so that licence and rights holder are required.
        remarks: what the format lacks of this edition, and the remedy.
    """

    name: str
    what: str
    target: str
    write: Callable[[Edition, Path], None]
    archival: bool = False
    remarks: Callable[[Edition], Iterable[Problem]] = _nothing
