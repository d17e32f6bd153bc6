"""Utterances and sentences, from times, speakers and punctuation: works on text that has no punctuation or capitals.

An utterance is what one speaker says without a real pause. A sentence is the stretch inside an utterance that a cue
word can reach: it ends at a full stop, at a pause, and where captions have neither, at the end of the caption that
makes the utterance too long.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
from spacy.language import Language
from spacy.tokens import Doc, Span

from earwitness.pipeline.segment.timing import TokenTimes, register_extensions, times_of

UTTERANCES = "utterances"
_STOPS = {".", "!", "?", "…", "..."}
_STAND_BEFORE_A_NAME = {"cf", "aff", "var", "subsp"}
_STAND_AFTER_A_NAME = {"sp", "spp", "indet", "inc", "stet", "nov"}


@Language.factory(
    "earwitness_utterances",
    default_config={"joining_gap": 0.35, "sentence_pause": 0.7, "punctuated_share": 0.3, "longest": 15.0},
)
def make_utterances(
    nlp: Language,
    name: str,
    joining_gap: float,
    sentence_pause: float,
    punctuated_share: float,
    longest: float,
) -> Utterances:
    """The factory behind `nlp.add_pipe("earwitness_utterances")`; see `Utterances`."""
    return Utterances(joining_gap, sentence_pause, punctuated_share, longest)


class Utterances:
    """Sets `doc.spans["utterances"]` and the sentence starts.

        nlp = spacy.blank("en")
        nlp.add_pipe("earwitness_utterances")
        doc = nlp("that is a sponge")
        doc.spans["utterances"]

    Args:
        joining_gap: captions of one speaker closer than this (s) run on when the first ends in mid-sentence (0.35:
            recognisers leave less between the segments of one sentence; common practice, no source).
        sentence_pause: a silence inside a caption with word times that ends a sentence (s) (0.7: common practice,
            no source).
        punctuated_share: share of captions ending in a full stop from which a transcript counts as punctuated.
        longest: an utterance without a stop or a pause is cut at the caption boundary after this long (s).
    """

    def __init__(self, joining_gap: float, sentence_pause: float, punctuated_share: float, longest: float):
        register_extensions()
        self.joining_gap = joining_gap
        self.sentence_pause = sentence_pause
        self.punctuated_share = punctuated_share
        self.longest = longest

    def __call__(self, doc: Doc) -> Doc:
        """Mark utterances and sentences on the Doc."""
        if not len(doc):
            doc.spans[UTTERANCES] = []
            return doc
        times = times_of(doc)
        starts = self._utterance_starts(doc, times)
        bounds = [*np.flatnonzero(starts).tolist(), len(doc)]
        doc.spans[UTTERANCES] = [Span(doc, a, b) for a, b in pairwise(bounds)]
        begins = [bool(starts[i]) or self._ends_sentence(doc, times, i - 1) for i in range(len(doc))]
        # All at once: spaCy looks through the whole Doc each time that one token is set.
        marks: Any = np.where(begins, 1, -1).astype(np.int64).astype(np.uint64)
        doc.from_array(["SENT_START"], marks)
        return doc

    def _utterance_starts(self, doc: Doc, times: TokenTimes) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        starts = np.zeros(len(doc), dtype=bool)
        starts[0] = True
        # Where a cue begins: the first token of each run of one cue number.
        heads = [0, *(np.flatnonzero(np.diff(times.cue)) + 1).tolist()]
        punctuated = self._is_punctuated(doc, heads)
        began = 0.0 if np.isnan(times.start[0]) else float(times.start[0])
        for head in heads[1:]:
            before, after = times.cues[int(times.cue[head - 1])], times.cues[int(times.cue[head])]
            runs_on = (
                before.speaker == after.speaker
                and after.start - before.end <= self.joining_gap
                and not _is_stop(doc, head - 1)
                and (punctuated or after.end - began <= self.longest)
            )
            if not runs_on:
                starts[head] = True
                began = after.start
        return starts

    def _is_punctuated(self, doc: Doc, heads: list[int]) -> bool:
        stops = sum(_is_stop(doc, head - 1) for head in [*heads[1:], len(doc)])
        return stops >= self.punctuated_share * len(heads)

    def _ends_sentence(self, doc: Doc, times: TokenTimes, i: int) -> bool:
        """Whether a sentence ends with token `i`."""
        if i < 0:
            return True
        if _is_stop(doc, i):
            return True
        owner = int(times.cue[i])
        if owner >= 0 and owner == times.cue[i + 1] and not times.cues[owner].words:
            # Time that was shared out by length knows of no silence.
            return False
        pause = times.start[i + 1] - times.end[i]
        return bool(pause >= self.sentence_pause)


def _is_stop(doc: Doc, i: int) -> bool:
    """A full stop that ends a sentence: not the one of "cf. affinis" or of "L. pertusa"."""
    text = doc[i].text
    sign = doc[i - 1].text.lower() if text == "." and i and not doc[i - 1].whitespace_ else text.rstrip(".").lower()
    if sign in _STAND_BEFORE_A_NAME:
        return text.endswith(".") and i + 1 == len(doc)
    if sign in _STAND_AFTER_A_NAME or (len(text) == 2 and text[0].isalpha() and text[1] == "."):
        # "Leiopathes sp. The next one": the sign may still close the sentence.
        return text.endswith(".") and (i + 1 == len(doc) or doc[i + 1].text[:1].isupper())
    return text in _STOPS
