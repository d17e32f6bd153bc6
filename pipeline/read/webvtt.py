"""WebVTT.

In: the text of a file. Out: drafts with voices and, from inner times, word times.
Refuses: cues whose timing cannot be read and text outside any cue, each reported.

Follows the parser of the W3C Recommendation track text (W3C WebVTT, section "Parsing"), which says what a
block is and drops what it does not know. Differences, all reported: a timestamp that only resembles the
standard's (comma, missing or odd fraction) is used; a missing signature line is forgiven in a file known as
WebVTT.
"""

from __future__ import annotations

import re

from earwitness.pipeline.read.clock import CLOCK, clock_seconds
from earwitness.pipeline.read.findings import Draft, Findings, excerpt
from earwitness.pipeline.read.markup import make_parts, read_runs

TIMING_FORM = "hh:mm:ss.ttt --> hh:mm:ss.ttt"

_STAMP = r"(?:([0-9]+):)?([0-9]{2}):([0-9]{2})\.([0-9]{3})"
_TIMING = re.compile(rf"[ \t\f]*{_STAMP}[ \t\f]*-->[ \t\f]*{_STAMP}(?:[ \t\f].*)?")
_LOOSE_TIMING = re.compile(rf"\s*{CLOCK}\s*-->\s*{CLOCK}(?:\s.*)?")
_SIGNATURE = re.compile(r"WEBVTT(?:[ \t].*)?")
_ASIDE = re.compile(r"(?:NOTE(?:[ \t].*)?|(?:STYLE|REGION|ATTRIBUTES)[ \t]*)")


def read_webvtt(text: str, findings: Findings) -> list[Draft]:
    """Read WebVTT text into drafts; what cannot be used goes to `findings`."""
    lines = text.split("\n")
    place = _after_header(lines, findings)
    drafts: list[Draft] = []
    counter = 0
    while place < len(lines):
        timing = _timing_place(lines, place)
        if lines[place] == "":
            place += 1
        elif timing is None:
            place = _pass_aside(lines, place, findings)
        else:
            if timing > place and lines[place].isdecimal():
                counter = int(lines[place][:18])
            place, number = _payload_end(lines, timing, counter)
            payload = lines[timing + 1 : place]
            if number:
                payload.pop()
                counter += 1
                findings.mend(place, f"cue number {excerpt(number)} without a blank line before it", "a blank line")
            draft = _read_cue(lines[timing], payload, timing + 1, findings)
            if draft:
                drafts.append(draft)
    return drafts


def _after_header(lines: list[str], findings: Findings) -> int:
    """Where the first block starts, past the signature and the header lines under it."""
    place = next((number for number, line in enumerate(lines) if line.strip()), 0)
    if not _SIGNATURE.fullmatch(lines[place]):
        findings.mend(1, "no WEBVTT line; read as WebVTT all the same", "WEBVTT on the first line")
        return 0
    if place:
        findings.note(place + 1, "WEBVTT is not on the first line")
    place += 1
    while place < len(lines) and lines[place] and "-->" not in lines[place]:
        if lines[place].startswith("X-TIMESTAMP-MAP"):
            findings.note(place + 1, "X-TIMESTAMP-MAP is not used: times are taken as the recording's own")
        place += 1
    return place


def _timing_place(lines: list[str], place: int) -> int | None:
    """The line with the arrow in the block at `place`: its first, or its second under an identifier."""
    if "-->" in lines[place]:
        return place
    return place + 1 if place + 1 < len(lines) and "-->" in lines[place + 1] else None


def _pass_aside(lines: list[str], place: int, findings: Findings) -> int:
    """Step over a block without timing: a comment, a style sheet, a region, attributes, or lost text."""
    end = place + 1
    while end < len(lines) and lines[end] and "-->" not in lines[end]:
        end += 1
    block = lines[place:end]
    if not _ASIDE.fullmatch(block[0]) and any(line.strip() for line in block):
        findings.skip(
            place + 1,
            f"text outside any cue: {excerpt(' '.join(block))}",
            f"a line {TIMING_FORM} above it, or no blank line inside a cue",
        )
    return end


def _payload_end(lines: list[str], timing: int, counter: int) -> tuple[int, str]:
    """Where the cue's text ends, and the next cue's number when it stands there without a blank line."""
    end = timing + 1
    while end < len(lines) and lines[end] and "-->" not in lines[end]:
        end += 1
    runs_on = end < len(lines) and lines[end] != "" and end > timing + 1
    last = lines[end - 1].strip()
    is_number = runs_on and counter > 0 and last == str(counter + 1)
    return end, last if is_number else ""


def _read_cue(timing: str, payload: list[str], line: int, findings: Findings) -> Draft | None:
    times = _read_timing(timing, line, findings)
    if times is None:
        return None
    start, end = times
    runs, gloss_dropped = read_runs("\n".join(payload))
    if gloss_dropped:
        findings.note(line, "ruby gloss left out of the text")
    parts, all_used = make_parts(runs, start, end)
    if not all_used:
        findings.note(line, "times inside the cue run backwards or leave it; not used")
    return Draft(start, end, parts, line)


def _read_timing(timing: str, line: int, findings: Findings) -> tuple[float, float] | None:
    match = _TIMING.fullmatch(timing)
    loose = None if match else _LOOSE_TIMING.fullmatch(timing)
    found = match or loose
    start = end = None
    if found and len(found.group(1) or "") < 10 and len(found.group(5) or "") < 10:
        start, end = clock_seconds(*found.groups()[:4]), clock_seconds(*found.groups()[4:])
    if start is None or end is None:
        findings.skip(line, f"cue timing cannot be read: {excerpt(timing)}", TIMING_FORM)
        return None
    if loose:
        findings.mend(line, f"timing is not as WebVTT writes it: {excerpt(timing)}", TIMING_FORM)
    return start, end
