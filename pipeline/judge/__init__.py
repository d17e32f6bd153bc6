"""Judge: a Doc with mentions comes in, one Judgement a mention goes out: what is claimed of it, and how surely.

Cue phrases with a direction and a reach (`words/claims.csv`) act on the mentions of their sentence, in the manner of
NegEx and ConText (Chapman et al. 2001; Harkema et al. 2009); then a learned reader weighs the talk around each name
and may overrule them. How sure a name is (nameScore) plays no part here.
"""

from __future__ import annotations

from earwitness.pipeline.judge.component import Judgements, make_judgements
from earwitness.pipeline.judge.cues import ClaimCue, claim_cues
from earwitness.pipeline.judge.judge import judge_by_rules
from earwitness.pipeline.judge.judgement import (
    STATUSES,
    ActingCue,
    Judgement,
    Status,
    judgements_of,
    set_judgements,
)
from earwitness.pipeline.judge.reading import judge_mentions

__all__ = [
    "STATUSES",
    "ActingCue",
    "ClaimCue",
    "Judgement",
    "Judgements",
    "Status",
    "claim_cues",
    "judge_by_rules",
    "judge_mentions",
    "judgements_of",
    "make_judgements",
    "set_judgements",
]
