"""A run and a folder come in; which file is whose, and at how many frames a second, goes out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from fractions import Fraction
from pathlib import Path
from typing import Any
from urllib.parse import quote

from earwitness.pipeline.place.description import described_at, read_description
from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.web.media import TYPES, Media, find_media
from earwitness.schemas import InputError, Problem


class Films:
    """The videos and sounds of a run's recordings."""

    def __init__(self, desk: Desk, folder: Path | None):
        self._folder = folder
        self._names: dict[str, tuple[str, ...]] = {name: (name,) for name in desk.run.recording_ids}
        self._rates: dict[str, float] = {}
        if folder is None:
            return
        for name, values in _described(desk):
            # A file named as the description is the whole recording. Of several files that are listed, none is.
            listed = values.get("files", ())
            files = (Path(listed[0]["name"]).name,) if len(listed) == 1 else ()
            self._names[name] = (name, str(values["id"]), *files)
            if "frame_rate" in values:
                self._rates[name] = float(Fraction(str(values["frame_rate"])))

    def of(self, recording_id: str) -> Media | None:
        """The file of a recording of this run."""
        names = self._names.get(recording_id)
        return find_media(self._folder, names) if names else None

    def told(self, recording_id: str) -> dict[str, Any]:
        """What the page needs to play it."""
        found = self.of(recording_id)
        return {
            "media": f"/media/{quote(recording_id, safe='')}" if found else None,
            "mediaType": found.media_type if found else None,
            "frameRate": self._rates.get(recording_id) if found else None,
        }

    def lacking(self) -> list[str]:
        """Recordings without a file.

        Raises:
            InputError: the folder cannot be used, or has a file of none.
        """
        if self._folder is None:
            return []
        if not self._folder.is_dir():
            reason = "is no folder" if self._folder.exists() else "no such folder"
            raise InputError(Problem(str(self._folder), 0, reason, "--media names the folder with the videos"))
        lacking = [name for name in self._names if self.of(name) is None]
        if len(lacking) == len(self._names):
            endings = ", ".join(ending[1:] for ending in TYPES)
            reason = f"has no file named like {lacking[0]}{next(iter(TYPES))}"
            remedy = f"files named as their recordings, of a kind that browsers play: {endings}"
            raise InputError(Problem(str(self._folder), 0, reason, remedy))
        return lacking


def _described(desk: Desk) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """What the descriptions tell that the run was drafted with, where they can still be read."""
    for told in desk.run.summary.get("recordings", ()):
        with suppress(InputError):
            values = read_description(described_at(told, desk.run.folder)).values
            yield from ((name, values) for name in told["recordingIDs"])
