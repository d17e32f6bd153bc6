"""What is said of the dive and not of an animal: markers, spoken measurements, the ground and litter."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.segment import times_of
from earwitness.pipeline.settle.numbers import number_at
from earwitness.pipeline.settle.sighting import Note
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

_NUMBER_WITHIN = 4
_RANK_WITHIN = 12
_SAID_AGAIN = 8.0
"""Seconds within which a repeated note is the same one (common practice, no source)."""
_ONCE_A_DIVE = 60.0
"""As _SAID_AGAIN, for what happens once a dive and is spoken of by several."""
_FILLERS = {
    "is",
    "at",
    "about",
    "of",
    "reading",
    "now",
    "approximately",
    "around",
    "two",
    "we",
    "are",
    "on",
    "out",
    "a",
}


MARKER_TYPES = ("dive_start", "on_bottom", "off_bottom", "dive_end", "sample", "image", "highlight", "target")
"""As in schemas/event.schema.json."""


@cache
def _marker_phrases(own: Path | None) -> Phrases:
    for row in word_rows("markers", own):
        row.one_of("markerType", MARKER_TYPES)
    return phrase_table("markers", own=own)


def take_notes(doc: Doc, mentions: tuple[Mention, ...], own_words: Path | None = None) -> tuple[Note, ...]:
    """Markers, measurements and substrate of a Doc, in order; a word that is part of a mention is no substrate."""
    taken = {i for mention in mentions for i in range(mention.start, mention.end)}
    notes: list[Note] = []
    for sentence in doc.sents:
        tokens, words = words_of(doc, sentence.start, sentence.end)
        notes += _markers(doc, sentence, tokens, words, own_words)
        notes += _measurements(tokens, words, own_words)
        for first, last, row in phrases_in(words, phrase_table("substrates", own=own_words)):
            if not taken & set(tokens[first:last]):
                notes.append(Note("substrate", row["substrate"], tokens[first], tokens[last - 1] + 1))
    return _once(doc, sorted(notes, key=lambda note: (note.start, note.kind, note.type)))


def _once(doc: Doc, notes: list[Note]) -> tuple[Note, ...]:
    """The same thing said again within seconds is noted once, at its first saying."""
    starts = times_of(doc).start
    kept: list[Note] = []
    latest: dict[tuple[str, str, float | None], float] = {}
    for note in notes:
        key, now = (note.kind, note.type, note.value), float(starts[note.start])
        patience = _ONCE_A_DIVE if note.type in ("dive_start", "on_bottom", "off_bottom", "dive_end") else _SAID_AGAIN
        if key not in latest or now - latest[key] > patience:
            kept.append(note)
            latest[key] = now
    return tuple(kept)


def _markers(doc: Doc, sentence: Span, tokens: list[int], words: list[str], own: Path | None) -> list[Note]:
    """One marker of each type a sentence, at its first phrase."""
    notes: dict[str, Note] = {}
    for first, last, row in phrases_in(words, _marker_phrases(own)):
        kind = row["markerType"]
        if kind in notes or _denied(words, first):
            continue
        rank = _rank(doc, sentence, last, words) if kind == "highlight" else None
        notes[kind] = Note("marker", kind, tokens[first], tokens[last - 1] + 1, rank=rank)
    return list(notes.values())


def _denied(words: list[str], first: int) -> bool:
    return any(word in ("no", "not", "never", "without") for word in words[max(first - 3, 0) : first])


def _rank(doc: Doc, sentence: Span, after: int, words: list[str]) -> int | None:
    """The rank given to a highlight: the last whole number said with it, in its sentence or the short ones behind."""
    end = sentence.end
    while end < len(doc) and end - sentence.end < _RANK_WITHIN and not doc[end].is_space:
        if doc[end].is_sent_start and len(list(doc[end].sent)) > 4:
            break
        end += 1
    _, following = words_of(doc, sentence.start, end)
    numbers = [number_at(following, at) for at in range(after, len(following))]
    ranks = [n.value for n in numbers if n and n.value == int(n.value) and 0 < n.value <= 10]
    return int(ranks[-1]) if ranks else None


def _measurements(tokens: list[int], words: list[str], own: Path | None) -> list[Note]:
    notes: list[Note] = []
    for _, last, row in phrases_in(words, phrase_table("measurements", column="lead", own=own)):
        for at in range(last, min(last + _NUMBER_WITHIN, len(words))):
            number = number_at(words, at)
            if number is None:
                if words[at] in _FILLERS:
                    continue
                break
            unit = words[number.last] if number.last < len(words) else ""
            allowed = row["measures"].split("|")
            fits = row.number("low") <= number.value <= row.number("high")
            if fits and (unit in allowed or ("" in allowed and not _is_other_unit(unit))):
                end = number.last + (1 if unit in allowed and unit else 0)
                start, stop = tokens[last - 1], tokens[end - 1] + 1
                notes.append(Note("measurement", row["measurementType"], start, stop, number.value, row["unit"]))
            break
    return notes


def _is_other_unit(word: str) -> bool:
    return word in {
        "centimetres",
        "cm",
        "centimeters",
        "minutes",
        "hours",
        "degrees",
        "metres",
        "meters",
        "knots",
    }
