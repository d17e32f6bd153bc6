"""How well a run's event rows say what the gold events say.

In: event rows, gold events, a checklist. Out: an `EventScore`: rates by level, confusions, every pair.
Refuses rows without a start time and labels outside the closed sets; markers and the like pass by.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from earwitness.pipeline.score.counts import (
    CountScore,
    QualifierScore,
    canonical,
    compare_counts,
    compare_qualifiers,
)
from earwitness.pipeline.score.figures import CERTAINTY_TERMS, Confusion, Rates, confusion, tidy
from earwitness.pipeline.score.gold import GoldEvent
from earwitness.pipeline.score.names import (
    Agreement,
    Lineages,
    Named,
    Relation,
    agreement,
    place,
    relation,
    same_at,
)
from earwitness.pipeline.score.pairing import Grid, Interval, nearness_grid, pair_up, within_mask
from earwitness.pipeline.score.unknown import unknown_names
from earwitness.schemas import Problem

EVENT_TOLERANCE = 5.0
"""Seconds between a run's event and a gold event that may still be the same; a choice, no source."""

NAME_LEVELS = ("taxon", "species", "genus", "family")
LEVELS = ("detection", *NAME_LEVELS, "rightOrAncestor")


@dataclass(frozen=True, slots=True)
class EventPair:
    """A gold event and the run's row matched to it; None where one stands alone (missed, or spurious)."""

    gold: GoldEvent | None
    run: Mapping[str, Any] | None
    agreement: Agreement = Agreement.NONE
    relation: Relation = "apart"

    @property
    def wanted(self) -> bool:
        """Whether the gold asks for a record here and the run has one."""
        return self.run is not None and self.gold is not None and self.gold.is_occurrence

    def to_json(self) -> dict[str, Any]:
        """The pair as a plain dict; null where a side is missing."""
        run, gold = self.run or {}, self.gold
        return {
            "goldEvent": gold.event if gold else None,
            "goldName": gold.name if gold else None,
            "goldStart": gold.start if gold else None,
            "goldEnd": gold.end if gold else None,
            "isOccurrence": gold.is_occurrence if gold else None,
            "goldCertaintyTerm": gold.certainty if gold else None,
            "eventID": run.get("eventID"),
            "runName": run.get("scientificName"),
            "runStart": run.get("startTime"),
            "runEnd": run.get("endTime"),
            "runCertainty": run.get("certainty"),
            "agreement": self.agreement.name.lower(),
            "relation": self.relation,
        }


@dataclass(frozen=True, slots=True)
class OccurrenceScore:
    """Whether there should be a record against whether the run has one.

    Args:
        found, missed: gold occurrences with and without a row in the run.
        recorded_not_occurrence: not an occurrence, but recorded.
        left_out: not an occurrence, and rightly not recorded.
        without_gold: rows of the run that no gold event stands beside.
    """

    found: int
    missed: int
    recorded_not_occurrence: int
    left_out: int
    without_gold: int

    def to_json(self) -> dict[str, Any]:
        """The four cells, and the rows without gold, as a plain dict."""
        return {
            "occurrenceRecorded": self.found,
            "occurrenceMissed": self.missed,
            "notOccurrenceRecorded": self.recorded_not_occurrence,
            "notOccurrenceLeftOut": self.left_out,
            "recordedWithoutGold": self.without_gold,
        }


@dataclass(frozen=True, slots=True)
class EventScore:
    """What `score_events` measured.

    Args:
        tolerance: seconds, as given.
        levels: rates by each of `LEVELS`.
        too_specific: pairs where the run's taxon lies below the gold's: more was written than was said.
        occurrence, certainty, qualifier, count: see their types; certainty and the rest over related pairs.
        pairs: every gold event and every row of the run once, matched or alone, in time order.
        passed_by: rows that were not asked about, by record kind ("absent" for occurrences said to be
            absent).
        problems: names the checklist lacks.
    """

    tolerance: float
    levels: Mapping[str, Rates]
    too_specific: int
    occurrence: OccurrenceScore
    certainty: Confusion
    qualifier: QualifierScore
    count: CountScore
    pairs: tuple[EventPair, ...]
    passed_by: Mapping[str, int]
    problems: tuple[Problem, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Everything as a plain dict, keys sorted, numbers rounded to 4 places."""
        result: dict[str, Any] = tidy(
            {
                "toleranceSeconds": self.tolerance,
                "levels": {level: rates.to_json() for level, rates in self.levels.items()},
                "tooSpecific": self.too_specific,
                "occurrence": self.occurrence.to_json(),
                "certainty": self.certainty.to_json(),
                "qualifier": self.qualifier.to_json(),
                "count": self.count.to_json(),
                "pairs": [pair.to_json() for pair in self.pairs],
                "rowsPassedBy": dict(self.passed_by),
            }
        )
        return result


def score_events(
    events: Iterable[Mapping[str, Any]],
    gold: Iterable[GoldEvent],
    checklist: Lineages,
    *,
    tolerance: float = EVENT_TOLERANCE,
) -> EventScore:
    """Match a run's occurrences with gold events one to one, and compare them.

    A pair may match only if the two stretches of time overlap or touch once the gold's is widened by
    `tolerance` seconds on either side. A gold event with `is_occurrence` false may match only a related or
    more specific name: time alone does not say that that thing was recorded.

    Among all one-to-one matchings of allowed pairs the one taken is best in this order, each item deciding
    only among those equal in all before it: most pairs of the same taxon; of the same genus; of the same
    family; where the run's taxon is an ancestor of the gold's; a descendant of it; any other; then the
    greatest sum of `Interval.nearness`. Within each item gold occurrences come before those that are not.

    Args:
        events: rows of events.jsonl of one recording; rows of another recordKind and occurrences with
            occurrenceStatus "absent" are counted in `passed_by` and not asked about.
        gold: gold events of the same recording.
        checklist: the run's.
        tolerance: seconds, at least 0.

    Raises:
        ValueError: negative tolerance, a row without a number in startTime, or a certaintyTerm outside the
            closed set.
    """
    if not tolerance >= 0:
        raise ValueError(f"tolerance is {tolerance}; expected seconds, at least 0")
    rows, passed_by = _occurrences(events)
    wanted = sorted(gold, key=lambda event: (event.start, event.end, event.event))
    run_names = [place_row(row, checklist) for row in rows]
    gold_names = [place(event.name, checklist, rank=event.rank) for event in wanted]
    pairs = _match(rows, wanted, run_names, gold_names, checklist, tolerance)
    matched = [
        EventPair(
            wanted[j],
            rows[i],
            agreement(run_names[i], gold_names[j], checklist),
            relation(run_names[i], gold_names[j], checklist),
        )
        for i, j in pairs
    ]
    taken_rows, taken_gold = {i for i, _ in pairs}, {j for _, j in pairs}
    alone = [EventPair(event, None) for j, event in enumerate(wanted) if j not in taken_gold]
    alone += [EventPair(None, row) for i, row in enumerate(rows) if i not in taken_rows]
    good = [(i, j) for i, j in pairs if wanted[j].is_occurrence]
    asked = [name for name, event in zip(gold_names, wanted, strict=True) if event.is_occurrence]
    related = [pair for pair in matched if pair.wanted and pair.agreement.related]
    not_asked = len(wanted) - len(asked)
    recorded = sum(not pair.wanted for pair in matched)
    return EventScore(
        tolerance=tolerance,
        levels=_levels([(run_names[i], gold_names[j]) for i, j in good], run_names, asked, checklist),
        too_specific=sum(pair.wanted and pair.relation == "descendant" for pair in matched),
        occurrence=OccurrenceScore(
            len(good), len(asked) - len(good), recorded, not_asked - recorded, len(rows) - len(pairs)
        ),
        certainty=confusion(CERTAINTY_TERMS, [(g.certainty, r.get("certaintyTerm")) for g, r in _sides(related)]),
        qualifier=compare_qualifiers(_sides(related)),
        count=compare_counts(_sides(related), sum(bool(canonical(e.count)) for e in wanted if e.is_occurrence)),
        pairs=tuple(sorted(matched + alone, key=_when)),
        passed_by=passed_by,
        problems=unknown_names(wanted, gold_names, run_names, "events.jsonl"),
    )


def place_row(row: Mapping[str, Any], checklist: Lineages) -> Named:
    """The name of an event or mention row, placed on the checklist."""
    return place(
        row.get("scientificName"),
        checklist,
        rank=row.get("taxonRank"),
        genus=row.get("genus"),
        family=row.get("family"),
    )


def _occurrences(events: Iterable[Mapping[str, Any]]) -> tuple[list[Mapping[str, Any]], dict[str, int]]:
    rows: list[Mapping[str, Any]] = []
    passed_by: Counter[str] = Counter()
    for row in events:
        if (kind := str(row.get("recordKind"))) != "occurrence":
            passed_by[kind] += 1
        elif row.get("occurrenceStatus") == "absent":
            passed_by["absent"] += 1
        elif not isinstance(row.get("startTime"), int | float):
            raise ValueError(f"event {row.get('eventID')!r} has no number in startTime")
        else:
            rows.append(row)
    rows.sort(key=lambda row: (row["startTime"], row.get("endTime") or row["startTime"], str(row.get("eventID"))))
    return rows, dict(sorted(passed_by.items()))


def _match(
    rows: Sequence[Mapping[str, Any]],
    wanted: Sequence[GoldEvent],
    run_names: Sequence[Named],
    gold_names: Sequence[Named],
    checklist: Lineages,
    tolerance: float,
) -> tuple[tuple[int, int], ...]:
    run_times = [Interval.of_seconds(row["startTime"], row.get("endTime")) for row in rows]
    gold_times = [Interval.of_seconds(event.start, event.end) for event in wanted]
    allowed = within_mask(run_times, gold_times, tolerance)
    tiers = np.full(allowed.shape, int(Agreement.NONE), dtype=np.int64)
    for i, j in zip(*np.nonzero(allowed), strict=True):
        tiers[i, j] = agreement(run_names[i], gold_names[j], checklist)
    asked = np.array([event.is_occurrence for event in wanted], dtype=np.bool_)
    allowed &= asked[None, :] | (tiers < Agreement.NONE)
    gains: list[Grid] = []
    for tier in Agreement:
        gains += [((tiers == tier) & side[None, :]).astype(np.int64) for side in (asked, ~asked)]
    return pair_up(allowed, [*gains, nearness_grid(run_times, gold_times)])


def _levels(
    pairs: Sequence[tuple[Named, Named]], run: Sequence[Named], gold: Sequence[Named], checklist: Lineages
) -> dict[str, Rates]:
    levels = {"detection": Rates(len(pairs), len(run), len(gold))}
    for level in NAME_LEVELS:
        levels[level] = Rates(
            sum(same_at(level, r, g, checklist) for r, g in pairs),
            sum(name.at(level) is not None for name in run),
            sum(name.at(level) is not None for name in gold),
        )
    right = sum(relation(r, g, checklist) in ("same", "ancestor") for r, g in pairs)
    levels["rightOrAncestor"] = Rates(right, levels["taxon"].in_run, levels["taxon"].in_gold)
    return levels


def _sides(pairs: Iterable[EventPair]) -> list[tuple[GoldEvent, Mapping[str, Any]]]:
    return [(pair.gold, pair.run) for pair in pairs if pair.gold is not None and pair.run is not None]


def _when(pair: EventPair) -> tuple[float, str, str]:
    start = pair.gold.start if pair.gold else (pair.run or {})["startTime"]
    return start, pair.gold.event if pair.gold else "", str((pair.run or {}).get("eventID"))
