"""The header Range and the size of a file come in; the bytes that are wanted go out (RFC 9110, section 14).

Ranges that overlap or touch are sent as one. What is malformed, of another unit, or asks for more than a few pieces
counts as not asked: the whole file is the answer then, as the RFC has it.
"""

from __future__ import annotations

import re
from email.utils import parsedate_to_datetime

Span = tuple[int, int]
"""First and last byte, both included."""
MOST = 16
"""Pieces in one answer; own choice, players ask for one."""
_SPEC = re.compile(r"(\d*)[ \t]*-[ \t]*(\d*)", re.ASCII)
_LONGEST = 20
"""Digits of a number that is worth reading."""


def wanted(header: str | None, size: int) -> list[Span] | None:
    """The bytes to send, in the order of the file.

    Returns:
        None: send the whole; empty: nothing of what was asked for is there (416).
    """
    unit, equals, told = (header or "").partition("=")
    if not equals or unit.strip(" \t").lower() != "bytes":
        return None
    # Empty elements of a list count for nothing (RFC 9110, section 5.6.1).
    specs = [spec for spec in (part.strip(" \t") for part in told.split(",")) if spec]
    if not specs or len(specs) > MOST:
        return None
    spans = []
    for spec in specs:
        found = _SPEC.fullmatch(spec)
        first, last = found.groups() if found else ("", "")
        if (not first and not last) or max(len(first), len(last)) > _LONGEST:
            return None
        if first and last and int(last) < int(first):
            return None
        spans.append(_span(first, last, size))
    return _joined([span for span in spans if span is not None])


def _span(first: str, last: str, size: int) -> Span | None:
    if not first:
        length = min(int(last), size)
        return (size - length, size - 1) if length else None
    begin = int(first)
    end = min(int(last), size - 1) if last else size - 1
    return (begin, end) if begin < size else None


def _joined(spans: list[Span]) -> list[Span]:
    joined: list[Span] = []
    for begin, end in sorted(spans):
        if joined and begin <= joined[-1][1] + 1:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((begin, end))
    return joined


def still_the_same(if_range: str | None, etag: str, modified: str) -> bool:
    """Whether If-Range lets a part be sent: the file is the one that the client has begun with."""
    if if_range is None:
        return True
    told = if_range.strip()
    if told.startswith(('"', "W/")):
        return told == etag
    try:
        return parsedate_to_datetime(told) == parsedate_to_datetime(modified)
    except (ValueError, TypeError):
        return False


def known(if_none_match: str | None, etag: str) -> bool:
    """Whether the client has these bytes already (If-None-Match, by weak comparison)."""
    if if_none_match is None:
        return False
    tags = [tag.strip() for tag in if_none_match.split(",")]
    return "*" in tags or any(tag.removeprefix("W/") == etag.removeprefix("W/") for tag in tags)
