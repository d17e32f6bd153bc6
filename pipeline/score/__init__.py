"""Measuring: a run's rows against gold rows a careful reader wrote.

In: the folder of a run, gold CSV files, the checklist. Out: a `Score`, as a dict or as tables (`render`).
Refuses gold it cannot read and runs without rows to measure; a share of nothing is None, never 0.
"""

from earwitness.pipeline.score.claims import ChainScore, ClaimScore, FalseRows, OrderScore, score_claims
from earwitness.pipeline.score.events import EVENT_TOLERANCE, EventScore, score_events
from earwitness.pipeline.score.figures import Confusion, Rates
from earwitness.pipeline.score.gold import GoldEvent, GoldMention, read_gold
from earwitness.pipeline.score.mentions import MENTION_TOLERANCE, MentionScore, score_mentions
from earwitness.pipeline.score.names import Agreement, Lineages
from earwitness.pipeline.score.run import Score, score_run
from earwitness.pipeline.score.show import render

__all__ = [
    "EVENT_TOLERANCE",
    "MENTION_TOLERANCE",
    "Agreement",
    "ChainScore",
    "ClaimScore",
    "Confusion",
    "EventScore",
    "FalseRows",
    "GoldEvent",
    "GoldMention",
    "Lineages",
    "MentionScore",
    "OrderScore",
    "Rates",
    "Score",
    "read_gold",
    "render",
    "score_claims",
    "score_events",
    "score_mentions",
    "score_run",
]
