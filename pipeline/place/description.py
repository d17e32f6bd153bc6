"""The TOML file that describes a recording: text comes in, values checked by `schemas/recording.schema.json` go out.

Refuses what is no TOML, what breaks the schema, and moments that cannot be, naming file, line and what was expected.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from hashlib import sha256
from pathlib import Path
from typing import Any, NoReturn

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError, best_match

from earwitness.schemas import InputError, Problem, load_schema

YEARS = (1950, 2100)
"""Years in which a recording can have been made (a choice, no source)."""
Path_ = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Site:
    """Where the recording was made."""

    name: str | None = None
    latitude: float | None = None
    longitude: float | None = None
    within_km: float | None = None


@dataclass(frozen=True, slots=True)
class Description:
    """A description's values as the schema allows them (moments as RFC 3339 text), and the file they came from."""

    file: str
    text: str
    sha256: str
    values: dict[str, Any]

    def refuse(self, path: Path_, reason: str, expected: str) -> NoReturn:
        """Raise the InputError that names the line of a value."""
        raise InputError(Problem(self.file, line_of(self.text, path), reason, expected))

    def moment(self, path: Path_, text: str) -> float:
        """Seconds since 1970 of RFC 3339 text.

        Raises:
            InputError: a date or time that does not exist, or a year in which nothing can have been recorded.
        """
        try:
            moment = datetime.fromisoformat(text.upper().replace(" ", "T"))
        except ValueError as error:
            self.refuse(path, f"{text!r} is a date or time that does not exist ({error})", "like 2031-06-14T08:12:00Z")
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
    name = str(path)
    try:
        content = Path(path).read_bytes()
    except OSError as error:
        reason = "no such file" if isinstance(error, FileNotFoundError) else f"cannot be read ({error.strerror})"
        raise InputError(Problem(name, 0, reason, "the TOML description of a recording")) from error
    try:
        text = content.decode("utf-8-sig")
        values = tomllib.loads(text)
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, ValueError, RecursionError) as error:
        line = re.search(r"at line (\d+)", str(error))
        reason = f"is no TOML: {str(error).split(' (at ')[0]}"
        last = len(content.splitlines()) if "end of document" in str(error) else 0
        raise InputError(Problem(name, int(line[1]) if line else last, reason, "TOML 1.0 in UTF-8")) from error
    description = Description(name, text, sha256(content).hexdigest(), _plain(values))
    _check(description)
    return description


def _plain(value: Any) -> Any:
    """TOML values as JSON has them: TOML's own dates and times become text."""
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return value.isoformat() if isinstance(value, (datetime, date, time)) else value


def _refuse_infinite(description: Description, value: Any, path: Path_ = ()) -> None:
    """TOML has inf and nan, which a JSON Schema lets pass as numbers."""
    if isinstance(value, float) and not math.isfinite(value):
        description.refuse(path, f"{path[-1]}: {value} is no number here", "a number")
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        _refuse_infinite(description, item, (*path, key))


def _check(description: Description) -> None:
    _refuse_infinite(description, description.values)
    error = best_match(Draft202012Validator(load_schema("recording")).iter_errors(description.values))
    if error is not None:
        path = tuple(error.absolute_path)
        where = ".".join(str(part + 1) if isinstance(part, int) else part for part in path)
        reason, expected = _told(error, where)
        if "Additional properties" in error.message:  # the line of the key itself
            path = (*path, *re.findall(r"'([^']+)' w(?:as|ere) unexpected", error.message))
        description.refuse(path, reason, expected)


def _told(error: ValidationError, where: str) -> tuple[str, str]:
    """What is wrong and what was expected, in words."""
    rule = error.schema if isinstance(error.schema, dict) else {}
    expected = rule.get("description", "")
    if error.validator == "additionalProperties":
        expected = ", ".join(rule.get("properties", {}))
    elif error.validator == "enum":
        expected = ", ".join(str(value) for value in error.validator_value)
    elif error.validator == "pattern" and "moment" in str(error.schema_path):
        expected = expected or "RFC 3339 with a time zone, like 2031-06-14T08:12:00Z"
    return f"{where}: {error.message}" if where else error.message, expected or "as schemas/recording.schema.json says"


def line_of(text: str, path: Path_) -> int:
    """The line on which a value of a TOML file stands, as near as can be told; 0 if not at all.

    Looks for the table's header (the n-th of its name in an array of tables) and then for the key.
    """
    lines = text.splitlines()
    at, table = 0, ""
    for number, part in enumerate(path):
        if isinstance(part, int):
            headers = [n for n, line in enumerate(lines) if re.match(rf"\s*\[\[\s*{re.escape(table)}\s*\]\]", line)]
            at = headers[part] + 1 if part < len(headers) else at
            continue
        table = ".".join(p for p in path[: number + 1] if isinstance(p, str))
        key = re.compile(rf"\s*(?:\[+\s*{re.escape(table)}\s*\]+|[\"']?{re.escape(part)}[\"']?\s*[=.])")
        found = next((n for n, line in enumerate(lines[max(at - 1, 0) :], max(at - 1, 0)) if key.match(line)), None)
        at = found + 1 if found is not None else at
    return at


def described_at(told: Mapping[str, Any], folder: Path) -> Path:
    """Where a description lies that a run tells of: as its path was given, else on the way from the run's folder.

    Args:
        told: one of the "recordings" of run.json.
        folder: the run's folder.
    """
    path, from_run = Path(told["path"]), folder / told.get("pathFromRun", told["path"])
    return from_run if not path.exists() and from_run.exists() else path
