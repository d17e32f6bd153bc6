"""Text that is safe in a spreadsheet."""

from __future__ import annotations

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def guarded(cell: str) -> str:
    """Text that a spreadsheet would run as a formula gets an apostrophe in front, which spreadsheets hide."""
    return f"'{cell}" if cell.startswith(FORMULA_STARTS) else cell
