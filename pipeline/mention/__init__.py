"""Mention: a segmented Doc and a name index come in, spans that may name a taxon go out, each with ranked candidates.

Exact names (singular, plural, English forms of groups, abbreviated genera, epithets alone) are taken first, longest
first; what is left and is no ordinary English is compared with similar names. Nothing is claimed of them yet.
"""

from __future__ import annotations

from earwitness.pipeline.mention.component import Mentions, make_mentions
from earwitness.pipeline.mention.find import find_mentions
from earwitness.pipeline.mention.mentions import MENTIONS, Candidate, Mention, mentions_of, set_mentions

__all__ = [
    "MENTIONS",
    "Candidate",
    "Mention",
    "Mentions",
    "find_mentions",
    "make_mentions",
    "mentions_of",
    "set_mentions",
]
