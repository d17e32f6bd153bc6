"""From what was said over a dive to draft records of what was seen.

The stages, each a package with one entry: read, segment, mention, judge, settle, place, table. `draft` runs them all.
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from earwitness.pipeline.drafting import CAUTION, Run, draft

__all__ = ["CAUTION", "Run", "draft"]


def __getattr__(name: str) -> Any:
    # Imported when it is asked for: who takes a single stage, or looks into a run, needs no spaCy for that.
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from earwitness.pipeline import drafting

    return getattr(drafting, name)
