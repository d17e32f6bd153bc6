"""Date, place and water of events that people add or move: the run's own description and logs, where they still lie
where the run says. What cannot be had is null, never what stood there for another moment.
"""

from __future__ import annotations

from datetime import datetime
from functools import cached_property
from pathlib import Path

from earwitness.pipeline.place import Recording, event_date, place_rows, read_recording
from earwitness.pipeline.place.description import described_at
from earwitness.pipeline.review.decisions import Row
from earwitness.pipeline.table import RunFiles
from earwitness.schemas import InputError

_PLACE = (
    "decimalLatitude",
    "decimalLongitude",
    "coordinateUncertaintyInMeters",
    "minimumDepthInMeters",
    "maximumDepthInMeters",
    "placeMethod",
    "placeGapSeconds",
    "waterTemperatureInCelsius",
    "practicalSalinity",
    "dissolvedOxygen",
    "dissolvedOxygenUnit",
    "vehicleHeadingInDegrees",
    "vehicleAltitudeInMeters",
)
_WITHOUT = "moved in review, not placed again"


class Places:
    """Places rows of one run. The description and its logs are read when they are needed first."""

    def __init__(self, run: RunFiles):
        self._run = run

    def place(self, row: Row) -> Row:
        """The columns of a row that follow from its times, as they are for the row's startTime and endTime."""
        name = row["recordingID"]
        if name not in self._described:
            return {"eventDate": event_date(self._starts.get(name), row["startTime"], row["endTime"])}
        recording = self._read(name)
        if recording is not None:
            try:
                placed = place_rows([row], recording).rows[0]
                return {column: placed[column] for column in ("eventDate", "placeFlags", *_PLACE)}
            except InputError:
                pass
        return dict.fromkeys(_PLACE) | {"eventDate": None, "placeFlags": [_WITHOUT]}

    @cached_property
    def _starts(self) -> dict[str, datetime]:
        told = {t["recordingID"]: t.get("start") for t in self._run.summary["transcripts"]}
        return {name: datetime.fromisoformat(start) for name, start in told.items() if start}

    @cached_property
    def _described(self) -> dict[str, Path]:
        """Recording -> path of its description."""
        told = self._run.summary.get("recordings", [])
        return {name: described_at(one, self._run.folder) for one in told for name in one["recordingIDs"]}

    @cached_property
    def _known(self) -> dict[Path, Recording | None]:
        return {}

    def _read(self, name: str) -> Recording | None:
        path = self._described[name]
        if path not in self._known:
            try:
                self._known[path] = read_recording(path)
            except InputError:
                self._known[path] = None
        return self._known[path]
