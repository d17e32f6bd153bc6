"""Segment: a Transcript comes in, one spaCy Doc of the whole recording goes out.

The Doc's sentences are what a cue word can reach, `doc.spans["utterances"]` are the stretches one speaker says in
one go, and every token has a start, an end and an uncertainty in seconds. Refuses nothing: marked cues are
simply left out.
"""

from __future__ import annotations

from spacy.language import Language
from spacy.tokens import Doc

from earwitness.pipeline.read.transcript import Transcript
from earwitness.pipeline.segment.language import build_language
from earwitness.pipeline.segment.recording_doc import recording_doc
from earwitness.pipeline.segment.timing import TokenTimes, speaker_of, times_of
from earwitness.pipeline.segment.utterances import UTTERANCES, Utterances, make_utterances

__all__ = [
    "UTTERANCES",
    "TokenTimes",
    "Utterances",
    "build_language",
    "make_utterances",
    "segment",
    "speaker_of",
    "times_of",
]


def segment(transcript: Transcript, nlp: Language | None = None) -> Doc:
    """Turn a transcript into one Doc with token times, sentences and utterances.

    `nlp` is any spaCy pipeline that has the component `earwitness_utterances`; default: `build_language()`.
    """
    nlp = nlp or build_language()
    doc = recording_doc(transcript, nlp)
    for _, component in nlp.pipeline:
        doc = component(doc)
    return doc
