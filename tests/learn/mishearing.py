"""A dive's script as a recogniser might have written it down: no speakers, bent names, a few words wrong, other stops.

The kinds of error are those of `shared/misheard`; their shares are choices. Names are bent by how they are spelt, so
that what is learned of the words around a name holds where the name itself was not understood.
"""

from __future__ import annotations

import random
import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein
from wordfreq import top_n_list, zipf_frequency

from tests.learn.pairs import pairs
from tests.unseen.build import Script, Utterance

BENT, LOST = 0.35, 0.12
"""Share of names that are bent, and of those that nothing is left of."""
WRONG, DROPPED, OTHER_STOP = 0.03, 0.02, 0.15
"""Share of words that are taken for another, or left out, and of stops that become commas."""
RARE = 2.6
"""Zipf frequency under which a word of a name is bent: a recogniser knows the others. A choice."""
_SPELT = (
    ("ph", "f"), ("ae", "e"), ("oe", "e"), ("ch", "k"), ("y", "i"), ("x", "z"), ("th", "t"), ("ii", "i"),
    ("ei", "i"), ("eu", "u"), ("ll", "l"), ("ss", "s"), ("nn", "n"), ("c", "k"), ("us", "is"), ("a", "er"), ("o", "a"),
)  # fmt: skip
_WORD = re.compile(r"\w+(?:'\w+)*")
_PIECE = re.compile(r"\w+(?:'\w+)*|[.?!](?=\s+\w)")


def misheard(script: Script) -> Script:
    """The script with other words; gold mentions keep their meaning. The same script gives the same words."""
    chance = random.Random(script.dive)
    return replace(script, utterances=[_turn(turn, chance) for turn in script.utterances])


def _turn(turn: Utterance, chance: random.Random) -> Utterance:
    text, gold, at = "", [], 0
    for mention in turn.gold:
        begin = turn.text.index(mention["verbatim"], at)
        text += _talk(turn.text[at:begin], chance)
        at = begin + len(mention["verbatim"])
        heard = _name(mention, chance)
        gold.append({**mention, "verbatim": heard})
        text += heard
    return replace(turn, text=text + _talk(turn.text[at:], chance), gold=gold)


def _talk(text: str, chance: random.Random) -> str:
    def heard(found: re.Match[str]) -> str:
        said, draw = found.group(), chance.random()
        if said in ".?!":
            return "," if draw < OTHER_STOP else said
        if draw < DROPPED and len(said) < 4:
            return ""
        return _like(said, chance) if draw < WRONG + DROPPED and len(said) > 2 else said

    return _PIECE.sub(heard, text)


def _name(mention: Mapping[str, Any], chance: random.Random) -> str:
    said: str = mention["verbatim"]
    draw = chance.random()
    if mention["kind"] != "sighting" or draw > BENT + LOST:
        return said
    rare = [word for word in _WORD.findall(said) if zipf_frequency(word, "en") < RARE]
    if not rare:
        return said
    if draw < LOST:
        # What became of some other name.
        return re.sub(r"[^\w' ]", " ", chance.choice(_heard_spans())).strip()
    return _WORD.sub(lambda found: _bent(found.group(), chance) if found.group() in rare else found.group(), said)


def _bent(word: str, chance: random.Random) -> str:
    for was, becomes in chance.sample(_SPELT, 6):
        word = word.replace(was, becomes, 1)
    if len(word) > 7 and chance.random() < 0.5:
        cut = chance.randrange(3, len(word) - 2)
        word = f"{word[:cut]} {word[cut:]}"
    return word


@cache
def _heard_spans() -> tuple[str, ...]:
    return tuple(pair.heard for pair in pairs() if pair.kind != "vernacular")


@cache
def _neighbours(word: str) -> tuple[str, ...]:
    found = process.extract(word, top_n_list("en", 6000), scorer=Levenshtein.distance, score_cutoff=2, limit=6)
    return tuple(other for other, *_ in found if other != word)


def _like(word: str, chance: random.Random) -> str:
    """A common word that is written much like it."""
    return chance.choice(_neighbours(word.lower()) or (word,))
