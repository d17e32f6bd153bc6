"""The words of a Doc as a name list knows them: apostrophes closed up, hyphens open, punctuation remembered."""

from __future__ import annotations

from dataclasses import dataclass

from spacy.tokens import Doc

from earwitness.taxonomy.fold import spoken_key

_APOSTROPHES = ("'", "’")


@dataclass(frozen=True, slots=True)
class SpokenWord:
    """One word: tokens [start, end), its key, whether something parts it from the word before (a comma, a stop, another
    sentence), whether it stands first in its sentence, whether it is capitalised, and its key without a genitive s."""

    start: int
    end: int
    key: str
    parted: bool
    opens: bool
    capital: bool
    bare: str


def spoken_words(doc: Doc) -> list[SpokenWord]:
    """All words of the Doc in order."""
    words: list[SpokenWord] = []
    parted = True
    opens = True
    for token in doc:
        if token.is_sent_start:
            parted = opens = True
        if token.is_space:
            continue
        text = token.text
        glued = bool(words) and words[-1].end == token.i and not doc[token.i - 1].whitespace_
        # What spaCy takes apart without a blank ("crab's", "can|not", "gon|na") is one word to the ear; "10cm" is two.
        one_word = text.startswith(_APOSTROPHES) or (glued and text[0].isalpha() and words[-1].key.isalpha())
        if glued and not opens and one_word:
            last = words[-1]
            genitive = text.lower() in ("'s", "’s", "'", "’")
            words[-1] = SpokenWord(
                last.start,
                token.i + 1,
                last.key + spoken_key(text),
                last.parted,
                last.opens,
                last.capital,
                last.key if genitive else last.key + spoken_key(text),
            )
            continue
        key = spoken_key(text)
        if not key:
            # A hyphen joins, and so does the point of "cf." inside a sentence; everything else parts.
            inside = text == "." and token.i + 1 < len(doc) and not doc[token.i + 1].is_sent_start
            parted = parted or not (inside or text in ("-", "‐", "‑"))
            continue
        for part in key.split(" "):
            words.append(SpokenWord(token.i, token.i + 1, part, parted, opens, text[:1].isupper(), part))
            parted = opens = False
    return words
