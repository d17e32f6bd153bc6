"""The text of a recording as one Doc: minable cues joined by blanks, each token tied to its cue and its times."""

from __future__ import annotations

import numpy as np
from spacy.language import Language
from spacy.tokens import Doc

from earwitness.pipeline.read.transcript import Transcript
from earwitness.pipeline.segment.timing import TokenTimes, set_times, spread_over_cue


def recording_doc(transcript: Transcript, nlp: Language) -> Doc:
    """Tokenise the cues that are not marked as a recogniser's stutter and give every token its times."""
    cues = tuple(cue for cue in transcript.cues if not cue.mark)
    text = " ".join(cue.text for cue in cues)
    # spaCy's limit guards parsers and entity models that need memory by length; ours is linear in it.
    nlp.max_length = max(nlp.max_length, len(text) + 1)
    doc = nlp.make_doc(text)
    size = len(doc)
    start, end = np.zeros(size), np.zeros(size)
    uncertainty, owner = np.zeros(size), np.full(size, -1, dtype=np.int64)
    offset, token = 0, 0
    for number, cue in enumerate(cues):
        first = token
        while token < size and doc[token].idx < offset + len(cue.text):
            token += 1
        spans = [(t.idx - offset, t.idx - offset + max(len(t), 1)) for t in doc[first:token]]
        for i, (begin, finish, unsure) in enumerate(spread_over_cue(cue, spans), start=first):
            start[i], end[i], uncertainty[i], owner[i] = begin, finish, unsure, number
        offset += len(cue.text) + 1
    set_times(doc, TokenTimes(start, end, uncertainty, owner, cues))
    return doc
