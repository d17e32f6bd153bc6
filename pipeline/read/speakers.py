"""Speakers written into the text: "MAUD: ...", or a dash before each of two lines.

In: drafts of a format that names no speakers itself. Out: the same drafts with speakers taken from the text.
Refuses: to guess: a colon is a speaker's only when the file shows the habit.

The rule. A line's head can be a speaker when it is one to three words of at most 32 characters, each opening
with a capital or a digit (the first with a capital), followed by a colon and a blank, and no word of it is in
`speakers.csv` (depth, note, target ...). It is one when at least two cues of the file open so, and either
half of all cues do, or the heads are all capitals and a tenth of all cues open so. Dashes (`-`, `>>`) are
removed when two lines of a cue have one, which then are two voices, or when two cues of the file open with
one.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files

from earwitness.pipeline.read.findings import Draft, Part
from earwitness.pipeline.read.transcript import Word

LEAST_CUES = 2
"""One line with a colon is no habit."""

MIXED_SHARE = 0.5
"""In mixed case, a name is only told from a sentence such as "Correction: ..." by how often lines open so."""

CAPITALS_SHARE = 0.1
"""All capitals before a colon is how captions write a change of speaker (common practice, no source)."""

_HEAD = re.compile(r"(?:(?:>{1,3}|[-\u2013\u2014])\s{0,3})?([^\s:]{1,32}(?: [^\s:]{1,32}){0,2}):(?:\s+|$)")
_DASH = re.compile(r"(?:>{1,3}|[-\u2013\u2014])\s{1,3}(?=\S)")


def name_speakers(drafts: list[Draft]) -> list[Draft]:
    """Take speakers from the text where the file does so throughout; a file that names any is left alone."""
    if any(part.speaker for draft in drafts for part in draft.parts):
        return drafts
    heads = [head for head in (_head(_opening(draft)) for draft in drafts) if head]
    capitals = [head for head in heads if head.isupper()]
    accept: Callable[[str], bool] = lambda head: False  # noqa: E731
    if len(capitals) >= max(LEAST_CUES, CAPITALS_SHARE * len(drafts), len(heads) / 2):
        accept = str.isupper
    elif len(heads) >= max(LEAST_CUES, MIXED_SHARE * len(drafts)):
        accept = bool
    dashed = sum(1 for draft in drafts if _DASH.match(_opening(draft))) >= LEAST_CUES
    return [replace(draft, parts=_split(draft, accept, dashed)) for draft in drafts]


@cache
def _never_speakers() -> frozenset[str]:
    content = files("earwitness.pipeline.read").joinpath("speakers.csv").read_text(encoding="utf-8")
    return frozenset(row["word"] for row in csv.DictReader(io.StringIO(content)))


def _opening(draft: Draft) -> str:
    return next((line.strip() for part in draft.parts for line in part.lines if line.strip()), "")


def _head(line: str) -> str:
    """The speaker's name a line may open with, or an empty text."""
    match = _HEAD.match(line)
    name = match.group(1).strip() if match else ""
    words = name.split()
    if not words or len(name) > 32 or not words[0][0].isupper():
        return ""
    if any(word.casefold().strip(".,") in _never_speakers() for word in words):
        return ""
    fits = all(word[0].isupper() or word[0].isdigit() or word[0] == "(" for word in words)
    return name if fits and not re.search(r"[.!?,]$", name) else ""


def _split(draft: Draft, accept: Callable[[str], bool], dashed: bool) -> tuple[Part, ...]:
    """The parts of a cue, one for each line that opens a new voice."""
    parts: list[Part] = []
    for part in draft.parts:
        dashes = sum(1 for line in part.lines if _DASH.match(line.strip()))
        timed = part.words if len(part.words) == len(part.text.split()) else ()
        pieces: list[_Piece] = [_Piece()]
        place = 0
        for line in part.lines:
            name, kept = _read_line(line.strip(), accept, dashed or dashes > 1)
            if kept != line.strip():
                pieces.append(_Piece(name))
            end = place + len(line.split())
            pieces[-1].lines.append(kept)
            pieces[-1].words.extend(timed[end - len(kept.split()) : end])
            place = end
        if len(pieces) == 1:
            parts.append(part)
        else:
            parts.extend(piece.part() for piece in pieces if any(piece.lines))
    return tuple(parts) or draft.parts


@dataclass(slots=True)
class _Piece:
    """A part in the making."""

    speaker: str | None = None
    lines: list[str] = field(default_factory=list)
    words: list[Word] = field(default_factory=list)

    def part(self) -> Part:
        return Part(tuple(self.lines), self.speaker, tuple(self.words))


def _read_line(line: str, accept: Callable[[str], bool], dashed: bool) -> tuple[str | None, str]:
    """The speaker a line names, if any, and the line without the sign that opened it."""
    name, head, dash = _head(line), _HEAD.match(line), _DASH.match(line)
    if name and head and accept(name):
        return name, line[head.end() :]
    return None, line[dash.end() :] if dash and dashed else line
