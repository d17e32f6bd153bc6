"""The arithmetic of measuring: rates and confusion tables.

In: counts and pairs of labels. Out: precision, recall, F1, confusion tables with their averages.
Refuses a label outside the closed set; a share of nothing is None, never 0 and never NaN.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

CERTAINTY_TERMS = ("certain", "probable", "possible", "doubtful")
GOLD_STATUSES = ("observed", "hedged", "asked", "denied", "compared", "general", "recalled", "elsewhere")
"""What may be claimed of an animal."""
NO_ANIMAL = ("person", "figure")
"""What a run may say of words that name no animal; gold has no such mentions."""
STATUSES = (*GOLD_STATUSES, *NO_ANIMAL)


def share(part: int, whole: int) -> float | None:
    """`part` of `whole`, 0 to 1; None where there is no whole."""
    return part / whole if whole else None


@dataclass(frozen=True, slots=True)
class Rates:
    """How many were right, of how many the run gave and how many the gold asks for.

    Definitions as in van Rijsbergen, Information Retrieval (2nd ed., 1979), chapter 7 (cited from memory),
    and checked in the tests against scikit-learn; F1 weighs both alike.
    """

    correct: int
    in_run: int
    in_gold: int

    @property
    def precision(self) -> float | None:
        """Share of the run's that is right; None if the run gave none."""
        return share(self.correct, self.in_run)

    @property
    def recall(self) -> float | None:
        """Share of the gold's that was found; None if the gold asks for none."""
        return share(self.correct, self.in_gold)

    @property
    def f1(self) -> float | None:
        """2 correct / (in run + in gold), the harmonic mean of both; None only if both are empty."""
        return share(2 * self.correct, self.in_run + self.in_gold)

    def to_json(self) -> dict[str, Any]:
        """Counts and shares as a plain dict."""
        return {
            "correct": self.correct,
            "inRun": self.in_run,
            "inGold": self.in_gold,
            "precision": self.precision,
            "recall": self.recall,
            "f1": self.f1,
        }


@dataclass(frozen=True, slots=True)
class Macro:
    """Unweighted means over the labels that occur; a label whose share is None is left out of that mean."""

    precision: float | None
    recall: float | None
    f1: float | None


@dataclass(frozen=True, slots=True)
class Confusion:
    """Pairs of labels counted.

    Args:
        labels: the closed set, in order.
        counts: rows are the gold's label, columns the run's.
        gold_only, run_only, neither: pairs where only one side, or none, states a label; not in `counts`.
        averaged: the labels that `macro` is the mean of; empty: all. The others still count as wrong answers.
    """

    labels: tuple[str, ...]
    counts: tuple[tuple[int, ...], ...]
    gold_only: int = 0
    run_only: int = 0
    neither: int = 0
    averaged: tuple[str, ...] = ()

    @property
    def total(self) -> int:
        """Pairs with a label on both sides."""
        return sum(map(sum, self.counts))

    @property
    def micro(self) -> Rates:
        """All labels pooled: as each pair has one label, precision, recall and F1 are one."""
        return Rates(sum(row[i] for i, row in enumerate(self.counts)), self.total, self.total)

    def rates(self, label: str) -> Rates:
        """Of one label against all others."""
        at = self.labels.index(label)
        return Rates(self.counts[at][at], sum(row[at] for row in self.counts), sum(self.counts[at]))

    @property
    def macro(self) -> Macro:
        """See `Macro`; the labels that occur are those of either side."""
        asked = self.averaged or self.labels
        seen = [rates for label in asked if (rates := self.rates(label)).in_run + rates.in_gold]
        return Macro(
            _mean([rates.precision for rates in seen]),
            _mean([rates.recall for rates in seen]),
            _mean([rates.f1 for rates in seen]),
        )

    def to_json(self) -> dict[str, Any]:
        """The table, its rates by label and its averages as a plain dict."""
        return {
            "labels": list(self.labels),
            "rowsGoldColumnsRun": [list(row) for row in self.counts],
            "statedByGoldOnly": self.gold_only,
            "statedByRunOnly": self.run_only,
            "statedByNeither": self.neither,
            "byLabel": {label: self.rates(label).to_json() for label in self.labels},
            "macro": {"precision": self.macro.precision, "recall": self.macro.recall, "f1": self.macro.f1},
            "micro": self.micro.to_json(),
        }


def confusion(
    labels: Sequence[str], pairs: Iterable[tuple[str | None, str | None]], averaged: Sequence[str] = ()
) -> Confusion:
    """Count pairs (gold's label, run's label); None or empty: not stated. `averaged`: see `Confusion`.

    Raises:
        ValueError: a label is not in `labels`.
    """
    table = [[0] * len(labels) for _ in labels]
    alone = {"gold": 0, "run": 0, "neither": 0}
    for gold, run in pairs:
        for label in (gold, run):
            if label and label not in labels:
                raise ValueError(f"{label!r} is not one of {', '.join(labels)}")
        if gold and run:
            table[labels.index(gold)][labels.index(run)] += 1
        else:
            alone["gold" if gold else "run" if run else "neither"] += 1
    counts = tuple(map(tuple, table))
    return Confusion(tuple(labels), counts, alone["gold"], alone["run"], alone["neither"], tuple(averaged))


def tidy(value: Any) -> Any:
    """Plain JSON values: keys sorted, shares and times rounded to 4 places, tuples as lists."""
    if isinstance(value, Mapping):
        return {key: tidy(value[key]) for key in sorted(value)}
    if isinstance(value, list | tuple):
        return [tidy(item) for item in value]
    return round(value, 4) if isinstance(value, float) else value


def _mean(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if known else None
