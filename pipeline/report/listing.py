"""Rows of the report's lists: all events, the moments worth a look, the problems. In: event rows. Out: short texts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from earwitness.pipeline.report.groups import Groups
from earwitness.pipeline.report.tallies import ITALIC_RANKS, quantity
from earwitness.pipeline.report.timeline import LETTERS, PHASES
from earwitness.pipeline.report.wording import clean, clipped, clock, metres, number, utc

WORDS = 450_000
"""Bytes of heard words in the list of events: a long dive's are cut shorter, so that the page opens fast."""
SHORTEST, LONGEST = 60, 480
NAME = 160
"""Bytes of a name, at most."""
KINDS = {**PHASES, **{kind: kind for kind in LETTERS}}


@dataclass(frozen=True, slots=True)
class EventLine:
    """One row of the list of events, as shown.

    Args:
        number: of the row among the report's rows.
        kind: recordKind.
        recording: its name.
        time: into the recording.
        moment: UTC, "" where unknown.
        depth: range of depths.
        what: the name, the kind of marker, the measurement or the ground.
        italic: whether `what` is set in italics.
        qualifier: sign of open nomenclature.
        amount: how many, as spoken.
        certainty: how sure the speaker was, with the words that made it so.
        score: nameScore.
        words: heard, cut to what fits.
        speaker: who said them.
        group: slot of the higher group, or None.
    """

    number: int
    kind: str
    recording: str
    time: str
    moment: str
    depth: str
    what: str
    italic: bool
    qualifier: str
    amount: str
    certainty: str
    score: str
    words: str
    speaker: str
    group: int | None


def event_lines(rows: Sequence[dict[str, Any]], groups: Groups) -> tuple[EventLine, ...]:
    """Every row, in the order it came."""
    room = min(max(WORDS // max(len(rows), 1), SHORTEST), LONGEST)
    return tuple(_event(number_of, row, groups, room) for number_of, row in enumerate(rows))


def _event(place: int, row: dict[str, Any], groups: Groups, room: int) -> EventLine:
    moment = utc(row.get("eventDate"))
    animal = row["recordKind"] == "occurrence"
    cues = "; ".join(f"“{clean(cue)}”" for cue in row.get("certaintyCues") or ())
    term = clean(row.get("certaintyTerm"))
    return EventLine(
        number=place,
        kind=row["recordKind"],
        recording=clean(row["recordingID"]),
        time=clock(row["startTime"]),
        moment=moment.strftime("%H:%M:%S") if moment else "",
        depth=metres(row.get("minimumDepthInMeters"), row.get("maximumDepthInMeters")),
        what=clipped(what(row), NAME),
        italic=animal and clean(row.get("taxonRank")).casefold() in ITALIC_RANKS,
        qualifier=clipped(clean(row.get("identificationQualifier")), NAME),
        amount=clipped(quantity(row), NAME),
        certainty=clipped(f"{term} {cues}".strip() if animal else "", NAME),
        score=f"{row['nameScore']:.2f}" if row.get("nameScore") is not None else "",
        words=clipped(clean(row.get("transcriptText")).replace(" | ", " … "), room),
        speaker=clipped(clean(row.get("speaker")), NAME),
        group=groups.of(row).slot if animal else None,
    )


def what(row: dict[str, Any]) -> str:
    """What a row records, in a few words."""
    kind = row["recordKind"]
    if kind == "occurrence":
        return clean(row["scientificName"])
    if kind == "marker":
        return KINDS.get(row["markerType"], clean(row["markerType"]))
    if kind == "measurement":
        parts = (clean(row.get(k)) for k in ("measurementType", "measurementValue", "measurementUnit"))
        return " ".join(part for part in parts if part)
    return f"ground: {clean(row.get('habitat'))}"


@dataclass(frozen=True, slots=True)
class Moment:
    """A sample, image, highlight or target: its letter, its row in the list, detail, and what was spoken of then."""

    letter: str
    kind: str
    line: EventLine
    detail: str
    about: tuple[str, ...]
    fragment: str


def moments(rows: Sequence[dict[str, Any]], lines: Sequence[EventLine]) -> tuple[Moment, ...]:
    """The moments that people go back to in the video, in the order of the rows."""
    animals = [row for row in rows if row["recordKind"] == "occurrence"]
    by_recording: dict[str, list[dict[str, Any]]] = {}
    for row in animals:
        by_recording.setdefault(row["recordingID"], []).append(row)
    return tuple(
        _moment(row, line, by_recording.get(row["recordingID"], []))
        for row, line in zip(rows, lines, strict=True)
        if row.get("markerType") in LETTERS
    )


def _moment(row: dict[str, Any], line: EventLine, animals: Sequence[dict[str, Any]]) -> Moment:
    begin, end = row["startTime"], row["endTime"]
    about = [clean(a["scientificName"]) for a in animals if a["startTime"] <= end and a["endTime"] >= begin]
    container, rank = clean(row.get("sampleContainer")), row.get("markerRank")
    details = [f"into the {container}" if container else "", f"rank {rank}" if rank is not None else ""]
    return Moment(
        LETTERS[row["markerType"]],
        row["markerType"],
        line,
        ", ".join(detail for detail in details if detail),
        tuple(clipped(name, NAME) for name in dict.fromkeys(about)),
        f"#t={number_of_seconds(begin)},{number_of_seconds(max(end, begin + 0.001))}",
    )


def number_of_seconds(seconds: float) -> str:
    """Seconds as a W3C media fragment has them."""
    return number(seconds, 3).replace(",", "")


@dataclass(frozen=True, slots=True)
class Trouble:
    """Problems of one kind: how bad, why, how often, and the first places."""

    severity: str
    reason: str
    times: int
    places: tuple[str, ...]


def troubles(problems: Sequence[dict[str, Any]], most_places: int = 3) -> tuple[Trouble, ...]:
    """Problems joined by reason, the worst and most frequent first."""
    keys = [(clean(p.get("severity")), clipped(clean(p.get("reason")), LONGEST)) for p in problems]
    places: dict[tuple[str, str], list[str]] = {}
    for key, problem in zip(keys, problems, strict=True):
        file = clean(problem.get("file")).replace("\\", "/").rpartition("/")[2]
        places.setdefault(key, []).append(clipped(f"{file}, line {clean(problem.get('line'))}", NAME))
    order = {"skipped": 0, "mended": 1, "noted": 2}
    found = sorted(Counter(keys).items(), key=lambda item: (order.get(item[0][0], 3), -item[1], item[0]))
    return tuple(Trouble(*key, times, tuple(places[key][:most_places])) for key, times in found)
