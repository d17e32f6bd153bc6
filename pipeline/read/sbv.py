"""SBV (SubViewer as video sites write it; common practice, no standard).

In: the text of a file. Out: drafts.
Refuses: blocks whose timing line cannot be read and text above the first timing line, each reported.
A timing line is `h:mm:ss.mmm,h:mm:ss.mmm`; text follows up to the next one; `[br]` breaks a line.
"""

from __future__ import annotations

import re

from earwitness.pipeline.read.clock import CLOCK
from earwitness.pipeline.read.findings import Draft, Findings
from earwitness.pipeline.read.subrip import Times, read_blocks, read_span

TIMING_FORM = "h:mm:ss.mmm,h:mm:ss.mmm"

_POINTED = CLOCK.replace("[.,]", "[.]")
_TIMING = re.compile(rf"\s*{_POINTED}\s*,\s*{_POINTED}\s*")
# Two clock-like halves around a comma, readable or not; a spoken line has blanks between its words.
_MEANT = re.compile(r"\s*[0-9]{1,4}:[^\s,]{1,20}\s?,\s?[0-9]{1,4}:[^\s,]{1,20}\s*")


def read_sbv(text: str, findings: Findings) -> list[Draft]:
    """Read SBV text into drafts; what cannot be used goes to `findings`."""
    return read_blocks(text, findings, is_sbv_timing, _read_timing, _payload, TIMING_FORM)


def is_sbv_timing(line: str) -> bool:
    """Whether a line is meant as an SBV timing line."""
    return _MEANT.fullmatch(line) is not None


def _read_timing(line: str) -> Times | None:
    return read_span(_TIMING, line)


def _payload(text: str) -> str:
    return text.replace("[br]", "\n")
