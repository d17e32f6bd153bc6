"""Where output goes: results to standard output, progress and complaints to standard error."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape

CAUTION_LINE = (
    "Machine draft from spoken commentary, unverified. A qualified taxonomist has to check names against the video."
)


class Words(Console):
    """A Rich console for text that may hold anything: `literal` keeps brackets from being read as markup."""

    @staticmethod
    def literal(text: str) -> str:
        """Text as it is, with control characters shown and not sent to the terminal."""
        return escape("".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text))


results = Words(highlight=False)
complaints = Words(stderr=True, highlight=False)
