"""From the words of a Doc to mentions: exact names first, then abbreviations and epithets, then similar names."""

from __future__ import annotations

from spacy.tokens import Doc

from earwitness.pipeline.mention.exact import ExactNames
from earwitness.pipeline.mention.mentions import Mention
from earwitness.pipeline.mention.qualifiers import qualifier_at
from earwitness.pipeline.mention.shortened import ShortenedNames
from earwitness.pipeline.mention.similar import SimilarNames
from earwitness.pipeline.mention.spans import Found
from earwitness.pipeline.mention.spoken_words import spoken_words
from earwitness.pipeline.words.phrases import phrase_table, phrases_in
from earwitness.taxonomy import NameIndex


def find_mentions(doc: Doc, index: NameIndex) -> tuple[Mention, ...]:
    """All mentions of the Doc in order; they never overlap."""
    words = spoken_words(doc)
    # Phrases that hold a name and name no animal ("dead coral") are taken first and let go at the end.
    keys = [word.key for word in words]
    barred = [
        Found(first, last, ())
        for name in ("not_names", "substrates")
        for first, last, row in phrases_in(keys, phrase_table(name))
        if " " in row["phrase"]
    ]
    found = barred + ExactNames(index).find(words, barred)
    found += ShortenedNames(index).find(words, found)
    found += SimilarNames(index).find(words, found)
    mentions = []
    for span in sorted((f for f in found if f.candidates), key=lambda f: f.first):
        start, end = words[span.first].start, words[span.last - 1].end
        text = doc[start:end].text
        mentions.append(Mention(start, end, text, span.candidates, qualifier_at(words, span)))
    return tuple(mentions)
