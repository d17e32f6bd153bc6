"""How well a run's mention rows say what the gold mentions say.

In: mention rows, gold mentions, a checklist. Out: a `MentionScore`: found, named, confusions.
Refuses rows without times and labels outside the closed sets; gold markers and readings pass by.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from rapidfuzz.distance import Indel

from earwitness.pipeline.score.events import place_row
from earwitness.pipeline.score.figures import (
    CERTAINTY_TERMS,
    GOLD_STATUSES,
    NO_ANIMAL,
    STATUSES,
    Confusion,
    Rates,
    confusion,
    tidy,
)
from earwitness.pipeline.score.gold import GoldMention
from earwitness.pipeline.score.names import Agreement, Lineages, Named, Relation, agreement, place, relation
from earwitness.pipeline.score.pairing import Grid, Interval, nearness_grid, pair_up, within_mask
from earwitness.pipeline.score.unknown import unknown_names
from earwitness.schemas import Problem

MENTION_TOLERANCE = 2.0
"""Seconds between a run's utterance and the gold's that may still be the same talk; a choice, no source."""

ALIKE = 0.6
"""Likeness (0-1) of words or names from which a pair with unrelated names may still be one mention; a choice,
no source.
"""


@dataclass(frozen=True, slots=True)
class MentionPair:
    """A gold mention and the run's row matched to it; None where one stands alone (missed, or spurious)."""

    gold: GoldMention | None
    run: Mapping[str, Any] | None
    agreement: Agreement = Agreement.NONE
    relation: Relation = "apart"

    def to_json(self) -> dict[str, Any]:
        """The pair as a plain dict; null where a side is missing."""
        run, gold = self.run or {}, self.gold
        return {
            "goldLine": gold.line if gold else None,
            "goldVerbatim": gold.verbatim if gold else None,
            "goldName": gold.name if gold else None,
            "goldStart": gold.start if gold else None,
            "goldStatus": gold.status if gold else None,
            "goldCertaintyTerm": gold.certainty if gold else None,
            "mentionID": run.get("mentionID"),
            "runVerbatim": run.get("verbatimIdentification"),
            "runName": run.get("scientificName"),
            "runStart": run.get("startTime"),
            "runStatus": run.get("status"),
            "runCertainty": run.get("certainty"),
            "agreement": self.agreement.name.lower(),
            "relation": self.relation,
        }


@dataclass(frozen=True, slots=True)
class MentionScore:
    """What `score_mentions` measured.

    Args:
        tolerance, alike: as given.
        detection: pairs, of the run's mentions, of the gold's sightings. A row that the run says is a person or a
            figure of speech claims no animal: where no gold mention stands beside it, it is not counted anywhere.
        name: pairs of the same taxon, of the run's mentions with a name, of the gold's with a name.
        right_or_ancestor: pairs where the run's taxon is the gold's or one above it, of the same.
        agreements: pairs by how far their names agree.
        status, certainty: over all pairs; rows are the gold's. The macro mean of status is over gold's eight statuses
            as far as they occur on either side; "person" and "figure" beside a gold mention are wrong answers.
        pairs: every sighting of the gold and every row of the run that counts once, matched or alone, in time order.
        passed_by: gold rows that were not asked about, by kind.
        set_aside: rows of the run that were rightly no animal, by status.
        problems: names the checklist lacks.
    """

    tolerance: float
    alike: float
    detection: Rates
    name: Rates
    right_or_ancestor: Rates
    agreements: Mapping[Agreement, int]
    status: Confusion
    certainty: Confusion
    pairs: tuple[MentionPair, ...]
    passed_by: Mapping[str, int]
    set_aside: Mapping[str, int]
    problems: tuple[Problem, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Everything as a plain dict, keys sorted, numbers rounded to 4 places."""
        result: dict[str, Any] = tidy(
            {
                "toleranceSeconds": self.tolerance,
                "alike": self.alike,
                "found": self.detection.correct,
                "missed": self.detection.in_gold - self.detection.correct,
                "spurious": self.detection.in_run - self.detection.correct,
                "detection": self.detection.to_json(),
                "name": self.name.to_json(),
                "rightOrAncestor": self.right_or_ancestor.to_json(),
                "agreements": {tier.name.lower(): count for tier, count in self.agreements.items()},
                "status": self.status.to_json(),
                "certainty": self.certainty.to_json(),
                "pairs": [pair.to_json() for pair in self.pairs],
                "goldRowsPassedBy": dict(self.passed_by),
                "runRowsSetAside": dict(self.set_aside),
            }
        )
        return result


def score_mentions(
    mentions: Iterable[Mapping[str, Any]],
    gold: Iterable[GoldMention],
    checklist: Lineages,
    *,
    tolerance: float = MENTION_TOLERANCE,
    alike: float = ALIKE,
) -> MentionScore:
    """Match a run's mentions with the gold's sightings one to one, and compare them.

    A pair may match only if the run's utterance (or the words, where the row has no utterance times) and the
    gold's overlap or touch once the gold's is widened by `tolerance` seconds on either side, and if the names
    are related (down to a descendant) or words or names are alike by at least `alike`: two different animals
    named in one breath are a missed and a spurious mention, not a wrong name.

    Among all one-to-one matchings of allowed pairs the one taken is best in this order, each item deciding
    only among those equal in all before it: most pairs of the same taxon; genus; family; ancestor;
    descendant; others; then most rows that claim an animal; then the greatest sum of the words' `likeness`; then of
    `Interval.nearness` of the run's words to the gold's utterance.

    Args:
        mentions: rows of mentions.jsonl of one recording.
        gold: gold mentions of the same recording; only those of kind "sighting" are asked for.
        checklist: the run's.
        tolerance: seconds, at least 0.
        alike: 0-1.

    Raises:
        ValueError: negative tolerance, a row without times, or a status or certaintyTerm outside the closed
            sets.
    """
    if not tolerance >= 0:
        raise ValueError(f"tolerance is {tolerance}; expected seconds, at least 0")
    rows = sorted(mentions, key=lambda row: (*_times(row, "startTime"), str(row.get("mentionID"))))
    everything = list(gold)
    wanted = sorted((g for g in everything if g.kind == "sighting"), key=lambda g: (g.start, g.end, g.line))
    run_names = [place_row(row, checklist) for row in rows]
    gold_names = [place(mention.name, checklist, rank=mention.rank) for mention in wanted]
    pairs = _match(rows, wanted, run_names, gold_names, checklist, tolerance, alike)
    matched = [
        MentionPair(
            wanted[j],
            rows[i],
            agreement(run_names[i], gold_names[j], checklist),
            relation(run_names[i], gold_names[j], checklist),
        )
        for i, j in pairs
    ]
    taken_rows, taken_gold = {i for i, _ in pairs}, {j for _, j in pairs}
    left = [i for i in range(len(rows)) if i not in taken_rows]
    aside = {i for i in left if rows[i].get("status") in NO_ANIMAL}
    alone = [MentionPair(mention, None) for j, mention in enumerate(wanted) if j not in taken_gold]
    alone += [MentionPair(None, rows[i]) for i in left if i not in aside]
    named_run = sum(name.text is not None for i, name in enumerate(run_names) if i not in aside)
    named_gold = sum(name.text is not None for name in gold_names)
    both = [(pair.gold, pair.run) for pair in matched if pair.gold is not None and pair.run is not None]
    tiers = Counter(pair.agreement for pair in matched)
    return MentionScore(
        tolerance=tolerance,
        alike=alike,
        detection=Rates(len(pairs), len(rows) - len(aside), len(wanted)),
        name=Rates(sum(pair.relation == "same" for pair in matched), named_run, named_gold),
        right_or_ancestor=Rates(sum(pair.relation in ("same", "ancestor") for pair in matched), named_run, named_gold),
        agreements={tier: tiers[tier] for tier in Agreement},
        status=confusion(STATUSES, [(g.status, r.get("status")) for g, r in both], averaged=GOLD_STATUSES),
        certainty=confusion(CERTAINTY_TERMS, [(g.certainty, r.get("certaintyTerm")) for g, r in both]),
        pairs=tuple(sorted(matched + alone, key=_when)),
        passed_by=dict(sorted(Counter(g.kind for g in everything if g.kind != "sighting").items())),
        set_aside=dict(sorted(Counter(str(rows[i]["status"]) for i in aside).items())),
        problems=unknown_names(wanted, gold_names, run_names, "mentions.jsonl"),
    )


def likeness(one: str | None, other: str | None) -> float:
    """How alike two stretches of words are: 0-1, by normalised indel distance of letters and digits.

    Case and blanks are dropped, the latter because a recogniser often breaks one name into several words.
    """
    left, right = ("".join(filter(str.isalnum, (text or "").casefold())) for text in (one, other))
    return Indel.normalized_similarity(left, right) if left and right else 0.0


def _times(row: Mapping[str, Any], first: str) -> tuple[float, float]:
    last = {"startTime": "endTime", "utteranceStart": "utteranceEnd"}[first]
    start = row.get(first)
    if first == "utteranceStart" and start is None:
        return _times(row, "startTime")
    if not isinstance(start, int | float):
        raise ValueError(f"mention {row.get('mentionID')!r} has no number in {first}")
    end = row.get(last)
    return float(start), float(start if end is None else end)


def _match(
    rows: Sequence[Mapping[str, Any]],
    wanted: Sequence[GoldMention],
    run_names: Sequence[Named],
    gold_names: Sequence[Named],
    checklist: Lineages,
    tolerance: float,
    alike: float,
) -> tuple[tuple[int, int], ...]:
    gold_times = [Interval.of_seconds(mention.start, mention.end) for mention in wanted]
    utterances = [Interval.of_seconds(*_times(row, "utteranceStart")) for row in rows]
    words = [Interval.of_seconds(*_times(row, "startTime")) for row in rows]
    allowed = within_mask(utterances, gold_times, tolerance)
    tiers = np.full(allowed.shape, int(Agreement.NONE), dtype=np.int64)
    words_alike, names_alike = np.zeros(allowed.shape), np.zeros(allowed.shape)
    for i, j in zip(*np.nonzero(allowed), strict=True):
        tiers[i, j] = agreement(run_names[i], gold_names[j], checklist)
        words_alike[i, j] = likeness(rows[i].get("verbatimIdentification"), wanted[j].verbatim)
        names_alike[i, j] = likeness(rows[i].get("scientificName"), wanted[j].name)
    allowed &= (tiers < Agreement.NONE) | (words_alike >= alike) | (names_alike >= alike)
    animal = np.array([row.get("status") not in NO_ANIMAL for row in rows], dtype=np.int64)
    gains: list[Grid] = [(tiers == tier).astype(np.int64) for tier in Agreement]
    gains.append(np.broadcast_to(animal[:, None], allowed.shape))
    gains += [np.rint(words_alike * 1000).astype(np.int64), nearness_grid(words, gold_times)]
    return pair_up(allowed, gains)


def _when(pair: MentionPair) -> tuple[float, int, str]:
    start = pair.gold.start if pair.gold else (pair.run or {})["startTime"]
    return start, pair.gold.line if pair.gold else 0, str((pair.run or {}).get("mentionID"))
