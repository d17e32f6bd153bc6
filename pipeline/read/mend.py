"""Times and text put in order.

In: drafts as their file states them. Out: drafts with clean text, sorted, each with 0 <= start < end.
Refuses: cues without text or with times no recording has, each reported; every repair is reported.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from earwitness.pipeline.read.clock import MAX_SECONDS, believable, to_milliseconds
from earwitness.pipeline.read.findings import Draft, Findings, Part, excerpt
from earwitness.pipeline.read.transcript import Word

WORDS_PER_SECOND = 2.5
"""Speech rate behind every estimated end: 150 words a minute, common practice for English, no source."""

MIN_LENGTH = 0.5
"""Shortest length (seconds) an estimated end gives a cue: about one short word and its pause."""

_NO_CUE = "text in the cue"
_TIME_RANGE = f"seconds from 0 to {MAX_SECONDS:,.0f}"


def tidy_text(drafts: list[Draft], findings: Findings) -> list[Draft]:
    """Fold white space and remove control characters; cues left without text are reported and dropped."""
    tidied: list[Draft] = []
    for draft in drafts:
        removed = 0
        parts: list[Part] = []
        for part in draft.parts:
            cleaned = [clean_line(line) for line in part.lines]
            removed += sum(count for _, count in cleaned)
            words = tuple(replace(word, text=clean_line(word.text)[0]) for word in part.words)
            speaker = clean_line(part.speaker or "")[0] or None
            lines = tuple(line for line, _ in cleaned if line)
            if lines:
                parts.append(replace(part, lines=lines, speaker=speaker, words=tuple(w for w in words if w.text)))
        if removed:
            findings.note(draft.line, f"{removed} control characters removed from the text")
        if parts:
            tidied.append(replace(draft, parts=tuple(parts)))
        else:
            findings.skip(draft.line, "cue without text", _NO_CUE)
    return tidied


def clean_line(text: str) -> tuple[str, int]:
    """One line of text, and how many control characters and halves of surrogate pairs were taken out.

    Nothing is escaped and nothing else is touched: what to do with `<`, `=` or `&` is for whoever writes it
    out.
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split()), 0
    kept: list[str] = []
    removed = 0
    for char in text:
        if char in "\t\n\u2028\u2029":
            kept.append(" ")
        elif char < " " or "\x7f" <= char <= "\x9f" or "\ud800" <= char <= "\udfff" or char == "\ufeff":
            removed += 1
            kept.append(" " if char.isspace() else "")
        else:
            kept.append(char)
    return " ".join("".join(kept).split()), removed


def mend_times(drafts: list[Draft], findings: Findings) -> list[Draft]:
    """Sort, and give every cue a usable start and end.

    An end that is missing, or not after its start, becomes the start plus the time the words take at
    `WORDS_PER_SECOND` (at least `MIN_LENGTH`), but not past the next start unless that is nearer than
    `MIN_LENGTH`; the cue's uncertainty is then its length. Formats that state starts only (`open_ended`) end
    at the next start instead, and the time that the words do not fill is added to their uncertainty.
    """
    checked = [_believable_times(draft, findings) for draft in drafts]
    usable = [draft for draft in checked if draft]
    for earlier, later in pairwise(usable):
        if later.start < earlier.start:
            findings.mend(later.line, "starts before the cue above it; sorted", "cues in time order")
    ordered = sorted(usable, key=lambda draft: draft.start)
    mended: list[Draft] = []
    following = math.inf
    for place in range(len(ordered) - 1, -1, -1):
        draft = ordered[place]
        if place + 1 < len(ordered) and ordered[place + 1].start > draft.start:
            following = ordered[place + 1].start
        mended.append(_with_end(draft, following, findings))
    return mended[::-1]


def _believable_times(draft: Draft, findings: Findings) -> Draft | None:
    start, end = draft.start, draft.end
    if start < 0 and end is not None and math.isfinite(start) and 0 < end <= MAX_SECONDS:
        findings.mend(draft.line, f"starts at {start:g} s; moved to 0", _TIME_RANGE)
        start = 0.0
    if not believable(start):
        findings.skip(draft.line, f"start {excerpt(f'{start:g}')} s is outside any recording", _TIME_RANGE)
        return None
    if end is not None and (math.isnan(end) or end > MAX_SECONDS):
        findings.mend(draft.line, f"end {end:g} s is outside any recording; the end is estimated", _TIME_RANGE)
        end = MAX_SECONDS + 1
    start = to_milliseconds(start)
    return replace(draft, start=start, end=None if end is None else to_milliseconds(end))


def _with_end(draft: Draft, following: float, findings: Findings) -> Draft:
    if draft.end is not None and draft.start < draft.end <= MAX_SECONDS:
        return draft
    spoken = max(MIN_LENGTH, sum(len(part.text.split()) for part in draft.parts) / WORDS_PER_SECOND)
    if draft.end is None and draft.open_ended and math.isfinite(following):
        slack = max(0.0, following - draft.start - spoken)
        return replace(draft, end=following, uncertainty=to_milliseconds(draft.uncertainty + slack))
    if draft.end is not None and draft.end <= draft.start:
        findings.mend(draft.line, "ends no later than it starts; the end is estimated", "an end after the start")
    elif draft.end is None and not draft.open_ended:
        findings.mend(draft.line, "no end after its start; the end is estimated", "an end after the start")
    nearest = max(following, draft.start + MIN_LENGTH)
    end = to_milliseconds(min(draft.start + spoken, nearest))
    return replace(draft, end=end, uncertainty=to_milliseconds(draft.uncertainty + end - draft.start))


def round_words(words: tuple[Word, ...]) -> tuple[Word, ...]:
    """Word times to the millisecond."""
    return tuple(replace(word, start=to_milliseconds(word.start), end=to_milliseconds(word.end)) for word in words)
