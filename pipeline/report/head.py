"""The report's head: which dive, where, when, who may be credited. In: run.json, metadata, rows. Out: facts in words.

Nothing is guessed: what neither the recordings' descriptions nor the publication's metadata tell is left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from earwitness.pipeline.publish.described import credited
from earwitness.pipeline.publish.metadata import Publication
from earwitness.pipeline.publish.statements import is_reviewed
from earwitness.pipeline.report.wording import clean, clipped, count, utc

MOST = 6
"""Names of one kind in the head, at most."""
LONGEST = 200


@dataclass(frozen=True, slots=True)
class Head:
    """What stands at the top of the report.

    Args:
        title: of the dive, or of the recordings.
        facts: (label, text) of where, when and who.
        reviewed: rows that a person has reviewed.
        rows: all rows of the report.
    """

    title: str
    facts: tuple[tuple[str, str], ...]
    reviewed: int
    rows: int


def head(
    rows: Sequence[Mapping[str, Any]], run: Mapping[str, Any], publication: Publication | None, pseudonyms: bool = False
) -> Head:
    """The head of a report; with pseudonyms, nobody is named in it."""
    told = [one for one in run.get("recordings") or () if isinstance(one, Mapping)]
    names = _once(row.get("recordingID") for row in rows)
    names = names or _once(one.get("recordingID") for one in run.get("transcripts") or ())
    title = _told(told, "title") or ([publication.title] if publication else []) or _told(told, "dive") or names
    sites = _told(told, "site")
    licences, holders = _told(told, "licence"), _told(told, "rightsHolder")
    if publication:
        sites = sites or _once([publication.region])
        licences, holders = [publication.licence.title], [publication.rights_holder]
    facts = {
        "Dive": _told(told, "dive"),
        "Site": sites,
        "When": [when] if (when := _when(rows)) else [],
        "Ship": _told(told, "ship"),
        "Vehicle": _told(told, "vehicle"),
        "Recordings" if len(names) > 1 else "Recording": names,
        "May be credited": [] if pseudonyms else _once(_credited(one) for one in credited(run)[0]),
        "Published by": _once(agent.name for agent in publication.creators) if publication else [],
        "Rights": holders,
        "Licence": licences,
    }
    return Head(
        clipped(clean(", ".join(title[:MOST])), LONGEST) or "A dive without a name",
        tuple((label, _joined(values)) for label, values in facts.items() if values),
        sum(is_reviewed(row) for row in rows),
        len(rows),
    )


def _told(told: Sequence[Mapping[str, Any]], key: str) -> list[str]:
    return _once(one.get(key) for one in told)


def _once(values: Any) -> list[str]:
    return list(dict.fromkeys(text for value in values if (text := clipped(clean(value), LONGEST))))


def _credited(person: Mapping[str, Any]) -> str:
    name, role = clean(person.get("name")), clean(person.get("role"))
    return f"{name} ({role})" if name and role else name


def _joined(values: Sequence[str]) -> str:
    more = len(values) - MOST
    return "; ".join(values[:MOST]) + (f"; and {more} more" if more > 0 else "")


def _when(rows: Sequence[Mapping[str, Any]]) -> str:
    """From the first to the last row, in UTC; "" where no row has it."""
    ends = [utc(part) for row in rows for part in str(row.get("eventDate") or "").split("/")]
    moments = sorted(moment for moment in ends if moment)
    if not moments:
        return ""
    first, last = moments[0], moments[-1]
    dateless = first.date() == last.date()
    without = sum(not row.get("eventDate") for row in rows)
    note = f" ({count(without, 'row')} without UTC)" if without else ""
    return f"{_day(first)}, {first:%H:%M:%S} to {'' if dateless else _day(last) + ', '}{last:%H:%M:%S} UTC{note}"


def _day(moment: datetime) -> str:
    return f"{moment.day} {moment:%B %Y}"
