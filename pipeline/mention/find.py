"""From the words of a Doc to mentions: corrected words, exact names, abbreviations and epithets, then heard names."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

from spacy.tokens import Doc

from earwitness.pipeline.mention.corrected import CorrectedNames
from earwitness.pipeline.mention.exact import ExactNames
from earwitness.pipeline.mention.heard import HeardNames
from earwitness.pipeline.mention.mentions import Mention
from earwitness.pipeline.mention.qualifiers import qualifier_at
from earwitness.pipeline.mention.shortened import ShortenedNames
from earwitness.pipeline.mention.spans import Found, covered
from earwitness.pipeline.mention.spoken_words import SpokenWord, spoken_words
from earwitness.pipeline.words.phrases import phrase_table, phrases_in
from earwitness.taxonomy import Corrections, NameIndex


def find_mentions(
    doc: Doc, index: NameIndex, own_words: Path | None = None, corrections: Corrections | None = None
) -> tuple[Mention, ...]:
    """All mentions of the Doc in order; they never overlap.

    Args:
        doc: with sentences.
        index: of the checklist's names.
        own_words: folder with word lists of the user's own, named as ours are (see `earwitness.pipeline.words`).
        corrections: what people said before that heard words mean, or that they name no taxon.
    """
    words = spoken_words(doc)
    # Phrases that hold a name and name no animal ("dead coral") are taken first and let go at the end.
    barred = _barred(words, own_words)
    found = CorrectedNames(corrections).find(words, []) if corrections else []
    taken = covered(found, len(words))
    found += [span for span in barred if not any(taken[span.first : span.last])]
    found += ExactNames(index, own_words).find(words, found)
    found += ShortenedNames(index).find(words, found)
    found += _signs(words, found, index, own_words)
    found = HeardNames(index).find(words, found)
    mentions: list[Mention] = []
    for span in sorted((f for f in found if f.candidates), key=lambda f: f.first):
        start, end = words[span.first].start, words[span.last - 1].end
        # Two words of one token ("crab_shrimp") cannot be two mentions: the first has it.
        if mentions and start < mentions[-1].end:
            continue
        text = doc[start:end].text
        mentions.append(Mention(start, end, text, span.candidates, qualifier_at(words, span, own_words)))
    return tuple(mentions)


def _barred(words: list[SpokenWord], own_words: Path | None) -> list[Found]:
    """Phrases of several words that name no animal; none runs over a comma or a stop."""
    heads = [at for at, word in enumerate(words) if word.parted]
    barred = []
    for head, end in pairwise([*heads, len(words)]):
        keys = [word.key for word in words[head:end]]
        for name in ("not_names", "substrates"):
            for first, last, row in phrases_in(keys, phrase_table(name, own=own_words)):
                if " " in row["phrase"]:
                    barred.append(Found(head + first, head + last, ()))
    return barred


def _signs(words: list[SpokenWord], found: list[Found], index: NameIndex, own_words: Path | None) -> list[Found]:
    """Signs of open nomenclature: no part of a heard name ("Leiopathes indeterminate"), unless names have the words."""
    taken = covered(found, len(words))
    keys = [word.key for word in words]
    return [
        Found(first, last, ())
        for first, last, _ in phrases_in(keys, phrase_table("qualifiers", own=own_words))
        if not any(taken[first:last]) and not all(key in index.words for key in keys[first:last])
    ]
