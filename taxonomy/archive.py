"""A Darwin Core Archive (zip or folder) as tables: the Taxon core and its vernacular names.

In: the path of an archive with meta.xml. Out: an Archive with tables under Darwin Core terms and a hash.
Refuses: a core that is not Taxon, files outside the archive, web addresses, a DOCTYPE. Never unpacks.

Source of the rules and defaults: Darwin Core text guide (TDWG, http://rs.tdwg.org/dwc/terms/guides/text/).
"""

from __future__ import annotations

import hashlib
import lzma
import zipfile
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import NoReturn
from xml.etree import ElementTree

import polars as pl

from earwitness.schemas.problems import InputError, Problem
from earwitness.taxonomy.columns import Layout, Table, decoded, read_rows, recognised, require_names

TAXON = "http://rs.tdwg.org/dwc/terms/Taxon"
"""Row type of the core (Darwin Core)."""

VERNACULAR = "http://rs.gbif.org/terms/1.0/VernacularName"
"""Row type of the vernacular extension (GBIF registered extension; its definition from memory)."""

LARGEST_FILE = 2 * 1024**3
"""Bytes: a file of an archive that unpacks to more is refused before it is read."""

_UNREADABLE = (zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, NotImplementedError, RuntimeError)
"""What zipfile raises for damaged and for encrypted (RuntimeError) members."""

_NAMESPACE = "{http://rs.tdwg.org/dwc/text/}"
_ESCAPES = {"\\t": "\t", "\\n": "\n", "\\r": "\r"}
_STAND_IN = "\x1f"
"""Unit separator of ASCII: takes the place of a separator that is longer than one byte."""


@dataclass(frozen=True, slots=True)
class Archive:
    """The tables of an archive. The core's column "id" and the vernaculars' "coreid" join them."""

    core: Table
    vernaculars: Table | None
    sha256: str


@dataclass(frozen=True, slots=True)
class _Shelf:
    """The files of an archive: their paths relative to meta.xml, and how to read one."""

    path: str
    names: frozenset[str]
    read: Callable[[str], bytes]


def read_archive(path: Path, mapping: Mapping[str, str] | None = None) -> Archive:
    """Read an archive; `mapping` is {term URI of a core field: Darwin Core term} for terms not known.

    The hash is of the zip's bytes; of a folder, of the files used (name, zero byte, content; by name).

    Raises:
        InputError: not a Darwin Core Archive of taxa, or one that points outside itself.
    """
    used: dict[str, bytes] = {}
    shelf = _folder(path, used) if path.is_dir() else _zip(path)
    archive = _described(shelf.read("meta.xml"), shelf)
    cores = [part for part in archive if part.tag == "core"]
    if len(cores) != 1:
        _refuse(shelf, f"{len(cores)} core elements in meta.xml", "exactly one")
    if cores[0].get("rowType", "") != TAXON:
        _refuse(shelf, f"the core's rowType is {cores[0].get('rowType', '')!r}", TAXON)
    core = _table(cores[0], "id", shelf, mapping)
    spoken = [part for part in archive if part.tag == "extension" and part.get("rowType") == VERNACULAR]
    vernaculars = [_table(part, "coreid", shelf, None) for part in spoken]
    if path.is_dir():
        digest = hashlib.sha256(b"".join(name.encode() + b"\0" + used[name] for name in sorted(used)))
    else:
        digest = hashlib.sha256(path.read_bytes())
    return Archive(core, Table.stacked(vernaculars) if vernaculars else None, digest.hexdigest())


def _refuse(shelf: _Shelf, reason: str, expected: str = "", name: str = "meta.xml") -> NoReturn:
    raise InputError(Problem(f"{shelf.path}/{name}", 0, reason, expected))


def _folder(path: Path, used: dict[str, bytes]) -> _Shelf:
    root = path.resolve()
    if not (root / "meta.xml").is_file():
        raise InputError(Problem(str(path), 0, "a folder without meta.xml", "a Darwin Core Archive"))

    def read(name: str) -> bytes:
        target = (root / name).resolve()
        if not target.is_relative_to(root):
            raise InputError(Problem(f"{path}/{name}", 0, "the file lies outside the archive"))
        if target.stat().st_size > LARGEST_FILE:
            raise InputError(Problem(f"{path}/{name}", 0, "the file is too large", f"{LARGEST_FILE} bytes"))
        used[name] = target.read_bytes()
        return used[name]

    inside = (file.relative_to(root).as_posix() for file in root.rglob("*") if file.is_file())
    return _Shelf(str(path), frozenset(inside), read)


def _zip(path: Path) -> _Shelf:
    try:
        with zipfile.ZipFile(path) as archive:
            sizes = {info.filename: info.file_size for info in archive.infolist()}
    except (zipfile.BadZipFile, NotImplementedError) as error:
        raise InputError(Problem(str(path), 0, f"the zip cannot be read ({error})", "a whole zip")) from None
    homes = [name.removesuffix("meta.xml") for name in sizes if PurePosixPath(name).name == "meta.xml"]
    homes = [home for home in homes if home.count("/") <= 1]
    if len(homes) != 1:
        reason = f"{len(homes)} files meta.xml in the zip"
        raise InputError(Problem(str(path), 0, reason, "one, at the top or in the only folder"))
    home = homes[0]

    def read(name: str) -> bytes:
        if sizes[home + name] > LARGEST_FILE:
            raise InputError(Problem(f"{path}/{name}", 0, "the file is too large", f"{LARGEST_FILE} bytes"))
        try:
            with zipfile.ZipFile(path) as archive:
                return archive.read(home + name)
        except _UNREADABLE as error:
            raise InputError(Problem(f"{path}/{name}", 0, f"cannot be read from the zip ({error})")) from None

    inside = (name.removeprefix(home) for name in sizes if name.startswith(home) and not name.endswith("/"))
    return _Shelf(str(path), frozenset(inside), read)


class _NoDoctype(ElementTree.TreeBuilder):
    """A metafile needs no DOCTYPE, and entities declared in one can grow without bound."""

    def doctype(self, name: str, pubid: str | None, system: str | None) -> None:
        raise ValueError("it has a DOCTYPE")


def _described(data: bytes, shelf: _Shelf) -> ElementTree.Element:
    """The archive element of meta.xml, without namespaces."""
    try:
        root = ElementTree.fromstring(data, ElementTree.XMLParser(target=_NoDoctype()))
    except (ElementTree.ParseError, ValueError, LookupError) as error:
        _refuse(shelf, f"not usable as XML: {error}", "a Darwin Core metafile")
    for element in root.iter():
        element.tag = element.tag.removeprefix(_NAMESPACE)
    if root.tag != "archive":
        _refuse(shelf, f"the root element is {root.tag!r}", "archive")
    return root


def _table(part: ElementTree.Element, key: str, shelf: _Shelf, mapping: Mapping[str, str] | None) -> Table:
    """The table of a core or extension element, its key column under the name `key`."""
    fields = part.findall("field")
    terms = [element.get("term", "") for element in fields]
    known, doubles = recognised(terms, mapping, f"{shelf.path}/meta.xml")
    key_element = part.find(key)
    if key == "id":
        require_names(known, terms, f"{shelf.path}/meta.xml", 0)
    elif key_element is None:
        _refuse(shelf, "an extension without coreid", "the column that joins it to the core")
    positions, defaults = {}, {}
    for term, at in known.items():
        index = _number(fields[at], "index", shelf)
        if index is not None:
            positions[term] = index
        if fields[at].get("default") is not None:
            defaults[term] = fields[at].get("default")
    if key_element is not None:
        positions[key] = _number(key_element, "index", shelf) or 0
    tables = [_file(part, name, positions, shelf) for name in _locations(part, shelf)]
    table = Table.stacked(tables)
    table.problems[:0] = doubles
    frame = table.frame
    if key == "id" and "id" not in frame.columns:
        frame = frame.with_columns(pl.lit(None, pl.String).alias("id"))
    for term, default in defaults.items():
        given = pl.col(term) if term in frame.columns else pl.lit(None, pl.String)
        blank = given.is_null() | (given.str.strip_chars() == "")
        frame = frame.with_columns(pl.when(blank).then(pl.lit(default)).otherwise(given).alias(term))
    return Table(frame, table.files, table.file_of, table.lines, table.problems)


def _number(element: ElementTree.Element, attribute: str, shelf: _Shelf) -> int | None:
    text = element.get(attribute)
    if text is None:
        return None
    if not (text.strip().isascii() and text.strip().isdigit()):
        _refuse(shelf, f"{attribute} of {element.tag} is {text!r}", "a number from 0")
    return int(text)


def _locations(part: ElementTree.Element, shelf: _Shelf) -> list[str]:
    """The data files, relative to meta.xml; each must be one of the archive's own."""
    names = []
    for element in part.iterfind("files/location"):
        name = (element.text or "").strip()
        clean = PurePosixPath(name)
        if "://" in name or clean.is_absolute() or ".." in clean.parts or "\\" in name or ":" in name:
            _refuse(shelf, f"the location {name!r} is not inside the archive", "a path relative to meta.xml")
        if clean.as_posix() not in shelf.names:
            _refuse(shelf, f"the file {name!r} is missing", "every location of meta.xml in the archive")
        names.append(clean.as_posix())
    if not names:
        _refuse(shelf, f"{part.tag} names no file", "files/location")
    return names


def _file(part: ElementTree.Element, name: str, positions: Mapping[str, int], shelf: _Shelf) -> Table:
    label = f"{shelf.path}/{name}"
    text, problems = decoded(shelf.read(name), label, part.get("encoding") or "UTF-8")
    separator = _written(part.get("fieldsTerminatedBy", ","))
    quote = _written(part.get("fieldsEnclosedBy", '"'))
    if not separator:
        _refuse(shelf, "fieldsTerminatedBy is empty", "what stands between two cells")
    text = _with_newlines(text, _written(part.get("linesTerminatedBy", "\\n")))
    if len(quote) > 1 or not quote.isascii():
        _refuse(shelf, f"fieldsEnclosedBy is {quote!r}", "one ASCII character, or nothing")
    if len(separator) > 1 or not separator.isascii():
        if quote and quote in text:
            _refuse(shelf, f"fieldsTerminatedBy is {separator!r} with enclosed cells", "one ASCII character")
        text, separator = text.replace(separator, _STAND_IN), _STAND_IN
    skip = _number(part, "ignoreHeaderLines", shelf) or 0
    table = read_rows(text, Layout(separator, quote, skip), positions, label)
    table.problems[:0] = problems
    return table


def _written(attribute: str) -> str:
    """An attribute's value, where a backslash and a letter may stand for a control character."""
    for escape, character in _ESCAPES.items():
        attribute = attribute.replace(escape, character)
    return attribute


def _with_newlines(text: str, terminator: str) -> str:
    """Text whose rows end in a newline. XML makes a newline in an attribute a blank: undone here."""
    if not terminator.strip() or terminator not in text:
        return text
    return text.replace("\n", " ").replace(terminator, "\n")
