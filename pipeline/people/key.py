"""The key of pseudonyms: a CSV file with the columns name and pseudonym, kept apart from the files of a run.

Names come in, a pseudonym for each goes out. Entries that are there stay as they are, byte for byte; new ones are
added behind them, in a file written aside, readable by its owner alone, that then takes the old one's place. People
may edit it: two names of one person may be given the same pseudonym. Refuses a file that is no such key, and a place
inside the folder of results (InputError).
"""

from __future__ import annotations

import contextlib
import csv
import io
import os
import re
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import NoReturn

from earwitness.schemas import InputError, Problem
from earwitness.schemas.spreadsheet import guarded
from earwitness.taxonomy.append_row import header_of, without_guard

try:
    import fcntl
except ImportError:  # pragma: no cover - not there on Windows, where two runs at once have to be avoided by people
    fcntl = None  # type: ignore[assignment]

COLUMNS = ("name", "pseudonym")
_EXPECTED = "a CSV file with the columns name and pseudonym"
_NUMBERED = re.compile(r"Person (\d{1,9})")


def folded(name: str) -> str:
    """A name as the key is asked for it: in small letters, single blanks, straight apostrophes."""
    return " ".join(name.split()).lower().replace("’", "'")


def refuse_key_within(key: str | Path, out: str | Path) -> None:
    """See that the key does not lie among the results, with which it would be handed on.

    Raises:
        InputError: it does.
    """
    file, folder = Path(key).resolve(), Path(out).resolve()
    if file == folder or folder in file.parents:
        _refuse(key, "the key of the pseudonyms would lie in the folder of results", "a file outside it")


def check_key(key: str | Path) -> None:
    """See, before any work is done, that the key can be read, if there is one, and written.

    Raises:
        InputError: it cannot.
    """
    path = Path(key).resolve()
    _entries(key, _bytes(key))
    if not path.parent.is_dir() or not os.access(path.parent, os.W_OK):
        _refuse(key, "cannot be written: there is no such folder, or it is not ours", "a file in a folder to write to")


def extend_key(key: str | Path, names: Iterable[str]) -> Mapping[str, str]:
    """All pseudonyms of the key, by name in small letters, after those of new names have been added to the file.

    A name that is part of a longer one of the key ("Maud" of "Maud Hale"), or holds one, shares its pseudonym.

    Raises:
        InputError: the file is no key, or cannot be written.
    """
    path = Path(key).resolve()
    try:
        with _locked(path.parent):
            data = _bytes(key)
            entries = _entries(key, data)
            added = _assigned(entries, names)
            if added:
                _write(path, data + _lines(data, added))
    except OSError as error:
        _refuse(key, f"cannot be written: {error.strerror or error}", "a file in a folder to write to")
    return entries


def _assigned(entries: dict[str, str], names: Iterable[str]) -> list[tuple[str, str]]:
    """Give the new among the names their pseudonyms, in `entries` and as rows."""
    last = max((int(found[1]) for p in entries.values() if (found := _NUMBERED.fullmatch(p))), default=0)
    by_word: dict[str, str] = {}
    for name, pseudonym in entries.items():
        for word in name.split():
            by_word.setdefault(word, pseudonym)
    added = []
    for name in names:
        key = folded(name)
        if key in entries or not key:
            continue
        words = key.split()
        pseudonym = next((by_word[word] for word in words if word in by_word), "")
        if not pseudonym:
            last += 1
            pseudonym = f"Person {last}"
        entries[key] = pseudonym
        for word in words:
            by_word.setdefault(word, pseudonym)
        added.append((name, pseudonym))
    return added


def _bytes(key: str | Path) -> bytes:
    path = Path(key)
    if path.is_dir():
        _refuse(key, "is a folder", _EXPECTED)
    try:
        return path.read_bytes() if path.exists() else b""
    except OSError as error:
        _refuse(key, f"cannot be read: {error.strerror}", _EXPECTED)


def _entries(key: str | Path, data: bytes) -> dict[str, str]:
    try:
        text = data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError:
        _refuse(key, "is not UTF-8", _EXPECTED)
    if not text.strip():
        return {}
    blank, separator, header = header_of(text, COLUMNS)
    if not set(COLUMNS) <= set(header):
        _refuse(key, "has no columns name and pseudonym", _EXPECTED, blank + 1)
    lines = io.StringIO("".join(text.splitlines(keepends=True)[blank:]), newline="")
    reader = csv.DictReader(lines, fieldnames=header, delimiter=separator)
    entries: dict[str, str] = {}
    try:
        next(reader)
        for row in reader:
            line = blank + reader.line_num
            name, pseudonym = (without_guard(row[column]) for column in COLUMNS)
            if not (name or pseudonym):
                continue
            if not (name and pseudonym):
                _refuse(key, "a name without its pseudonym, or the other way round", "both", line)
            if entries.setdefault(folded(name), pseudonym) != pseudonym:
                _refuse(key, "a name has two pseudonyms", "one row a name", line)
    except csv.Error as error:
        _refuse(key, f"cannot be read as CSV: {error}", _EXPECTED, blank + reader.line_num)
    return entries


def _lines(data: bytes, added: Iterable[tuple[str, str]]) -> bytes:
    """The bytes to add: a header where there is none, and rows in the file's own manner."""
    text = data.decode("utf-8-sig")
    end = "\r\n" if "\r\n" in text else "\n"
    separator, header = ",", list(COLUMNS)
    lines = io.StringIO(newline="")
    if text.strip():
        _, separator, header = header_of(text.replace("\r\n", "\n").replace("\r", "\n"), COLUMNS)
    writer = csv.writer(lines, delimiter=separator, lineterminator=end)
    if not text.strip():
        writer.writerow(header)
    for name, pseudonym in added:
        cells = {"name": guarded(name), "pseudonym": guarded(pseudonym)}
        writer.writerow([cells.get(column, "") for column in header])
    broken_off = bool(text) and not text.endswith(("\n", "\r"))
    return ((end if broken_off else "") + lines.getvalue()).encode()


def _write(path: Path, data: bytes) -> None:
    # mkstemp makes a file that its owner alone can read and write (0600).
    number, aside = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
    try:
        with os.fdopen(number, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(aside).replace(path)
    except BaseException:
        Path(aside).unlink(missing_ok=True)
        raise


@contextlib.contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """Two runs that share a key extend it one after the other."""
    if fcntl is None:  # pragma: no cover
        yield
        return
    number = os.open(folder, os.O_RDONLY)
    try:
        # Some network drives know no locks.
        with contextlib.suppress(OSError):
            fcntl.flock(number, fcntl.LOCK_EX)
        yield
    finally:
        os.close(number)


def _refuse(key: str | Path, reason: str, expected: str, line: int = 0) -> NoReturn:
    raise InputError(Problem(str(key), line, reason, expected)) from None
