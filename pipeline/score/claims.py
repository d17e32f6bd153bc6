"""Whether the right claim was recorded: the few figures that say if a table of draft records can be trusted.

In: gold rows, and events and mentions as already matched. Out: a `ClaimScore`.
Refuses nothing: where the gold of one kind is missing, what rests on it is None.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from earwitness.pipeline.score.counts import CountScore
from earwitness.pipeline.score.events import EventPair, EventScore, place_row
from earwitness.pipeline.score.figures import CERTAINTY_TERMS, Rates, share
from earwitness.pipeline.score.gold import GoldMention
from earwitness.pipeline.score.mentions import MentionPair, MentionScore
from earwitness.pipeline.score.names import Agreement, Lineages, agreement, place
from earwitness.pipeline.score.pairing import Interval

NOT_OF_IT = frozenset({"compared", "general", "recalled", "elsewhere"})
"""Statuses of a gold mention whose name was never offered for the animal on the screen."""
RANK = {term: len(CERTAINTY_TERMS) - at for at, term in enumerate(CERTAINTY_TERMS)}
"""Order of the certainty terms: certain 4, probable 3, possible 2, doubtful 1."""


@dataclass(frozen=True, slots=True)
class FalseRows:
    """Occurrence rows that are no sighting of their own, after the one-to-one matching of `score_events`.

    Args:
        rows: all occurrence rows of the run.
        not_occurrence: matched with a gold event that should give no record.
        repeated: left over beside (in time) a gold occurrence of a related name that another row stands for: the
            same animal recorded twice.
        invented: left over with no gold occurrence of a related name beside it.
    """

    rows: int
    not_occurrence: int
    repeated: int
    invented: int

    @property
    def false(self) -> int:
        """All three kinds together."""
        return self.not_occurrence + self.repeated + self.invented

    def to_json(self) -> dict[str, Any]:
        """Counts and their share of all rows as a plain dict."""
        return {
            "rows": self.rows,
            "notOccurrence": self.not_occurrence,
            "repeated": self.repeated,
            "invented": self.invented,
            "falseShare": share(self.false, self.rows),
        }


@dataclass(frozen=True, slots=True)
class ChainScore:
    """Animals whose name changed in the talk, or was disputed.

    A chain is a gold event whose mentions bear more than one taxon, mentions with a status of `NOT_OF_IT` left out.

    Args:
        chains: those that are occurrences.
        right: of these, those whose row has the same taxon as the gold event.
        withdrawn: chains that are no occurrence in the end.
        left_out: of these, those that rightly gave no row.
    """

    chains: int
    right: int
    withdrawn: int
    left_out: int

    def to_json(self) -> dict[str, Any]:
        """Counts and shares as a plain dict."""
        return {
            "chains": self.chains,
            "right": self.right,
            "rightShare": share(self.right, self.chains),
            "withdrawn": self.withdrawn,
            "leftOut": self.left_out,
            "leftOutShare": share(self.left_out, self.withdrawn),
        }


@dataclass(frozen=True, slots=True)
class OrderScore:
    """Whether the run's certainty (a number) puts pairs in the order of the gold's terms: Kendall's tau-b.

    None where fewer than two pairs state both, or all are alike on one side.
    """

    pairs: int
    tau: float | None

    def to_json(self) -> dict[str, Any]:
        """Number of pairs and tau-b as a plain dict."""
        return {"pairs": self.pairs, "tauB": self.tau}


@dataclass(frozen=True, slots=True)
class ClaimScore:
    """What `score_claims` measured.

    Args:
        sighting: matched in time and of the same taxon; of all occurrence rows, of all gold occurrences.
        false_rows, chains: see their types.
        count: as in the `EventScore`; of it "count right" is `exact` of `asked`.
        status_f1: macro F1 over gold's eight statuses, as in the `MentionScore`.
        event_order: over gold occurrences matched with a row of a related name.
        mention_order: over all matched mentions.
    """

    sighting: Rates | None
    false_rows: FalseRows | None
    chains: ChainScore | None
    count: CountScore | None
    status_f1: float | None
    event_order: OrderScore | None
    mention_order: OrderScore | None

    def to_json(self) -> dict[str, Any]:
        """Everything as a plain dict."""
        return {
            "sighting": self.sighting.to_json() if self.sighting else None,
            "falseRows": self.false_rows.to_json() if self.false_rows else None,
            "chains": self.chains.to_json() if self.chains else None,
            "countRight": self._count(),
            "statusMacroF1": self.status_f1,
            "certaintyOrder": {
                "events": self.event_order.to_json() if self.event_order else None,
                "mentions": self.mention_order.to_json() if self.mention_order else None,
            },
        }

    def _count(self) -> dict[str, Any] | None:
        if self.count is None:
            return None
        right, asked = self.count.exact, self.count.asked
        return {"right": right, "asked": asked, "rightShare": share(right, asked)}


def score_claims(
    events: EventScore | None,
    mentions: MentionScore | None,
    gold_mentions: Iterable[GoldMention],
    checklist: Lineages,
) -> ClaimScore:
    """Put together what is known of the claims; `events` and `mentions` are of the same run and gold."""
    related = [pair for pair in _recorded(events) if pair.agreement.related] if events else []
    return ClaimScore(
        sighting=_sighting(events) if events else None,
        false_rows=_false_rows(events, checklist) if events else None,
        chains=_chains(events, gold_mentions, checklist) if events and mentions else None,
        count=events.count if events else None,
        status_f1=mentions.status.macro.f1 if mentions else None,
        event_order=order_agreement(_certainties(related)) if events else None,
        mention_order=order_agreement(_certainties(mentions.pairs)) if mentions else None,
    )


def order_agreement(pairs: Iterable[tuple[float | None, str | None]]) -> OrderScore:
    """Kendall's tau-b of pairs (certainty 0-1 of the run, certainty term of the gold); None: not stated."""
    both = [(run, RANK[gold]) for run, gold in pairs if run is not None and gold]
    run, gold = [pair[0] for pair in both], [pair[1] for pair in both]
    if len(set(run)) < 2 or len(set(gold)) < 2:
        return OrderScore(len(both), None)
    # Slow to import, and only measuring needs it.
    from scipy.stats import kendalltau

    return OrderScore(len(both), float(kendalltau(run, gold, variant="b").statistic))


def _certainties(pairs: Sequence[EventPair] | Sequence[MentionPair]) -> list[tuple[float | None, str | None]]:
    return [(pair.run.get("certainty"), pair.gold.certainty) for pair in pairs if pair.run and pair.gold]


def _recorded(events: EventScore) -> list[EventPair]:
    return [pair for pair in events.pairs if pair.wanted]


def _sighting(events: EventScore) -> Rates:
    right = sum(pair.relation == "same" for pair in _recorded(events))
    detection = events.levels["detection"]
    return Rates(right, detection.in_run, detection.in_gold)


def _false_rows(events: EventScore, checklist: Lineages) -> FalseRows:
    gold = [
        (Interval.of_seconds(pair.gold.start, pair.gold.end), place(pair.gold.name, checklist, rank=pair.gold.rank))
        for pair in events.pairs
        if pair.gold is not None and pair.gold.is_occurrence
    ]
    alone = [pair.run for pair in events.pairs if pair.gold is None and pair.run is not None]
    repeated = 0
    for row in alone:
        when, name = Interval.of_seconds(row["startTime"], row.get("endTime")), place_row(row, checklist)
        repeated += any(
            when.within(then, events.tolerance) and agreement(name, there, checklist) < Agreement.NONE
            for then, there in gold
        )
    not_occurrence = events.occurrence.recorded_not_occurrence
    return FalseRows(events.levels["detection"].in_run, not_occurrence, repeated, len(alone) - repeated)


def _chains(events: EventScore, gold_mentions: Iterable[GoldMention], checklist: Lineages) -> ChainScore:
    names: dict[str, set[str]] = {}
    for mention in gold_mentions:
        if mention.kind == "sighting" and mention.event and mention.status not in NOT_OF_IT:
            placed = place(mention.name, checklist, rank=mention.rank)
            if placed.text:
                names.setdefault(mention.event, set()).add(placed.text.casefold())
    chains = [pair for pair in events.pairs if pair.gold and len(names.get(pair.gold.event, ())) > 1]
    kept = [pair for pair in chains if pair.gold and pair.gold.is_occurrence]
    withdrawn = [pair for pair in chains if pair.gold and not pair.gold.is_occurrence]
    right, left_out = sum(pair.relation == "same" for pair in kept), sum(pair.run is None for pair in withdrawn)
    return ChainScore(len(kept), right, len(withdrawn), left_out)
