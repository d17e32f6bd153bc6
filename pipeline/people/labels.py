"""Speaker labels: which are names, and which only codes ("S1", "Pilot")."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from spacy.tokens import Doc

from earwitness.pipeline.segment import times_of
from earwitness.pipeline.words import word_rows

_WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
_CODE = re.compile(r"[A-Z]{1,3}")
_LEAST_LETTERS = 2


@cache
def never_names(own: Path | None = None) -> frozenset[str]:
    """Words that are no name where a name may stand, however they are said."""
    return frozenset(row["word"].lower() for row in word_rows("people_never", own))


@cache
def given_names(own: Path | None = None) -> dict[str, bool]:
    """Given names in small letters; True where the same word is an everyday word too."""
    return {row["name"].lower(): bool(row["also"]) for row in word_rows("given_names", own)}


def speaker_labels(doc: Doc) -> tuple[str, ...]:
    """The labels of a Doc's speakers, each once, in the order in which they speak."""
    return tuple(dict.fromkeys(cue.speaker for cue in times_of(doc).cues if cue.speaker))


def names_in_label(label: str, own: Path | None = None) -> tuple[str, ...]:
    """The words of a label that are somebody's names, as written: none of "S1", "Pilot" or "ROV"."""
    if any(c.isdigit() for c in label):
        return ()
    given, never = given_names(own), never_names(own)
    words = _WORD.findall(label)
    return tuple(
        word
        for word in words
        if len(word) >= _LEAST_LETTERS
        and (word.lower() not in never or (word.lower() in given and word[0].isupper()))
        and (word.lower() in given or not _CODE.fullmatch(word))
        and word[0].isupper()
    )
