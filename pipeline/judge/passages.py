"""The talk around mentions as a learned reader of claims takes it in: numbers of word pieces, a mark for each name.

A name is not spelt out: "a [one] [observed]" stands for "a crab" that the rules call observed. So what is learned of
claims holds for animals nobody has named before, and for names that captions bent.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from spacy.tokens import Doc

from earwitness.pipeline.judge.judgement import STATUSES, Judgement
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.segment import times_of

TOGETHER, AROUND = 64, 24
"""Pieces that names read in one passage may lie apart, and pieces on either side of them; a choice, no source."""
SILENCE_S = 4.0
"""Seconds without a word that are marked; a choice, no source."""
BEGIN, END, UNKNOWN = "[begin]", "[end]", "[unknown]"
NAMES = {"singular": "[one]", "plural": "[several]", "": "[name]"}
TURN, PAUSE, UNTOLD = "[turn]", "[pause]", "[untold]"
RULED = {status: f"[{status}]" for status in STATUSES}
MARKS = (BEGIN, END, UNKNOWN, *NAMES.values(), TURN, PAUSE, UNTOLD, *RULED.values())
"""Pieces that are no part of a word, in the order of their numbers. `UNTOLD` stands for a status the rules do not tell:
learning hides some, so that words are read too."""
_PARTS = re.compile(r"[a-z0-9]+|[^\W_]+|[^\w\s]|_")


@dataclass(frozen=True, slots=True)
class Passage:
    """Pieces of talk, and the names in it that are to be read.

    Args:
        pieces: their numbers in the vocabulary.
        places: of each name read, where its mark stands in `pieces`, and the number of its mention.
    """

    pieces: tuple[int, ...]
    places: tuple[tuple[int, int], ...]


@dataclass(slots=True)
class Vocabulary:
    """Numbers of word pieces: a piece inside a word begins with "##" (WordPiece, Schuster and Nakajima 2012)."""

    numbers: Mapping[str, int]
    _known: dict[str, tuple[int, ...]]

    def __init__(self, pieces: Sequence[str]):
        self.numbers = {piece: number for number, piece in enumerate(pieces)}
        self._known = {}

    def __getitem__(self, piece: str) -> int:
        return self.numbers[piece]

    def word(self, text: str) -> tuple[int, ...]:
        """The longest pieces that make up a word, from the left; one unknown where none fit."""
        found = self._known.get(text)
        if found is None:
            plain = "".join(c for c in unicodedata.normalize("NFD", text.lower()) if not unicodedata.combining(c))
            found = tuple(number for part in _PARTS.findall(plain) for number in self._part(part))
            if len(self._known) < 100_000:  # bounded: talk may hold any number of odd words
                self._known[text] = found
        return found

    def _part(self, part: str) -> list[int]:
        numbers: list[int] = []
        at = 0
        while at < len(part):
            lead = "##" if at else ""
            over = min(len(part), at + 24)
            while over > at and lead + part[at:over] not in self.numbers:
                over -= 1
            if over == at:
                return [self.numbers[UNKNOWN]]
            numbers.append(self.numbers[lead + part[at:over]])
            at = over
        return numbers


def passages(
    doc: Doc, mentions: Sequence[Mention], judgements: Sequence[Judgement], vocabulary: Vocabulary
) -> Iterator[Passage]:
    """The talk around all mentions of a Doc; talk far from any is left out."""
    pieces, places = _stream(doc, mentions, judgements, vocabulary)
    begin, end = vocabulary[BEGIN], vocabulary[END]
    first = 0
    while first < len(places):
        last = first
        while last + 1 < len(places) and places[last + 1] - places[first] < TOGETHER:
            last += 1
        left, right = max(places[first] - AROUND, 0), min(places[last] + AROUND, len(pieces))
        read = tuple((places[n] - left + 1, n) for n in range(first, last + 1))
        yield Passage((begin, *pieces[left:right], end), read)
        first = last + 1


def _stream(
    doc: Doc, mentions: Sequence[Mention], judgements: Sequence[Judgement], vocabulary: Vocabulary
) -> tuple[list[int], list[int]]:
    """All pieces of the talk, and where the mark of each mention stands."""
    times = times_of(doc)
    speakers = [cue.speaker for cue in times.cues]
    silent = np.zeros(len(doc), dtype=bool)
    silent[1:] = times.start[1:] - times.end[:-1] > SILENCE_S
    pieces: list[int] = []
    places: list[int] = []
    number, speaker = 0, None
    for token in doc:
        cue = int(times.cue[token.i])
        says = speakers[cue] if cue >= 0 else None
        if speaker is not None and says is not None and says != speaker:
            pieces.append(vocabulary[TURN])
        speaker = says
        if silent[token.i]:
            pieces.append(vocabulary[PAUSE])
        while number < len(mentions) and mentions[number].end <= token.i:
            number += 1
        if number == len(mentions) or token.i < mentions[number].start:
            pieces += vocabulary.word(token.text)
        elif token.i == mentions[number].start:
            places.append(len(pieces))
            pieces += [vocabulary[NAMES[mentions[number].best.number]], vocabulary[RULED[judgements[number].status]]]
    return pieces, places
