"""Everything a report shows, ready for the page and the figures. In: an Edition. Out: Content."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from earwitness.pipeline.publish.publisher import Edition
from earwitness.pipeline.publish.statements import CAUTION, DRAFT_STATEMENT
from earwitness.pipeline.publish.track import drawn_once
from earwitness.pipeline.report.chart import Chart, chart
from earwitness.pipeline.report.groups import Groups, higher_groups
from earwitness.pipeline.report.head import Head, head
from earwitness.pipeline.report.listing import EventLine, Moment, Trouble, event_lines, moments, troubles
from earwitness.pipeline.report.tallies import Confidence, TaxonTally, by_rank, by_taxon, confidence
from earwitness.pipeline.report.timeline import Timeline, timelines
from earwitness.pipeline.report.wording import clean, clipped, count, metres
from earwitness.schemas import Problem

LONGEST = 200


@dataclass(frozen=True, slots=True)
class Content:
    """What a report shows.

    Args:
        head: which dive.
        glance: (figure, what it counts) in a line under the head.
        groups: higher groups of the animals.
        timelines: one, or one for each recording.
        undrawn: recordings without a timeline of their own, because there are too many.
        chart: the map; None without positions.
        grid: degrees of the grid that positions were moved to, or None.
        taxa: tallies by taxon.
        ranks: tallies by rank.
        confidence: certainty across nameScore.
        moments: samples, images, highlights and targets.
        lines: all events.
        several: whether there is more than one recording.
        troubles: problems, by reason.
        cautions: what to keep in mind.
        making: (label, text) of how it was made.
    """

    head: Head
    glance: tuple[tuple[str, str], ...]
    groups: Groups
    timelines: tuple[Timeline, ...]
    undrawn: int
    chart: Chart | None
    grid: float | None
    taxa: tuple[TaxonTally, ...]
    ranks: tuple[tuple[str, int], ...]
    confidence: Confidence
    moments: tuple[Moment, ...]
    lines: tuple[EventLine, ...]
    several: bool
    troubles: tuple[Trouble, ...]
    cautions: tuple[str, ...]
    making: tuple[tuple[str, str], ...]


def gather(edition: Edition) -> Content:
    """Gather what a report shows. Rows that a person has rejected are left out."""
    rows = [row for row in edition.rows if row["reviewStatus"] != "rejected"]
    numbered = [(place, row) for place, row in enumerate(rows) if row["recordKind"] == "occurrence"]
    animals = [row for _, row in numbered]
    groups = higher_groups(animals)
    grid = edition.options.grid_degrees
    track = () if grid else edition.track
    drawn = timelines(rows, groups, track)
    recordings = {row["recordingID"] for row in rows}
    lines = event_lines(rows, groups)
    taxa = by_taxon(numbered, groups)
    return Content(
        head=head(rows, edition.run, edition.publication, _pseudonyms(edition)),
        glance=_glance(rows, taxa),
        groups=groups,
        timelines=drawn,
        undrawn=0 if drawn and drawn[0].joined else len(recordings) - len(drawn),
        chart=chart(rows, groups, [fix for way in drawn_once(track) for fix in way], grid),
        grid=grid,
        taxa=taxa,
        ranks=by_rank(animals),
        confidence=confidence(animals),
        moments=moments(rows, lines),
        lines=lines,
        several=len(recordings) > 1,
        troubles=troubles([*_problems(edition.folder / "problems.csv"), *map(_problem, edition.problems)]),
        cautions=_cautions(edition, rows),
        making=_making(edition),
    )


def _glance(rows: Sequence[dict[str, Any]], taxa: Sequence[TaxonTally]) -> tuple[tuple[str, str], ...]:
    kinds = Counter(row["recordKind"] for row in rows)
    markers = Counter(row["markerType"] for row in rows)
    depths = [
        row[key]
        for row in rows
        for key in ("minimumDepthInMeters", "maximumDepthInMeters")
        if row["recordKind"] == "occurrence" and row.get(key) is not None
    ]
    parts = [
        _counted(kinds["occurrence"], "sighting", "sightings"),
        _counted(len(taxa), "taxon", "taxa"),
        _counted(markers["sample"], "sample", "samples"),
        _counted(markers["highlight"], "highlight", "highlights"),
        _counted(markers["image"], "image", "images"),
    ]
    if depths:
        parts.append((metres(min(depths), max(depths)), "depth of the sightings"))
    return tuple(parts)


def _counted(number_of: int, one: str, many: str) -> tuple[str, str]:
    return f"{number_of:,}", one if number_of == 1 else many


def _problems(file: Path) -> list[dict[str, Any]]:
    if not file.exists():
        return []
    with file.open(encoding="utf-8", errors="replace", newline="") as lines:
        return list(csv.DictReader(line.replace("\0", "") for line in lines))


def _problem(problem: Problem) -> dict[str, Any]:
    return {"file": problem.file, "line": problem.line, "severity": problem.severity, "reason": problem.reason}


def _pseudonyms(edition: Edition) -> bool:
    return bool(edition.options.pseudonyms or edition.run.get("settings", {}).get("pseudonyms"))


def _cautions(edition: Edition, rows: Sequence[dict[str, Any]]) -> tuple[str, ...]:
    options = edition.options
    animals = [row for row in rows if row["recordKind"] == "occurrence"]
    said = [CAUTION]
    if options.reviewed_only:
        said.append("Only rows that a person has reviewed are shown.")
    if options.least_certainty is not None:
        said.append(f"Sightings whose speaker was less sure than {options.least_certainty:g} are left out.")
    said.extend(f"{count(rows_left, 'row')} left out: {reason}." for reason, rows_left in edition.left_out.items())
    if options.grid_degrees is not None:
        said.append(f"Positions were moved to a grid of {options.grid_degrees:g}°; the track is left out.")
    if _pseudonyms(edition):
        said.append("People are called by pseudonyms; a name said in passing may remain in the words heard.")
    without = sum(not row.get("eventDate") for row in rows)
    if without:
        said.append(f"{count(without, 'row')} of {len(rows):,} without UTC: their times are those of the recording.")
    nowhere = sum(row.get("decimalLatitude") is None for row in animals)
    if nowhere:
        said.append(f"{count(nowhere, 'sighting')} of {len(animals):,} without a position.")
    methods = Counter(row.get("placeMethod") for row in rows)
    if methods["gap"]:
        said.append(f"{count(methods['gap'], 'row')} in a gap of the vehicle's log.")
    if methods["nearest fix"]:
        said.append(f"{count(methods['nearest fix'], 'row')} placed by the nearest fix alone, not between two.")
    flags = Counter(clean(flag) for row in rows for flag in row.get("placeFlags") or ())
    said.extend(f"Place: {flag} ({count(times, 'row')})." for flag, times in sorted(flags.items(), key=_most)[:8])
    return tuple(clipped(clean(text), 2 * LONGEST) for text in said)


def _most(item: tuple[str, int]) -> tuple[int, str]:
    return -item[1], item[0]


def _making(edition: Edition) -> tuple[tuple[str, str], ...]:
    run = edition.run
    checklist: Mapping[str, Any] = run.get("checklist") or {}
    taxa = checklist.get("taxa")
    facts = [
        ("What this is", DRAFT_STATEMENT[0].upper() + DRAFT_STATEMENT[1:]),
        ("Made by", f"{clean(run.get('software')) or 'earwitness'} {clean(run.get('softwareVersion'))}".strip()),
        ("Checklist", clean(checklist.get("name")) + (f", {count(taxa, 'taxon', 'taxa')}" if taxa is not None else "")),
        ("Checklist, SHA-256", clean(checklist.get("sha256"))),
    ]
    for transcript in (run.get("transcripts") or ())[:12]:
        name = clean(transcript.get("recordingID"))
        facts.append((f"Transcript of {name}", f"{clean(transcript.get('format'))}, {_cues(transcript)}"))
        facts.append((f"Transcript of {name}, SHA-256", clean(transcript.get("sha256"))))
    return tuple((clipped(label, LONGEST), clipped(text, LONGEST)) for label, text in facts if text)


def _cues(transcript: Mapping[str, Any]) -> str:
    skipped = transcript.get("cuesSkipped") or 0
    read = count(transcript.get("cuesRead") or 0, "cue") + " read"
    return f"{read}, {skipped:,} skipped" if skipped else read
