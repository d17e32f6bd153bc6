"""Indexes of checklists on disk: a checklist's file comes in, its NameIndex comes out, built once and then mapped.

An index lies in a folder named after everything it follows from, appears there whole or not at all, and is built anew
where a byte of it is wrong. Refuses what `load_checklist` refuses; a folder that cannot be written is only noted.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sys
import time
import uuid
import zlib
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, datetime
from functools import cache
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy.typing as npt

from earwitness.schemas.problems import Problem
from earwitness.taxonomy.checklist import Cells, Checklist
from earwitness.taxonomy.load import list_name, load_checklist
from earwitness.taxonomy.mapped import open_array, open_map, open_set, open_strings, save_parts
from earwitness.taxonomy.name_index import NameIndex, NameIndexTables

FORMAT = 1
"""Of the files in an index's folder; to be raised when their names or their meaning change."""

_META = "meta.json"
_WHOLE = ("texts", "keys", "exact", "epithets", "words", "first_words")
_BY_ENTRY = ("rows", "accepted", "kinds", "numbers", "ranks")
_EXTRA = "arrays"
_ONLY_ASK = (
    "append_row.py",
    "asking.py",
    "corrections.py",
    "health.py",
    "heard_names.py",
    "hearing_weights.csv",
    "lookup.py",
    "lookup_marks.py",
    "lookup_words.py",
    "name_score.py",
    "name_scores.csv",
)
"""Files of this package that use an index but shape none; every other file that changes makes indexes anew."""
_LEFT_OVER = 86_400
"""Seconds after which a folder that was begun and never finished is removed."""
_TRIES = 5
_UNUSABLE = (OSError, ValueError, RuntimeError, KeyError, TypeError, AttributeError)
"""What reading a damaged index may raise."""


def open_index(
    path: str | Path,
    *,
    columns: Mapping[str, str] | None = None,
    rebuild: bool = False,
    folder: Path | None = None,
) -> NameIndex:
    """The index of a checklist's file: from the cache, or built and put there.

    Args:
        path, columns: as for `load_checklist`.
        rebuild: build anew what is in the cache already.
        folder: to keep indexes in; default: see `cache_folder`.

    Raises:
        InputError: as `load_checklist`.
    """
    place = Path(path)
    try:
        content = _content_hash(place)
    except OSError:
        content = None
    if content is None:
        # A pipe can be read but once, and of what cannot be read the loader says why.
        return NameIndex(load_checklist(path, columns=columns))
    key = _key(content, columns)
    try:
        home = (cache_folder() if folder is None else folder) / f"{_plain(list_name(place))}-{key[:32]}"
    except RuntimeError as error:
        return NameIndex(load_checklist(path, columns=columns), notes=[_unwritten("the cache folder", str(error))])
    index = None if rebuild else _opened(home, path, key)
    return index or _built(home, path, columns, content, key, rebuild)


def cache_folder() -> Path:
    """Where indexes are kept: $EARWITNESS_CACHE, else `earwitness` in the platform's folder for caches.

    That is $XDG_CACHE_HOME, if absolute, else ~/.cache (XDG Base Directory Specification 0.8); on macOS
    ~/Library/Caches, on Windows %LOCALAPPDATA% (common practice, no source).

    Raises:
        RuntimeError: there is no home folder.
    """
    given = os.environ.get("EARWITNESS_CACHE")
    if given:
        return Path(given).expanduser()
    xdg = os.environ.get("XDG_CACHE_HOME")
    if xdg and Path(xdg).is_absolute():
        return Path(xdg) / "earwitness"
    local = os.environ.get("LOCALAPPDATA")
    if sys.platform == "win32" and local:
        return Path(local) / "earwitness"
    return Path.home() / ("Library/Caches" if sys.platform == "darwin" else ".cache") / "earwitness"


def _plain(name: str) -> str:
    """A name as a folder's: at most 40 harmless characters."""
    return "".join(char if char.isascii() and char.isalnum() else "_" for char in name[:40])


def _content_hash(path: Path) -> str | None:
    """SHA-256 of a file's bytes, or of all files of a folder; None where there is neither."""
    if path.is_file():
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    if not path.is_dir():
        return None
    digest = hashlib.sha256()
    for inside in sorted(p for p in path.rglob("*") if p.is_file()):
        digest.update(os.fsencode(inside.relative_to(path)) + b"\0" + bytes.fromhex(_content_hash(inside) or ""))
    return digest.hexdigest()


def _key(content: str, columns: Mapping[str, str] | None) -> str:
    """The hash of everything an index follows from: the list, how it is read, our word lists and code."""
    parts = (
        str(FORMAT),
        content,
        json.dumps(list((columns or {}).items())),
        *(version(package) for package in ("inflect", "marisa-trie", "usearch")),
        _rules(),
        sys.byteorder,
    )
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()


@cache
def _rules() -> str:
    """The hash of the data files and the code of this package that shape an index."""
    digest = hashlib.sha256()
    for room in (files("earwitness.taxonomy"), files("earwitness.taxonomy.data")):
        for file in sorted(room.iterdir(), key=lambda file: file.name):
            if file.name.endswith((".csv", ".npz", ".py")) and file.name not in _ONLY_ASK:
                digest.update(file.name.encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()


def _built(
    home: Path, path: str | Path, columns: Mapping[str, str] | None, content: str, key: str, rebuild: bool
) -> NameIndex:
    """A new index, put in its place and opened there; from memory where that cannot be done."""
    replace = rebuild or home.exists()
    checklist = load_checklist(path, columns=columns)
    index = NameIndex(checklist)
    arrays = index.arrays
    part = _beside(home)
    try:
        if _content_hash(Path(path)) != content:
            return index  # The file was changed between the first look and the loading: it is not what `key` says.
        part.mkdir(parents=True)
        _write(part, index, content, key)
        _publish(part, home, replace)
    except OSError as error:
        return NameIndex(checklist, index.tables, arrays, [_unwritten(str(home.parent), error.strerror or str(error))])
    finally:
        shutil.rmtree(part, ignore_errors=True)
    _tidy_up(home, path, content)
    note = _unwritten(str(home.parent), "what was written cannot be read back")
    return _opened(home, path, key) or NameIndex(checklist, index.tables, arrays, [note])


def _unwritten(where: str, why: str) -> Problem:
    reason = f"the index of the checklist cannot be kept here ({why}); it is built anew each time"
    return Problem(where, 0, reason, "a folder that can be written; EARWITNESS_CACHE may name another", "noted")


def _beside(home: Path) -> Path:
    """A name of its own for a folder that is not an index yet, or not any more."""
    return home.parent / f".earwitness-{uuid.uuid4().hex}.part"


def _write(folder: Path, index: NameIndex, content: str, key: str) -> None:
    """All files of an index; the description last."""
    tables, checklist = index.tables, index.checklist
    for name in _WHOLE:
        save_parts(folder, name, getattr(tables, name).parts())
    save_parts(folder, "entry", {name: getattr(tables, name) for name in _BY_ENTRY})
    save_parts(folder, "cells", {**checklist.cells.strings.parts(), "numbers": checklist.cells.numbers})
    save_parts(folder, "taxon", {"accepted": checklist.accepted_rows, "parent": checklist.parent_rows})
    save_parts(folder, "ids", checklist.rows_by_id.parts())
    save_parts(folder, "names", checklist.rows_by_name.parts())
    save_parts(folder, _EXTRA, index.arrays)
    meta = {
        "format": FORMAT,
        "key": key,
        "builtAt": datetime.now(UTC).isoformat(timespec="seconds"),
        "file": str(Path(checklist.path).resolve()),
        "content": content,
        "rules": _rules(),
        "sha256": checklist.sha256,
        "counts": {"taxa": len(checklist), "names": len(index.entries), "keys": len(tables.exact)},
        "rankNames": tables.rank_names,
        "extra": sorted(index.arrays),
        "problems": [_kept(problem, checklist.path) for problem in checklist.problems],
        "files": {file.name: [file.stat().st_size, _checksum(file)] for file in sorted(folder.iterdir())},
    }
    (folder / _META).write_text(json.dumps({"check": _check(meta), **meta}, indent=1), encoding="utf-8")


def _check(meta: Mapping[str, Any]) -> int:
    """CRC-32 of the description itself."""
    return zlib.crc32(json.dumps(meta).encode())


def _kept(problem: Problem, path: str) -> list[str | int | bool]:
    """A problem for the description. The list may be called by another path next time."""
    inside = problem.file.startswith(path)
    file = problem.file.removeprefix(path) if inside else problem.file
    return [inside, file, problem.line, problem.reason, problem.expected, problem.severity]


def _checksum(file: Path) -> int:
    """CRC-32 of a file's bytes: ten milliseconds for the largest list, and a damaged trie could end the process."""
    checksum = 0
    with file.open("rb") as data:
        while block := data.read(1 << 18):
            checksum = zlib.crc32(block, checksum)
    return checksum


def _publish(part: Path, home: Path, replace: bool) -> None:
    """Move a finished folder into its place, where another process may be doing the same.

    Raises:
        OSError: it cannot be moved there.
    """
    for attempt in range(_TRIES):
        try:
            part.rename(home)
            return
        except OSError:
            if not home.exists() or attempt == _TRIES - 1:
                raise
        if not replace:
            return  # Another process was first, with the same.
        aside = _beside(home)
        with suppress(FileNotFoundError):
            home.rename(aside)
            _remove(aside)


def _remove(place: Path) -> None:
    # Those who have it mapped keep it until they end.
    if place.is_dir():
        shutil.rmtree(place, ignore_errors=True)
    else:
        place.unlink(missing_ok=True)


def _tidy_up(home: Path, path: str | Path, content: str) -> None:
    """Remove indexes of the same file's earlier contents or by earlier rules, and what was never finished."""
    same = str(Path(path).resolve())
    with suppress(OSError):
        for part in home.parent.glob(".earwitness-*.part"):
            if time.time() - part.stat().st_mtime > _LEFT_OVER:
                _remove(part)
    for described in home.parent.glob(f"*/{_META}"):
        with suppress(*_UNUSABLE):
            meta = json.loads(described.read_text(encoding="utf-8"))
            if meta["file"] == same and (meta["content"], meta["rules"]) != (content, _rules()):
                _remove(described.parent)


def _opened(home: Path, path: str | Path, key: str) -> NameIndex | None:
    """The index in a folder, mapped; None where it is not there or not whole."""
    try:
        meta = json.loads((home / _META).read_text(encoding="utf-8"))
        if meta.pop("check") != _check(meta) or meta["key"] != key:
            return None
        for name, (size, checksum) in meta["files"].items():
            if (home / name).stat().st_size != size or _checksum(home / name) != checksum:
                return None
        return _mapped(home, str(path), meta)
    except _UNUSABLE:
        return None


def _mapped(home: Path, path: str, meta: Mapping[str, Any]) -> NameIndex:
    def array(name: str) -> npt.NDArray[Any]:
        return open_array(home / f"{name}.npy")

    problems = tuple(
        Problem(f"{path}{file}" if inside else file, line, reason, expected, severity)
        for inside, file, line, reason, expected, severity in meta["problems"]
    )
    checklist = Checklist(
        list_name(Path(path)),
        path,
        meta["sha256"],
        Cells(open_strings(home, "cells"), array("cells.numbers")),
        array("taxon.accepted"),
        array("taxon.parent"),
        problems,
        open_map(home, "ids"),
        open_map(home, "names"),
    )
    tables = NameIndexTables(
        texts=open_strings(home, "texts"),
        keys=open_strings(home, "keys"),
        rows=array("entry.rows"),
        accepted=array("entry.accepted"),
        kinds=array("entry.kinds"),
        numbers=array("entry.numbers"),
        ranks=array("entry.ranks"),
        rank_names=tuple(meta["rankNames"]),
        exact=open_map(home, "exact"),
        epithets=open_map(home, "epithets"),
        words=open_set(home, "words"),
        first_words=open_set(home, "first_words"),
    )
    return NameIndex(checklist, tables, {name: array(f"{_EXTRA}.{name}") for name in meta["extra"]})
