"""Gold files: what a careful reader says the talk claims.

In: a CSV of gold events or gold mentions, told apart by its header. Out: `GoldEvent` or `GoldMention` rows.
Refuses any row it cannot read, naming file and line: a measure must not rest on a guess about its scale.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from earwitness.pipeline.score.figures import CERTAINTY_TERMS, GOLD_STATUSES
from earwitness.schemas import InputError, Problem

EVENT_COLUMNS = (
    "event",
    "start_s",
    "end_s",
    "name",
    "rank",
    "certainty",
    "count",
    "qualifier",
    "is_occurrence",
)
MENTION_COLUMNS = (
    "utterance_no",
    "start_s",
    "end_s",
    "kind",
    "verbatim",
    "name",
    "rank",
    "event",
    "status",
    "certainty",
    "count",
)
KINDS = ("sighting", "marker", "substrate", "measure")


@dataclass(frozen=True, slots=True)
class GoldEvent:
    """One animal or group as the talk leaves it.

    Args:
        event: the gold's own name for it.
        start, end: seconds into the recording, from the first to the last mention.
        name, rank: the accepted name and its rank, or None.
        certainty: one of `CERTAINTY_TERMS`, or None.
        count: "3", "~20", "many" as spoken, or None where no number was said.
        qualifier: "cf.", "sp." and the like, or None.
        is_occurrence: False where it was spoken of as an animal but should give no record.
        file, line: where the row stands.
    """

    event: str
    start: float
    end: float
    name: str | None
    rank: str | None = None
    certainty: str | None = None
    count: str | None = None
    qualifier: str | None = None
    is_occurrence: bool = True
    file: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class GoldMention:
    """Words that mean a taxon, or a marker, a substrate or a reading.

    Args:
        utterance: number of the utterance.
        start, end: seconds into the recording; those of the whole utterance.
        kind: one of `KINDS`.
        verbatim: the words.
        name, rank: for a sighting the accepted name and its rank.
        event: the gold event it belongs to, or None.
        status: one of `GOLD_STATUSES` for a sighting.
        certainty: one of `CERTAINTY_TERMS`, or None.
        count: as spoken, or None.
        file, line: where the row stands.
    """

    utterance: str
    start: float
    end: float
    kind: str
    verbatim: str
    name: str | None = None
    rank: str | None = None
    event: str | None = None
    status: str | None = None
    certainty: str | None = None
    count: str | None = None
    file: str = ""
    line: int = 0


@dataclass(frozen=True, slots=True)
class GoldFile:
    """A gold file read: either events or mentions is None, by what its header says it holds."""

    path: str
    events: tuple[GoldEvent, ...] | None = None
    mentions: tuple[GoldMention, ...] | None = None


def read_gold(path: Path | str) -> GoldFile:
    """Read a gold CSV (UTF-8, header first), telling events from mentions by the header.

    Raises:
        InputError: unreadable file, a header of neither kind, or a row with a wrong cell; names file and
            line.
    """
    name = str(path)
    header, rows = _rows(Path(path), name)
    if set(EVENT_COLUMNS) <= set(header):
        events = tuple(_event(row, name, line) for line, row in rows)
        _refuse_repeats(events, name)
        return GoldFile(name, events=events)
    if set(MENTION_COLUMNS) <= set(header):
        return GoldFile(name, mentions=tuple(_mention(row, name, line) for line, row in rows))
    found = f"columns are {', '.join(header)}" if header else "no header"
    raise InputError(
        Problem(
            name,
            1,
            f"not a gold file: {found}",
            f"the columns of gold events ({', '.join(EVENT_COLUMNS)}) "
            f"or of gold mentions ({', '.join(MENTION_COLUMNS)})",
        )
    )


def _rows(path: Path, name: str) -> tuple[list[str], list[tuple[int, dict[str, str]]]]:
    rows: list[tuple[int, dict[str, str]]] = []
    header: list[str] = []
    try:
        with path.open(encoding="utf-8-sig", newline="") as lines:
            reader = csv.reader(lines, strict=True)
            header = [cell.strip() for cell in next(reader, [])]
            for cells in reader:
                if not any(cell.strip() for cell in cells):
                    continue
                if len(cells) != len(header):
                    expected = f"{len(header)} cells, as in the header"
                    raise InputError(Problem(name, reader.line_num, f"{len(cells)} cells", expected))
                rows.append((reader.line_num, dict(zip(header, (c.strip() for c in cells), strict=True))))
    except OSError as error:
        raise InputError(Problem(name, 0, f"cannot be read ({error.strerror})", "a gold CSV file")) from error
    except UnicodeDecodeError as error:
        raise InputError(Problem(name, 0, "not UTF-8 text", "a gold CSV file in UTF-8")) from error
    except csv.Error as error:
        raise InputError(Problem(name, reader.line_num, f"broken CSV ({error})", "a gold CSV file")) from error
    return header, rows


def _event(row: Mapping[str, str], file: str, line: int) -> GoldEvent:
    start, end = _times(row, file, line)
    return GoldEvent(
        event=_filled(row, "event", file, line),
        start=start,
        end=end,
        name=row["name"] or None,
        rank=row["rank"] or None,
        certainty=_one_of(row, "certainty", CERTAINTY_TERMS, file, line),
        count=row["count"] or None,
        qualifier=row["qualifier"] or None,
        is_occurrence=_truth(row, "is_occurrence", file, line),
        file=file,
        line=line,
    )


def _mention(row: Mapping[str, str], file: str, line: int) -> GoldMention:
    start, end = _times(row, file, line)
    sighting = row["kind"] == "sighting"
    if sighting:
        _filled(row, "status", file, line)
    return GoldMention(
        utterance=row["utterance_no"],
        start=start,
        end=end,
        kind=_one_of(row, "kind", KINDS, file, line) or _filled(row, "kind", file, line),
        verbatim=row["verbatim"],
        name=row["name"] or None,
        rank=row["rank"] or None,
        event=row["event"] or None,
        status=_one_of(row, "status", GOLD_STATUSES, file, line) if sighting else None,
        certainty=_one_of(row, "certainty", CERTAINTY_TERMS, file, line) if sighting else None,
        count=row["count"] or None,
        file=file,
        line=line,
    )


def _times(row: Mapping[str, str], file: str, line: int) -> tuple[float, float]:
    try:
        start, end = float(row["start_s"]), float(row["end_s"])
    except ValueError:
        start = end = math.nan
    # Written so that NaN and infinity fail too.
    if not 0 <= start <= end < math.inf:
        reason = f"times {row['start_s']!r} to {row['end_s']!r}"
        raise InputError(Problem(file, line, reason, "start_s and end_s in seconds, 0 <= start_s <= end_s"))
    return start, end


def _filled(row: Mapping[str, str], column: str, file: str, line: int) -> str:
    if not row[column]:
        raise InputError(Problem(file, line, f"{column} is empty", f"a value in {column}"))
    return row[column]


def _one_of(row: Mapping[str, str], column: str, allowed: Sequence[str], file: str, line: int) -> str | None:
    if row[column] and row[column] not in allowed:
        raise InputError(Problem(file, line, f"{column} is {row[column]!r}", f"one of {', '.join(allowed)}"))
    return row[column] or None


def _truth(row: Mapping[str, str], column: str, file: str, line: int) -> bool:
    word = row[column].casefold()
    if word not in ("true", "false"):
        raise InputError(Problem(file, line, f"{column} is {row[column]!r}", "true or false"))
    return word == "true"


def _refuse_repeats(events: Sequence[GoldEvent], file: str) -> None:
    seen: dict[str, int] = {}
    for event in events:
        if (first := seen.setdefault(event.event, event.line)) != event.line:
            reason = f"event {event.event!r} stands on line {first} already"
            raise InputError(Problem(file, event.line, reason, "one row an event"))
