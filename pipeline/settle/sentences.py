"""The sentence that holds a token, without asking spaCy, whose answer takes time by the length of the recording."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable

from spacy.tokens import Doc, Span


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
