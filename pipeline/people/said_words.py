"""A Doc comes in, its words as a name is recognised by them go out: spoken forms, capitals, and what parts them."""

from __future__ import annotations

from dataclasses import dataclass

from spacy.tokens import Doc

OWNER = "'s"
"""The word that a genitive s, or a shortened "is", is taken for."""
_SPOKEN_IN_FULL = {
    "'s": OWNER,
    "’s": OWNER,
    "s": OWNER,
    "'m": "am",
    "’m": "am",
    "m": "am",
    "'re": "are",
    "’re": "are",
    "'ve": "have",
    "’ve": "have",
    "'ll": "will",
    "’ll": "will",
    "n't": "not",
    "n’t": "not",
}
_LEAST_CAPITALS = 0.02
"""Share of words with a capital from which capitals tell a name; fewer are a raw caption's (a choice)."""
_MOST_SHOUTED = 0.6
"""Share of words in capitals throughout from which capitals tell nothing (a choice)."""


@dataclass(frozen=True, slots=True)
class SaidWord:
    """One word of the talk.

    Args:
        token: its token.
        key: as spoken, in small letters, without points.
        capital: it is capitalised, in a text where that means something.
        spelt: it is made of letters alone, as a name is.
        opens, closes: it stands first, or last, in its sentence.
        parted: a comma or the like stands between the word before and this one.
    """

    token: int
    key: str
    capital: bool
    spelt: bool
    opens: bool
    closes: bool
    parted: bool


def said_words(doc: Doc) -> list[SaidWord]:
    """The words of a Doc in order."""
    spelt = [token.text for token in doc if token.text[:1].isalpha()]
    capitals = sum(text[0].isupper() for text in spelt)
    longer = [text for text in spelt if len(text) > 1]
    shouted = sum(text.isupper() for text in longer)
    telling = capitals >= _LEAST_CAPITALS * len(spelt) and shouted <= _MOST_SHOUTED * len(longer)
    found: list[tuple[int, str, bool, bool]] = []
    parted, opens = False, True
    for token in doc:
        opens = opens or bool(token.is_sent_start)
        key = _key(doc, token.i)
        if not key:
            parted = parted or not (token.is_space or token.text in ("-", "‐", "‑"))
            continue
        found.append((token.i, key, opens, parted))
        parted = opens = False
    return [
        SaidWord(
            at,
            key,
            telling and doc[at].text[0].isupper(),
            all(c.isalpha() or c in "'’-" for c in doc[at].text) and doc[at].text[0].isalpha() and len(key) > 1,
            opens,
            place + 1 == len(found) or found[place + 1][2],
            parted,
        )
        for place, (at, key, opens, parted) in enumerate(found)
    ]


def _key(doc: Doc, at: int) -> str:
    text = doc[at].lower_
    if text in _SPOKEN_IN_FULL:
        return _SPOKEN_IN_FULL[text]
    if text in ("'", "’") and at and not doc[at - 1].whitespace_ and doc[at - 1].lower_.endswith("s"):
        return OWNER
    return text.strip(".'’").replace("’", "'") if any(c.isalnum() for c in text) else ""
