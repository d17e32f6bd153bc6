"""The TOML file that describes a recording: text comes in, values checked by `schemas/recording.schema.json` go out.

Refuses what is no TOML, what breaks the schema, and moments that cannot be, naming file, line and what was expected.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from earwitness.schemas.toml_faults import KeyPath
from earwitness.schemas.toml_file import TomlFile, read_toml

YEARS = (1950, 2100)
"""Years in which a recording can have been made (a choice, no source)."""


@dataclass(frozen=True, slots=True)
class Site:
    """Where the recording was made."""

    name: str | None = None
    latitude: float | None = None
    longitude: float | None = None
    within_km: float | None = None


@dataclass(frozen=True, slots=True)
class Description(TomlFile):
    """A description's values as the schema allows them (moments as RFC 3339 text), and the file they came from."""

    def moment(self, path: KeyPath, text: str) -> float:
        """Seconds since 1970 of RFC 3339 text.

        Raises:
            InputError: a date or time that does not exist, or a year in which nothing can have been recorded.
        """
        try:
            moment = datetime.fromisoformat(text.upper().replace(" ", "T"))
        except ValueError as error:
            self.refuse(
                path, f"{text!r} is a date or time that does not exist ({error})", "a moment like 2031-06-14T08:12:00Z"
            )
        if not YEARS[0] <= moment.year < YEARS[1]:
            self.refuse(
                path, f"{text!r}: nothing was recorded in {moment.year}", f"a year from {YEARS[0]} to {YEARS[1]}"
            )
        return moment.astimezone(UTC).timestamp()


def read_description(path: str | Path) -> Description:
    """Read and check a description.

    Raises:
        InputError: the file is not there, is no TOML, or breaks the schema.
    """
    file = read_toml(path, "recording")
    return Description(file.file, file.text, file.sha256, file.values)


def described_at(told: Mapping[str, Any], folder: Path) -> Path:
    """Where a description lies that a run tells of: as its path was given, else on the way from the run's folder.

    Args:
        told: one of the "recordings" of run.json.
        folder: the run's folder.
    """
    path, from_run = Path(told["path"]), folder / told.get("pathFromRun", told["path"])
    return from_run if not path.exists() and from_run.exists() else path
