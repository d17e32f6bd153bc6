"""Text that is safe in a spreadsheet.

What starts a formula: OWASP's ASVS 5.0, 1.2.10, lists = + - @, tab and the null character; line ends are skipped by
some readers, and the full-width signs are taken for the plain ones in some languages (both common practice).
"""

from __future__ import annotations

import re

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")
_STARTS, _SIGNS = "".join(FORMULA_STARTS), "".join(sign for sign in FORMULA_STARTS if sign.isprintable())
_ENDS = ";\t\r\n"
"""What a spreadsheet of another language takes for the end of a cell in CSV with commas: there quotes do not help."""
_START = re.compile(rf"'*[{re.escape(_STARTS)}]")
_AHEAD = rf"(?=['\"]*[{re.escape(_SIGNS)}])"
_PART, _GUARDED_PART = re.compile(rf"([{_ENDS}]){_AHEAD}"), re.compile(rf"([{_ENDS}])'{_AHEAD}")


def guarded(cell: str) -> str:
    """Text that a spreadsheet would run as a formula gets an apostrophe in front, which spreadsheets hide."""
    return f"'{cell}" if cell.startswith(FORMULA_STARTS) else cell


def guarded_throughout(cell: str) -> str:
    """The same for a cell of CSV, and for its parts where another language's separator would cut it into cells."""
    text = _PART.sub(r"\1'", cell)
    return f"'{text}" if _START.match(cell) else text


def unguarded(cell: str) -> str:
    """The text of a cell that `guarded_throughout` (or `guarded`) made."""
    is_guarded = cell.startswith("'") and _START.match(cell, 1)
    return _GUARDED_PART.sub(r"\1", cell[1:] if is_guarded else cell)
