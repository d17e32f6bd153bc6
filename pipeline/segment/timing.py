"""Times of tokens: kept as arrays on the Doc, read through `times_of`; NaN where a Doc was made from bare text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from spacy.tokens import Doc, Span, Token

from earwitness.pipeline.read.transcript import Cue

_KEY = "earwitness_times"

WORD_TIME_UNCERTAINTY = 0.7
"""How far a recogniser's own word time may be off (s): the 95th percentile of the distance between an utterance's true
start and the recogniser's time of its first word, over the development narrations (`make bench`, part "times")."""


@dataclass(frozen=True, slots=True)
class TokenTimes:
    """Per token of a Doc, in seconds into the recording: arrays of shape (len(doc),).

    `uncertainty` is how far a token's start may be from the truth. `cue` is the index into `cues`, -1 for none.
    """

    start: npt.NDArray[np.float64]
    end: npt.NDArray[np.float64]
    uncertainty: npt.NDArray[np.float64]
    cue: npt.NDArray[np.int64]
    cues: tuple[Cue, ...]


def set_times(doc: Doc, times: TokenTimes) -> None:
    """Attach token times to a Doc."""
    doc.user_data[_KEY] = times


def times_of(doc: Doc) -> TokenTimes:
    """The Doc's token times; all NaN, in no cue, for a Doc that was not made from a transcript."""
    times: Any = doc.user_data.get(_KEY)
    if isinstance(times, TokenTimes):
        return times
    nothing = np.full(len(doc), np.nan)
    return TokenTimes(nothing, nothing, nothing, np.full(len(doc), -1, dtype=np.int64), ())


def speaker_of(doc: Doc, token: int) -> str | None:
    """Who says this token, as the transcript labels them."""
    times = times_of(doc)
    cue = int(times.cue[token])
    return times.cues[cue].speaker if cue >= 0 else None


def spread_over_cue(cue: Cue, offsets: list[tuple[int, int]]) -> list[tuple[float, float, float]]:
    """Start, end and uncertainty (s) of character ranges inside a cue.

    With word times a range takes the times of the words it touches. Without, time is shared out by length, and the
    uncertainty is the distance to the farther end of the cue: all that is truly known is that it was said within.
    """
    if cue.words:
        return _from_words(cue, offsets)
    rate = (cue.end - cue.start) / max(len(cue.text), 1)
    spread = []
    for first, last in offsets:
        start, end = cue.start + first * rate, cue.start + last * rate
        spread.append((start, end, max(start - cue.start, cue.end - start) + cue.uncertainty))
    return spread


def _from_words(cue: Cue, offsets: list[tuple[int, int]]) -> list[tuple[float, float, float]]:
    starts: list[int] = []
    position = 0
    for word in cue.words:
        found = cue.text.find(word.text, position)
        starts.append(found if found >= 0 else position)
        # A word that the text lacks takes no room in it, or it would push all that follow out of their places.
        position = found + len(word.text) if found >= 0 else position
    at = np.asarray(starts)
    spread = []
    for first, last in offsets:
        head = cue.words[max(int(np.searchsorted(at, first, side="right")) - 1, 0)]
        tail = cue.words[max(int(np.searchsorted(at, last - 1, side="right")) - 1, 0)]
        spread.append((head.start, max(tail.end, head.start), WORD_TIME_UNCERTAINTY + cue.uncertainty))
    return spread


def register_extensions() -> None:
    """`token._.start_time`, `span._.start_time` and their siblings, for people who live in spaCy."""
    Token.set_extension("start_time", getter=lambda t: float(times_of(t.doc).start[t.i]), force=True)
    Token.set_extension("end_time", getter=lambda t: float(times_of(t.doc).end[t.i]), force=True)
    Span.set_extension("start_time", getter=lambda s: float(times_of(s.doc).start[s.start]), force=True)
    Span.set_extension("end_time", getter=lambda s: float(times_of(s.doc).end[s.end - 1]), force=True)
    Span.set_extension("speaker", getter=lambda s: speaker_of(s.doc, s.start), force=True)
