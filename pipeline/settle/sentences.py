"""Sentences and words of a Doc without asking spaCy again, whose answers take time by the length of the recording."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import claim_words

_SPOKEN = "earwitness_spoken_words"


def words_of(doc: Doc, start: int, end: int) -> tuple[list[int], list[str]]:
    """Token numbers and spoken forms of the words among tokens [start, end), worked out once a Doc."""
    spoken = doc.user_data.get(_SPOKEN)
    if spoken is None:
        pairs = claim_words(list(doc))
        spoken = doc.user_data[_SPOKEN] = ([i for i, _ in pairs], [word for _, word in pairs])
    numbers, words = spoken
    first, last = bisect_left(numbers, start), bisect_left(numbers, end)
    return numbers[first:last], words[first:last]


def sentence_at(doc: Doc, token: int) -> Span:
    """The sentence that holds a token: for one question; for many, `sentences_at`."""
    first, last = token, token + 1
    while first and not doc[first].is_sent_start:
        first -= 1
    while last < len(doc) and not doc[last].is_sent_start:
        last += 1
    return doc[first:last]


def sentences_at(sentences: list[Span], tokens: Iterable[int]) -> list[Span]:
    """Of all the sentences of a Doc, in order, the one that holds each of the tokens."""
    begins = [sentence.start for sentence in sentences]
    return [sentences[bisect_right(begins, token) - 1] for token in tokens]
