"""From what was said over a dive to draft records of what was seen.

The stages of a draft, each a package with one entry: read, segment, mention, people, judge, settle, describe, place,
table. `draft` runs them all. What works on a finished run follows: score, review, publish, report.
"""

from typing import TYPE_CHECKING

from earwitness.pipeline.late import late

if TYPE_CHECKING:
    from earwitness.pipeline.drafting import CAUTION, Run, draft

__all__ = ["CAUTION", "Run", "draft"]

# Who takes a single stage, or looks into a run, needs no spaCy for that.
__getattr__ = late(__name__, dict.fromkeys(__all__, "drafting"))
