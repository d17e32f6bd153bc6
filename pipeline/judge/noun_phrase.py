"""How a name stands in its noun phrase: "that crab", "the crab", "a crab", or bare, which may be the kind as such."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Literal, cast

from spacy.tokens import Doc

from earwitness.pipeline.mention import Mention
from earwitness.pipeline.words import word_rows

Form = Literal["demonstrative", "definite", "indefinite", "bare"]
_FORMS = ("demonstrative", "definite", "indefinite", "none")
_ADJECTIVES = 3
"""Words that may stand between a determiner and its noun ("the big red deep-sea crab"); common practice, no source."""


@cache
def _determiners(own: Path | None) -> Mapping[str, str]:
    return {row["word"].lower(): row.one_of("kind", _FORMS) for row in word_rows("determiners", own)}


def form_of(doc: Doc, mention: Mention, sentence_start: int, own: Path | None = None) -> Form:
    """The form of a mention's noun phrase, by the nearest determiner among the words in front of it."""
    kinds = _determiners(own)
    for i in range(mention.start - 1, max(mention.start - 2 - _ADJECTIVES, sentence_start - 1), -1):
        word = doc[i].lower_
        if not any(c.isalnum() for c in word):
            if word == "-":
                continue
            break
        kind = kinds.get(word)
        if kind == "none":
            break
        if kind == "demonstrative" and mention.best.number == "plural" and word in ("this", "that"):
            break  # "I think that crabs eat": no determiner, a conjunction
        if kind is not None or word.isdigit():
            return cast(Form, kind or "indefinite")
    return "bare"


def names_a_kind(mention: Mention, form: Form) -> bool:
    """Whether the words may mean the kind as such: a bare plural ("crabs eat"), a bare Latin name."""
    return form == "bare" and mention.best.number != "singular"
