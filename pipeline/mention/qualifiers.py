"""Signs of open nomenclature said beside a name: "Leiopathes sp.", "Munida cf. sarsi"."""

from __future__ import annotations

from pathlib import Path

from earwitness.pipeline.mention.spans import Found
from earwitness.pipeline.mention.spoken_words import SpokenWord
from earwitness.pipeline.words import word_rows


def qualifier_at(words: list[SpokenWord], span: Found, own_words: Path | None = None) -> str | None:
    """The sign that goes with a mention, None where none was said; the longest one ("sp. indet.", not "sp.")."""
    for row in sorted(word_rows("qualifiers", own_words), key=lambda row: -len(row["phrase"].split())):
        phrase = row["phrase"].split()
        if row["place"] == "after":
            beside, parting = words[span.last : span.last + len(phrase)], span.last
        else:
            beside, parting = words[max(span.first - len(phrase), 0) : span.first], span.first
        if [word.key for word in beside] == phrase and not words[parting].parted:
            return row["sign"]
    return None
