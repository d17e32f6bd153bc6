"""Plain text with a time at the head of each block or line.

In: the text of a file. Out: drafts whose end is the next block's start.
Refuses: text above the first time and blocks whose time cannot be read, each reported.

A time is `[m:ss]`, `(m:ss)` or bare `m:ss` at the start of a line, hours and fraction optional, and may be a
range (`[0:12 - 0:15]`). A file has one style: the one on most lines; times in another style stay text.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from earwitness.pipeline.read.clock import CLOCK, clock_seconds, read_clock
from earwitness.pipeline.read.findings import Draft, Findings, Part, excerpt

TIMING_FORM = "[m:ss] or [h:mm:ss] at the head of the line"

WHOLE_SECOND = 1.0
"""A time written in whole seconds may be cut off or rounded: up to a second off."""

_RANGE = rf"{CLOCK}(?:\s{{0,3}}(?:-->|-|\u2013|to)\s{{0,3}}{CLOCK})?"
_HEADS = {
    "square": re.compile(rf"\s{{0,8}}\[\s{{0,3}}{_RANGE}\s{{0,3}}\](?!\()"),
    "round": re.compile(rf"\s{{0,8}}\(\s{{0,3}}{_RANGE}\s{{0,3}}\)"),
    "bare": re.compile(rf"\s{{0,8}}{_RANGE}(?=[\s:;,\u2013-]|$)"),
}
# What was meant as a time and is none: opens with a digit or `?` and has a colon ("[12:xx]", "[??:??]").
_MEANT = {
    "square": re.compile(r"\s{0,8}\[\s{0,3}(?=[0-9?][^\]:;]{0,8}[:;])[^\]\s]{1,20}\]"),
    "round": re.compile(r"\s{0,8}\(\s{0,3}(?=[0-9?][^):;]{0,8}[:;])[^)\s]{1,20}\)"),
    "bare": re.compile(r"\s{0,8}[0-9]{1,4}(?::[0-9x?]{1,3}){1,3}(?=\s|$)"),
}
_AFTER_HEAD = re.compile(r"\s{0,3}(?:[:;,\u2013-]\s)?\s{0,8}")


@dataclass(frozen=True, slots=True)
class _Head:
    """A time at the head of a line, and what follows it; `start` is None when the time cannot be read."""

    start: float | None
    end: float | None
    rest: str
    resolution: float


def text_style(text: str) -> str | None:
    """The style of time heads on most lines, or None when no line has one."""
    counts = dict.fromkeys(_HEADS, 0)
    for line in text.split("\n"):
        for style, pattern in _HEADS.items():
            counts[style] += pattern.match(line) is not None
    best = max(counts, key=lambda style: counts[style])
    return best if counts[best] else None


def read_text(text: str, findings: Findings) -> list[Draft]:
    """Read timed plain text into drafts; what cannot be used goes to `findings`."""
    style = text_style(text)
    if style is None:
        return []
    drafts: list[Draft] = []
    head: _Head | None = None
    head_line, body = 1, list[str]()
    for number, line in enumerate(text.split("\n"), 1):
        found = _read_head(line, style)
        if found is None:
            body.append(line)
            continue
        _close(head, head_line, body, drafts, findings)
        head, head_line, body = found, number, [found.rest]
    _close(head, head_line, body, drafts, findings)
    return drafts


def _read_head(line: str, style: str) -> _Head | None:
    match = _HEADS[style].match(line)
    if match is None:
        return _Head(None, None, line, 0.0) if _MEANT[style].match(line) else None
    rest = line[match.end() :]
    after = _AFTER_HEAD.match(rest)
    rest = rest[after.end() :] if after else rest
    groups = match.groups()
    start = clock_seconds(*groups[:4])
    if start is None:
        return _Head(None, None, line, 0.0)
    end = clock_seconds(*groups[4:]) if groups[5] else None
    digits = len(groups[3] or "")
    return _Head(start, end, rest, WHOLE_SECOND if not digits else max(10.0**-digits, 0.001))


def _close(head: _Head | None, line: int, body: list[str], drafts: list[Draft], findings: Findings) -> None:
    """End the block that is open."""
    spoken = [piece for piece in body if piece.strip()]
    if head is None:
        if spoken:
            findings.skip(line, f"text above the first time: {excerpt(' '.join(spoken))}", TIMING_FORM)
    elif head.start is None:
        findings.skip(line, f"time cannot be read: {excerpt(body[0])}", TIMING_FORM)
    else:
        drafts.append(Draft(head.start, head.end, (Part(tuple(spoken)),), line, head.resolution, head.end is None))


def looks_timed(line: str) -> bool:
    """Whether a line opens with a time, in any style, with more text or none after it."""
    return any(pattern.match(line) for pattern in _HEADS.values()) or read_clock(line[:40]) is not None
