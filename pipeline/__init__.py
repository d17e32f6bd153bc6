"""From what was said over a dive to draft records of what was seen.

The stages, each a package with one entry: read, segment, mention, judge, settle, place, table. `draft` runs them all.
"""

from earwitness.pipeline.drafting import CAUTION, Run, draft

__all__ = ["CAUTION", "Run", "draft"]
