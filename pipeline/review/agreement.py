"""How far reviewers agree with each other, and the machine with them: a history comes in, figures and a table go out.

    figures = agreement_on(desk)
    agreement_csv(figures)

Each reviewer's last own decision on an event counts as theirs. Whoever decides second sees what the first decided, so
the figures say how far people stayed with each other, not how far they would have agreed unseen. Refuses nothing.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from types import MappingProxyType
from typing import Any

from earwitness.pipeline.review.agreement_figures import Estimate, Level, alpha, kappa
from earwitness.pipeline.review.agreement_machine import MixUp, Share, compared, mix_ups, shares
from earwitness.pipeline.review.agreement_views import Row, Views, name_at, views
from earwitness.pipeline.review.decisions import Decision
from earwitness.pipeline.review.stack import Stack

CERTAINTY = ("doubtful", "possible", "probable", "certain")
ASPECTS: Mapping[str, Level] = {
    "verdict": "nominal",
    "name": "nominal",
    "species": "nominal",
    "genus": "nominal",
    "family": "nominal",
    "certaintyTerm": "ordinal",
    "individualCount": "interval",
}
"""What reviewers are compared in, and what differences mean: accepted, changed or rejected; the name itself and at each
rank; certainty; count."""
COLUMNS = (
    *("part", "by", "group", "other", "events", "alike", "right", "renamed", "rejected", "share", "low", "high"),
    *("expected", "kappa", "kappaLow", "kappaHigh", "alpha", "alphaLow", "alphaHigh"),
)
"""Of the table. Parts: pair, everybody, machine, mix-up."""


@dataclass(frozen=True, slots=True)
class Compared:
    """Reviewers compared in one aspect.

    Args:
        aspect: one of ASPECTS.
        reviewers: who; two of them, or all.
        events: on which at least two of them said something.
        alike: of these, where all who said something said the same.
        kappa: of two reviewers, but for counts; certainty with linear weights.
        alpha: of two or all.
    """

    aspect: str
    reviewers: tuple[str, ...]
    events: int
    alike: int
    kappa: Estimate
    alpha: Estimate


@dataclass(frozen=True, slots=True)
class Agreement:
    """All figures.

    Args:
        reviewers: all who decided, with how many events each.
        shared: events that two or more decided on.
        pairs, everybody: reviewers compared, two and two, and all at once where there are three or more.
        machine: shares of right suggestions, that of all rows first; empty where none was reviewed.
        mix_ups: suggestions that did not stand, the most frequent first.
    """

    reviewers: Mapping[str, int]
    shared: int
    pairs: tuple[Compared, ...]
    everybody: tuple[Compared, ...]
    machine: tuple[Share, ...]
    mix_ups: tuple[MixUp, ...]


def agreement_on(stack: Stack) -> Agreement:
    """The figures of a desk as it stands."""
    history = stack.history
    return agreement(history.decisions, drafted_rows(stack), stack.run.mentions, history.kept)


def drafted_rows(stack: Stack) -> dict[str, Row]:
    """The rows that a desk's decisions were made on, as they were drafted."""
    found = {name: stack.drafted(name) for name in stack.rows}
    return {name: row for name, row in found.items() if row is not None}


def agreement(
    decisions: Iterable[Decision],
    rows_by_event: Mapping[str, Row],
    mentions: Iterable[Row] = (),
    kept: Mapping[int, Mapping[str, Row]] = MappingProxyType({}),
) -> Agreement:
    """Compare reviewers with each other, and the draft with what they decided.

    Args:
        decisions: the whole history, in order.
        rows_by_event: the rows as drafted.
        mentions: the run's mention rows.
        kept: number of a decision -> the drafted rows kept with it, where the draft was another before.
    """
    seen = views(decisions, rows_by_event, kept)
    people = sorted(seen.by_reviewer)
    by_event: dict[str, int] = {}
    for rows in seen.by_reviewer.values():
        for name in rows:
            by_event[name] = by_event.get(name, 0) + 1
    both = [pair for pair in combinations(people, 2) if seen.by_reviewer[pair[0]].keys() & seen.by_reviewer[pair[1]]]
    suggested = compared(rows_by_event, seen.final)
    return Agreement(
        {name: len(seen.by_reviewer[name]) for name in people},
        sum(count > 1 for count in by_event.values()),
        tuple(_compared(seen, pair, aspect) for pair in both for aspect in ASPECTS),
        tuple(_compared(seen, people, aspect) for aspect in ASPECTS) if len(people) > 2 and both else (),
        tuple(shares(suggested, mentions)),
        tuple(mix_ups(suggested)),
    )


def _compared(seen: Views, reviewers: Sequence[str], aspect: str) -> Compared:
    names = sorted({name for reviewer in reviewers for name in seen.by_reviewer[reviewer]})
    told = [[_said(seen.by_reviewer[reviewer].get(name), aspect) for reviewer in reviewers] for name in names]
    told = [values for values in told if sum(value is not None for value in values) > 1]
    alike = sum(len({value for value in values if value is not None}) == 1 for values in told)
    level = ASPECTS[aspect]
    both = Estimate()
    if len(reviewers) == 2 and level != "interval":
        one, other = ([str(values[side]) for values in told] for side in (0, 1))
        both = kappa(one, other, CERTAINTY if level == "ordinal" else None)
    return Compared(aspect, tuple(reviewers), len(told), alike, both, alpha(told, level, CERTAINTY))


def _said(row: Row | None, aspect: str) -> str | float | None:
    if row is None:
        return None
    if aspect == "verdict":
        return str(row["reviewStatus"])
    if row["reviewStatus"] == "rejected":
        return None
    if aspect == "certaintyTerm":
        return row.get(aspect) if row.get(aspect) in CERTAINTY else None
    if aspect == "individualCount":
        count = row.get(aspect)
        return float(count) if isinstance(count, int | float) else None
    return name_at(row, aspect)


def agreement_csv(figures: Agreement) -> str:
    """All figures as one table: COLUMNS, a line a figure, empty where a column does not apply."""
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    for line in _lines(figures):
        writer.writerow({name: _harmless(value) for name, value in line.items()})
    return text.getvalue()


def _lines(figures: Agreement) -> Iterator[dict[str, Any]]:
    for part, found in (("pair", figures.pairs), ("everybody", figures.everybody)):
        for one in found:
            first, *rest = one.reviewers
            who = (first, rest[0]) if part == "pair" else (", ".join(one.reviewers), None)
            line: dict[str, Any] = {
                "part": part,
                "by": one.aspect,
                "group": who[0],
                "other": who[1],
                "events": one.events,
            }
            k, a = one.kappa, one.alpha
            line |= {"alike": one.alike, "kappa": k.value, "kappaLow": k.low, "kappaHigh": k.high}
            yield line | {"alpha": a.value, "alphaLow": a.low, "alphaHigh": a.high}
    for share in figures.machine:
        line = {"part": "machine", "by": share.by, "group": share.group, "events": share.reviewed}
        line |= {"right": share.right, "renamed": share.renamed, "rejected": share.rejected}
        line |= {"share": round(share.share, 4), "low": share.low, "high": share.high}
        yield line | {"expected": share.expected}
    for mix_up in figures.mix_ups:
        by = "renamed" if mix_up.decided is not None else "rejected"
        other = mix_up.decided if mix_up.decided is not None else mix_up.reason
        yield {"part": "mix-up", "by": by, "group": mix_up.suggested, "other": other, "events": mix_up.times}


def _harmless(value: Any) -> Any:
    """Text that a spreadsheet would take for a formula is marked as text."""
    return f"'{value}" if isinstance(value, str) and value.startswith(("=", "+", "-", "@", "\t", "\r")) else value


def agreement_json(figures: Agreement) -> dict[str, Any]:
    """All figures for the page."""
    return {
        "reviewers": [{"name": name, "events": events} for name, events in figures.reviewers.items()],
        "shared": figures.shared,
        "pairs": [_json(one) for one in figures.pairs],
        "everybody": [_json(one) for one in figures.everybody],
        "machine": [
            {
                "by": one.by,
                "group": one.group,
                "reviewed": one.reviewed,
                "right": one.right,
                "renamed": one.renamed,
                "rejected": one.rejected,
                "share": round(one.share, 4),
                "low": one.low,
                "high": one.high,
                "expected": one.expected,
            }
            for one in figures.machine
        ],
        "mixUps": [
            {
                "suggested": one.suggested,
                "suggestedRank": one.suggested_rank,
                "decided": one.decided,
                "decidedRank": one.decided_rank,
                "reason": one.reason,
                "times": one.times,
            }
            for one in figures.mix_ups
        ],
    }


def _json(one: Compared) -> dict[str, Any]:
    estimates = {
        name: {"value": e.value, "low": e.low, "high": e.high}
        for name, e in (("kappa", one.kappa), ("alpha", one.alpha))
    }
    told = {"aspect": one.aspect, "reviewers": list(one.reviewers), "events": one.events, "alike": one.alike}
    return told | estimates
