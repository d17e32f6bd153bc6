"""SubRip, which has no standard, and the block shape it shares with SBV.

In: the text of a file. Out: drafts.
Refuses: blocks whose timing line cannot be read and text above the first timing line, each reported.

Common practice, no source: a number, a line `hh:mm:ss,mmm --> hh:mm:ss,mmm`, text up to a blank line. Read
here: everything up to the next timing line is the cue's text, so blank lines and missing numbers lose
nothing; hours and fraction are optional, comma or point; tags and `{\\an8}` settings are removed, other
markup stays.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from earwitness.pipeline.read.clock import CLOCK, clock_seconds
from earwitness.pipeline.read.findings import Draft, Findings, excerpt
from earwitness.pipeline.read.markup import make_parts, read_runs

TIMING_FORM = "hh:mm:ss,mmm --> hh:mm:ss,mmm"

_TIMING = re.compile(rf"\s*{CLOCK}\s*-->\s*{CLOCK}(?:\s.*)?")
_SETTING = re.compile(r"\{\\[^{}\n]{0,200}\}|\{/?[biu]\}")

Times = tuple[float, float]


def read_subrip(text: str, findings: Findings) -> list[Draft]:
    """Read SubRip text into drafts; what cannot be used goes to `findings`."""
    return read_blocks(text, findings, lambda line: "-->" in line, _read_timing, _payload, TIMING_FORM)


def read_blocks(
    text: str,
    findings: Findings,
    is_timing: Callable[[str], bool],
    read_timing: Callable[[str], Times | None],
    clean_payload: Callable[[str], str],
    form: str,
) -> list[Draft]:
    """Read blocks of a timing line with text under it.

    Args:
        text: the file's text.
        findings: where problems go.
        is_timing: whether a line is meant as a timing line.
        read_timing: its start and end in seconds, or None.
        clean_payload: removes the format's own signs from a cue's text.
        form: how a timing line should look, for problems.
    """
    lines = text.split("\n")
    places = [number for number, line in enumerate(lines) if is_timing(line)]
    drafts: list[Draft] = []
    counter = 0
    lead, counter = _without_counter(lines[: places[0] if places else len(lines)], counter, bool(places))
    if any(line.strip() for line in lead):
        first = next(number for number, line in enumerate(lead, 1) if line.strip())
        findings.skip(first, f"text outside any cue: {excerpt(' '.join(lead))}", f"a line {form} above it")
    for order, place in enumerate(places):
        stop = places[order + 1] if order + 1 < len(places) else len(lines)
        payload, counter = _without_counter(lines[place + 1 : stop], counter, order + 1 < len(places))
        times = read_timing(lines[place])
        if times is None:
            findings.skip(place + 1, f"cue timing cannot be read: {excerpt(lines[place])}", form)
            continue
        runs, _ = read_runs(clean_payload("\n".join(payload).strip("\n")), keep_unknown=True)
        parts, _ = make_parts(runs, *times)
        drafts.append(Draft(*times, parts, place + 1))
    return drafts


def _without_counter(payload: list[str], counter: int, timing_follows: bool) -> tuple[list[str], int]:
    """Take the next cue's number off the end of a block.

    It is one when a timing line follows directly and a blank line stands before it, or when it counts on from
    the last number; a number that was said ("782") is neither.
    """
    end = len(payload)
    while end and not timing_follows and not payload[end - 1].strip():
        end -= 1
    last = payload[end - 1].strip() if end else ""
    if not (last.isascii() and last.isdecimal() and len(last) < 10):
        return payload, counter
    set_apart = end == 1 or not payload[end - 2].strip()
    counts_on = int(last) == counter + 1 and counter > 0
    if (timing_follows and (set_apart or counts_on)) or (set_apart and counts_on):
        return payload[: end - 1], int(last)
    return payload, counter


def _read_timing(line: str) -> Times | None:
    return read_span(_TIMING, line)


def read_span(timing: re.Pattern[str], line: str) -> Times | None:
    """Start and end (seconds) of a timing line whose pattern holds two clock times; None where it is none."""
    match = timing.fullmatch(line)
    if match is None:
        return None
    start, end = clock_seconds(*match.groups()[:4]), clock_seconds(*match.groups()[4:])
    return None if start is None or end is None else (start, end)


def _payload(text: str) -> str:
    return _SETTING.sub("", text)
