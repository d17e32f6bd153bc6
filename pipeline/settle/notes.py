"""What is said of the dive and not of an animal: markers, spoken measurements, the ground and litter.

In: a Doc and its mentions. Out: `Note`s in the order of the talk, the same thing said again at once only once.
"""

from __future__ import annotations

from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.segment import times_of
from earwitness.pipeline.settle.markers import MARKER_TYPES, markers_in
from earwitness.pipeline.settle.readings import readings_in
from earwitness.pipeline.settle.sighting import Note
from earwitness.pipeline.words.phrases import phrase_table, phrases_in

__all__ = ["MARKER_TYPES", "take_notes"]

_SAID_AGAIN = 8.0
"""Seconds within which a repeated note is the same one (common practice, no source)."""
_DENIED_BY = {"no", "not", "never", "without"}
_ELSEWHERE = {"yesterday", "tomorrow", "usually", "normally"}
_ASKED_BY = {
    "is",
    "are",
    "any",
    "was",
    "do",
    "does",
    "did",
    "have",
    "has",
    "what",
    "where",
    "which",
    "who",
    "why",
    "how",
}
_SHORT = 6
"""Words of a question; a longer sentence may only end in one ("..., isn't it?")."""
_GENERIC = {"sediment", "shells"}
"""Grounds named in passing beside a finer name of the same: "the sediment is rippled sand"."""


def take_notes(doc: Doc, mentions: tuple[Mention, ...], own_words: Path | None = None) -> tuple[Note, ...]:
    """Markers, measurements and substrate of a Doc, in order; a word that is part of a mention is no substrate."""
    taken = {i for mention in mentions for i in range(mention.start, mention.end)}
    notes = markers_in(doc, taken, own_words)
    others = [*readings_in(doc, own_words)]
    for sentence in doc.sents:
        others += _substrates(doc, sentence, taken, own_words)
    notes += _once(doc, sorted(others, key=_order))
    return tuple(sorted(notes, key=_order))


def _order(note: Note) -> tuple[int, str, str]:
    return note.start, note.kind, note.type


def _substrates(doc: Doc, sentence: Span, taken: set[int], own: Path | None) -> list[Note]:
    """The ground in view: not what is asked for, denied or was seen elsewhere."""
    tokens, words = words_of(doc, sentence.start, sentence.end)
    asked = words[:1] != [] and words[0] in _ASKED_BY
    if asked or (sentence.text.rstrip().endswith("?") and len(words) <= _SHORT) or _ELSEWHERE & set(words):
        return []
    notes = []
    for first, last, row in phrases_in(words, phrase_table("substrates", own=own)):
        if taken & set(tokens[first:last]) or _denied(doc, tokens, words, first):
            continue
        notes.append(Note("substrate", row["substrate"], tokens[first], tokens[last - 1] + 1))
    finer = [note for note in notes if note.type not in _GENERIC]
    return finer if len(finer) < len(notes) and finer else notes


def _denied(doc: Doc, tokens: list[int], words: list[str], first: int) -> bool:
    """ "No sand here", "not bacterial mat"; but "no, mud"."""
    for at in range(max(first - 2, 0), first):
        if words[at] in _DENIED_BY:
            return not any(doc[i].is_punct for i in range(tokens[at], tokens[first]))
    return False


def _once(doc: Doc, notes: list[Note]) -> list[Note]:
    """The same thing said again within seconds is noted once, at its first saying."""
    starts = times_of(doc).start
    kept: list[Note] = []
    latest: dict[tuple[str, str, float | None], float] = {}
    for note in notes:
        key, now = (note.kind, note.type, note.value), float(starts[note.start])
        if key not in latest or now - latest[key] > _SAID_AGAIN:
            kept.append(note)
            latest[key] = now
    return kept
