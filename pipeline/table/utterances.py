"""Rows of utterances.jsonl: the whole talk, with a time a word, so that a run can be read beside its recording."""

from __future__ import annotations

from typing import Any

from spacy.tokens import Span

from earwitness.pipeline.segment import speaker_of, times_of
from earwitness.pipeline.table.events import RecordingTalk


def utterance_rows(talk: RecordingTalk) -> list[dict[str, Any]]:
    """The utterance rows of one recording in order."""
    times = times_of(talk.doc)
    return [
        {
            "recordingID": talk.recording_id,
            "startTime": round(float(times.start[utterance.start]), 3),
            "endTime": round(float(times.end[utterance.end - 1]), 3),
            "speaker": speaker_of(talk.doc, utterance.start),
            "text": utterance.text,
            "words": _words(talk, utterance),
        }
        for utterance in talk.utterances
    ]


def _words(talk: RecordingTalk, utterance: Span) -> list[list[float]]:
    """Characters and seconds of what stands between blanks."""
    times = times_of(talk.doc)
    words: list[list[float]] = []
    first = utterance.start
    for token in utterance:
        if token.is_space:
            first = token.i + 1
        elif token.whitespace_ or token.i + 1 == utterance.end or talk.doc[token.i + 1].is_space:
            begin, end = talk.doc[first].idx, token.idx + len(token)
            seconds = (round(float(times.start[first]), 3), round(float(times.end[token.i]), 3))
            words.append([begin - utterance.start_char, end - utterance.start_char, *seconds])
            first = token.i + 1
    return words
