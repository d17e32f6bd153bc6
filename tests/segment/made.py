"""Transcripts made in the test, from invented talk."""

from __future__ import annotations

from spacy.tokens import Doc

from earwitness.pipeline.read.transcript import Cue, Transcript, Word
from earwitness.pipeline.segment import UTTERANCES


def transcript(*cues: Cue) -> Transcript:
    return Transcript("made", "made.vtt", "webvtt", "utf-8", "0" * 64, cues, (), len(cues))


def timed(text: str, *starts: float, length: float = 0.3) -> tuple[Word, ...]:
    """The words of a text, each at its start and `length` seconds long."""
    return tuple(Word(word, start, start + length) for word, start in zip(text.split(), starts, strict=True))


def utterances(doc: Doc) -> list[str]:
    return [span.text for span in doc.spans[UTTERANCES]]


def sentences(doc: Doc) -> list[str]:
    return [sentence.text for sentence in doc.sents]
