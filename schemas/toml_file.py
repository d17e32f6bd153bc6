"""Files that people write in TOML: a path comes in, values checked by a JSON Schema go out.

    file = read_toml("dive.toml", "recording")

Refuses what is not there, is no TOML or breaks the schema, always in the same words: file, line, path of the key (items
of lists counted from 1), what was found, what was expected. Dates and times of TOML become ISO 8601 text.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from hashlib import sha256
from pathlib import Path
from typing import Any, NoReturn

from earwitness.schemas.contract import load_schema
from earwitness.schemas.problems import InputError, Problem
from earwitness.schemas.toml_faults import KeyPath, dotted, first_fault


@dataclass(frozen=True, slots=True)
class TomlFile:
    """The values of a file, its text, and the SHA-256 of its bytes."""

    file: str
    text: str
    sha256: str
    values: dict[str, Any]

    def refuse(self, path: KeyPath, reason: str, expected: str) -> NoReturn:
        """Raise the InputError that names the file, the line and the path of a value."""
        where = f"{dotted(path)}: " if path else ""
        raise InputError(Problem(self.file, line_of(self.text, path), where + reason, expected))

    def check(self, schema: str) -> None:
        """Check the values.

        Raises:
            InputError: they break the schema of that name.
        """
        for path, value in _infinite(self.values):
            self.refuse(path, f"{value} cannot be used", "a finite number")
        if fault := first_fault(schema, load_schema(schema), self.values):
            raise InputError(Problem(self.file, line_of(self.text, fault.path), fault.reason, fault.expected))


def read_toml(path: str | Path, schema: str) -> TomlFile:
    """Read a file and check it against one of the schemas.

    Raises:
        InputError: it cannot be used.
    """
    remedy = f"a TOML file as schemas/{schema}.schema.json tells; fixtures/quillmere_canyon/{schema}.toml is one"
    file = load_toml(path, remedy)
    file.check(schema)
    return file


def load_toml(path: str | Path, remedy: str) -> TomlFile:
    """Read a file, whatever is in it.

    Args:
        path: as the user gave it.
        remedy: what was expected, where there is no such file or it is no TOML.

    Raises:
        InputError: it cannot be read or is no TOML.
    """
    name = str(path)
    try:
        content = Path(path).read_bytes()
    except OSError as error:
        reason = "no such file" if isinstance(error, FileNotFoundError) else f"cannot be read ({error.strerror})"
        raise InputError(Problem(name, 0, reason, remedy)) from error
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        reason = f"is no TOML: the byte 0x{content[error.start]:02X} is not UTF-8"
        raise InputError(Problem(name, line, reason, remedy)) from error
    try:
        values = tomllib.loads(text)
    except RecursionError as error:
        raise InputError(Problem(name, 0, "is no TOML: nested too deeply", remedy)) from error
    except ValueError as error:
        line, reason = _told(str(error), len(text.splitlines()))
        raise InputError(Problem(name, line, f"is no TOML: {reason}", remedy)) from error
    return TomlFile(name, text, sha256(content).hexdigest(), _plain(values))


def _told(message: str, last: int) -> tuple[int, str]:
    """The line that the parser names, and what it says without it."""
    reason, _, where = message.partition(" (at ")
    if found := re.match(r"line (\d+), column (\d+)", where):
        return int(found[1]), f"{reason} in column {found[2]}"
    # Of a number that is too long, Python tells how to allow for it.
    reason = reason.split(";")[0]
    return (last, f"{reason} at the end") if where.startswith("end of document") else (0, reason)


def _plain(value: Any) -> Any:
    """TOML values as JSON has them."""
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return value.isoformat() if isinstance(value, (datetime, date, time)) else value


def _infinite(value: Any, path: KeyPath = ()) -> Iterator[tuple[KeyPath, float]]:
    """Where inf and nan stand, which a JSON Schema lets pass as numbers."""
    if isinstance(value, float) and not math.isfinite(value):
        yield path, value
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield from _infinite(item, (*path, key))


def line_of(text: str, path: KeyPath) -> int:
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
