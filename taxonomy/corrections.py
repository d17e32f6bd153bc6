"""What people corrected: a CSV file beside the checklist comes in, names by heard words go out; new rows are appended.

Each row is one person's statement about heard words: they mean a name, they are no name, or what was said of them is
taken back. Refuses to write words without letters, and into a file it would damage (InputError); reports bad rows.
"""

from __future__ import annotations

import codecs
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Literal

from earwitness.schemas.problems import InputError, Problem, Severity
from earwitness.taxonomy.append_row import append_row, header_of, without_guard
from earwitness.taxonomy.checklist import Checklist, Taxon
from earwitness.taxonomy.columns import Layout, Table, decoded, read_rows
from earwitness.taxonomy.fold import has_letters, spoken_key

# Why a log and not a cell "undone" in the row it undoes: a row once written is never touched, so that one write adds
# it, two people's files are joined by putting one's rows under the other's, and the file tells who said what and when.
COLUMNS = ("heard", "scientificName", "taxonID", "action", "by", "at", "note")
"""The file's columns, in any order: words as heard; the name they mean, as the checklist writes it; its taxonID; what
the row does; who says so; when (RFC 3339, UTC); remarks. `heard` and `scientificName` alone are enough to be read."""

Action = Literal["means", "no name", "undo"]
"""means: the words mean the name (an empty cell says the same where there is a name). no name: they name no taxon.
undo: what was said of the words before no longer stands, of one name where the row has one, else all of it."""

_ACTIONS: dict[str, Action] = {"means": "means", "no name": "no name", "undo": "undo"}
_UNREADABLE = "\N{REPLACEMENT CHARACTER}"

LONGEST_HEARD = 200
"""Characters of heard words; own choice, over twice the longest name of the large development checklist."""
_LONGEST_CELL = 2000
_LONG_AGO = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Statement:
    """One row of the file.

    Args:
        line: 1-based line of the file.
        heard, name, taxon_id, by, at, note: the cells, as written.
        key: the heard words as `fold.spoken_key` gives them.
        action: what the row does.
        row: row of the checklist the name stands on, a synonym's own; None where there is none.
        moment: `at` as a time, that of the row above where it is none.
        stands: whether nobody took it back later; False for an undo.
    """

    line: int
    heard: str
    key: str
    action: Action
    name: str
    taxon_id: str
    by: str
    at: str
    note: str
    row: int | None
    moment: datetime
    stands: bool = False


@dataclass(frozen=True, eq=False)
class Corrections:
    """All statements of a file, oldest first, with what could not be used.

    A row without a time is as old as the row above it. sha256 is of the file's bytes, empty where there is no file.
    """

    path: str
    sha256: str
    checklist: Checklist
    statements: tuple[Statement, ...] = ()
    problems: tuple[Problem, ...] = ()

    def names_for(self, key: str) -> tuple[int, ...]:
        """Accepted rows these words were said to mean, each once, the one said last first.

        Empty where the last word on them is that they name no taxon.
        """
        if self.is_no_name(key):
            return ()
        rows = (s.row for s in self._standing.get(key, ()) if s.row is not None)
        return tuple(dict.fromkeys(map(self.checklist.accepted, rows)))

    def is_no_name(self, key: str) -> bool:
        """Whether the last word on these words is that they name no taxon."""
        standing = self._standing.get(key, ())
        return bool(standing) and standing[0].action == "no name"

    def about(self, key: str) -> tuple[Statement, ...]:
        """What stands about these words, newest first; statements whose name is not in the checklist too."""
        return self._standing.get(key, ())

    @cached_property
    def keys(self) -> frozenset[str]:
        """All spoken keys with a name of the checklist, or with the word that they are none."""
        return frozenset(key for key in self._standing if self.names_for(key) or self.is_no_name(key))

    @cached_property
    def _standing(self) -> dict[str, tuple[Statement, ...]]:
        found: dict[str, list[Statement]] = {}
        for statement in reversed(self.statements):
            if statement.stands:
                found.setdefault(statement.key, []).append(statement)
        return {key: tuple(statements) for key, statements in found.items()}


def corrections_path(checklist: str | Path) -> Path:
    """Where a checklist's corrections lie: `taxa.csv.gz` or the folder `taxa` -> `taxa.corrections.csv` beside it."""
    path = Path(checklist)
    whole = path if path.name not in ("", "..") else path.resolve()
    stem = whole.name if path.is_dir() else Path(whole.name.removesuffix(".gz")).stem
    return whole.with_name(f"{stem}.corrections.csv")


def corrections_file(checklist: str | Path, given: str | Path | None = None) -> Path:
    """The file to read a checklist's corrections from: the given one, which has to be there, else the one beside it.

    Raises:
        InputError: there is no such file.
    """
    if given is None:
        return corrections_path(checklist)
    if not Path(given).exists():
        raise InputError(Problem(str(given), 0, "no such file", "a CSV file of corrections"))
    return Path(given)


def load_corrections(path: str | Path, checklist: Checklist) -> Corrections:
    """The corrections in a file; none where there is no file.

    Rows that cannot be used, and names that are not in the checklist, are among the problems.

    Raises:
        InputError: the file cannot be read, or its header lacks heard or scientificName.
    """
    file = str(path)
    try:
        data = Path(path).read_bytes()
    except FileNotFoundError:
        return Corrections(file, "", checklist)
    except OSError as error:
        reason = f"cannot be read: {error.strerror or error}"
        raise InputError(Problem(file, 0, reason, "a CSV file of corrections")) from None
    sha256 = hashlib.sha256(data).hexdigest()
    if not data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        # A crash can leave zero bytes in the place of a row: that row is lost, not the file.
        data = data.replace(b"\0", _UNREADABLE.encode())
    text, problems = decoded(data, file)
    if not text.strip():
        return Corrections(file, sha256, checklist, (), tuple(problems))
    skip, separator, header = header_of(text, COLUMNS)
    positions = {name: header.index(name) for name in COLUMNS if name in header}
    if not {"heard", "scientificName"} <= positions.keys():
        raise InputError(Problem(file, skip + 1, "this is no header of corrections", ", ".join(COLUMNS)))
    table = read_rows(text, Layout(separator, '"', skip + 1, len(header)), positions, file)
    problems += table.problems
    read = _by_time(_read(table, checklist, problems), file, problems)
    statements = _with_what_stands(read, checklist, file, problems)
    return Corrections(file, sha256, checklist, statements, tuple(problems))


def record(
    path: str | Path, heard: str, taxon: Taxon | None, *, by: str = "", note: str = "", now: datetime | None = None
) -> None:
    """Append that heard words mean a taxon (None: that they name no taxon); makes the file where there is none.

    The row is on the disk when this returns. `now` has a time zone; default: the present moment.

    Raises:
        InputError: the words have no letters or are too long, or the file cannot be added to; nothing is written.
    """
    action: Action = "means" if taxon else "no name"
    append_row(path, _cells(heard, taxon, action, by, note, _to_the_second(now)))


def undo(
    path: str | Path,
    checklist: Checklist,
    heard: str,
    taxon: Taxon | None = None,
    *,
    by: str = "",
    note: str = "",
    now: datetime | None = None,
) -> tuple[Statement, ...]:
    """Append that what was said of heard words is taken back: of one taxon, or all of it (None). Returns what it was.

    Raises:
        InputError: nothing of the kind stands, or the file cannot be added to; nothing is written.
    """
    now = _to_the_second(now)
    cells = _cells(heard, taxon, "undo", by, note, now)
    standing = load_corrections(path, checklist).about(spoken_key(cells["heard"]))
    if taxon:
        standing = tuple(s for s in standing if s.row is not None and checklist.accepted(s.row) == taxon.accepted)
    if not standing:
        what = f" as {taxon.scientific_name}" if taxon else ""
        raise InputError(Problem(str(path), 0, f"no correction of {cells['heard']!r}{what} stands", "one to undo"))
    # No older than what it takes back, even where that person's clock was fast.
    append_row(path, cells | {"at": _utc(max(now, *(s.moment for s in standing)))})
    return standing


def _cells(heard: str, taxon: Taxon | None, action: Action, by: str, note: str, now: datetime) -> dict[str, str]:
    heard = _tidy("heard words", heard, LONGEST_HEARD)
    if not has_letters(spoken_key(heard)):
        reason = f"{heard!r} has no letters a-z to compare"
        raise InputError(Problem("heard words", 0, reason, "words as the captions have them"))
    name, taxon_id = (taxon.scientific_name, taxon.taxon_id) if taxon else ("", "")
    by, note = _tidy("by", by, _LONGEST_CELL), _tidy("note", note, _LONGEST_CELL)
    return dict(zip(COLUMNS, (heard, name, taxon_id, action, by, _utc(now), note), strict=True))


def _tidy(what: str, text: str, longest: int) -> str:
    """One line of printable text with single blanks."""
    # Lone surrogates are what Python makes of bytes that are no UTF-8.
    unreadable = any(char == _UNREADABLE or "\ud800" <= char <= "\udfff" for char in text)
    text = " ".join("".join(char if char.isprintable() else " " for char in text).split())
    if unreadable:
        raise InputError(Problem(what, 0, "holds unreadable characters", "UTF-8 text"))
    if len(text) > longest:
        raise InputError(Problem(what, 0, f"{len(text)} characters are too many", f"up to {longest}"))
    return text


def _read(table: Table, checklist: Checklist, problems: list[Problem]) -> Iterator[Statement]:
    """The rows that say something, in the file's order."""
    for number, cells in enumerate(table.frame.iter_rows(named=True)):
        heard, name, taxon_id, said, by, at, note = (without_guard(cells.get(column)) for column in COLUMNS)
        if not any((heard, name, taxon_id, said)) or (heard, name) == COLUMNS[:2]:
            continue  # an empty row, or the header again where files were joined
        key = spoken_key(heard)
        action = _ACTIONS.get(" ".join(said.lower().split()) or ("means" if name or taxon_id else ""))
        if _UNREADABLE in heard + name + taxon_id:
            problems.append(table.problem(number, "holds unreadable characters", "UTF-8 text"))
        elif not has_letters(key):
            problems.append(table.problem(number, f"heard {heard!r} has no letters a-z", "words as heard"))
        elif action is None:
            reason = f"action {said!r} is not understood" if said else "neither a name nor an action"
            problems.append(table.problem(number, reason, "a scientificName, or one of " + ", ".join(_ACTIONS)))
        elif (action == "means") != bool(name or taxon_id) and action != "undo":
            reason = f"action {said!r} {'with' if action == 'no name' else 'without'} a name"
            problems.append(table.problem(number, reason, "a name where the words mean one, and only there"))
        else:
            row = _row(checklist, name, taxon_id)
            yield Statement(int(table.lines[number]), heard, key, action, name, taxon_id, by, at, note, row, _LONG_AGO)


def _row(checklist: Checklist, name: str, taxon_id: str) -> int | None:
    """The row a name stands on. Whoever edits a row by hand changes the name: it counts for more than the taxonID."""
    of_id = checklist.by_id(taxon_id) if taxon_id else None
    rows = checklist.find(name) if name else () if of_id is None else (of_id,)
    if of_id is not None and of_id in rows:
        return of_id
    return rows[0] if len({checklist.accepted(row) for row in rows}) == 1 else None


def _to_the_second(now: datetime | None) -> datetime:
    return (now or datetime.now(UTC)).replace(microsecond=0)


def _moment(at: str) -> datetime | None:
    """A time as written, in UTC; without a zone it is UTC."""
    try:
        moment = datetime.fromisoformat(at.upper())
        return moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)
    except (ValueError, OverflowError):
        return None


def _utc(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _by_time(statements: Iterator[Statement], file: str, problems: list[Problem]) -> list[Statement]:
    """Oldest first, so that it does not matter in which order files were joined; ties in the file's order."""
    dated = []
    moment = _LONG_AGO
    for statement in statements:
        found = _moment(statement.at)
        if statement.at and not found:
            reason = f"at {statement.at!r} is no time; taken to be as old as the row above"
            problems.append(Problem(file, statement.line, reason, "a time like 2031-06-14T08:12:00Z", "mended"))
        moment = found or moment
        dated.append(replace(statement, moment=moment))
    return sorted(dated, key=lambda statement: statement.moment)


def _with_what_stands(
    statements: list[Statement], checklist: Checklist, file: str, problems: list[Problem]
) -> tuple[Statement, ...]:
    """The statements with `stands` set; names that cannot be used are told of where nobody took them back."""

    def meant(s: Statement) -> int | str:
        return s.name.casefold() if s.row is None else checklist.accepted(s.row)

    standing: dict[str, list[int]] = {}
    for number, s in enumerate(statements):
        if s.action != "undo":
            standing.setdefault(s.key, []).append(number)
        elif s.name or s.taxon_id:
            kept = [n for n in standing.get(s.key, ()) if meant(statements[n]) != meant(s)]
            standing[s.key] = kept
        else:
            standing.pop(s.key, None)
    stand = {number for numbers in standing.values() for number in numbers}
    for number in sorted(stand, key=lambda n: statements[n].line):
        problems += _doubts(statements[number], checklist, file)
    return tuple(replace(s, stands=number in stand) for number, s in enumerate(statements))


def _doubts(s: Statement, checklist: Checklist, file: str) -> Iterator[Problem]:
    """What is wrong with the name of a statement."""

    def problem(reason: str, expected: str, severity: Severity = "skipped") -> Problem:
        return Problem(file, s.line, reason, expected, severity)

    if s.row is None and s.action == "means":
        rows = checklist.find(s.name)
        why = f"stands for {len(rows)} taxa of the checklist" if rows else "is not in the checklist"
        expected = "the taxonID of one of them" if rows else "a scientificName of the checklist"
        yield problem(f"{s.name or s.taxon_id!r} {why}", expected)
    elif s.row is not None and s.name and s.taxon_id not in ("", checklist.taxon(s.row).taxon_id):
        reason = f"taxonID {s.taxon_id!r} is not that of {s.name!r}; the name is followed"
        yield problem(reason, checklist.taxon(s.row).taxon_id, "mended")
