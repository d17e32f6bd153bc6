"""What tells a person's name from an animal's: capitals, lists of names, names of taxa, and the words around."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Literal

from wordfreq import zipf_frequency

from earwitness.pipeline.mention import Mention
from earwitness.pipeline.people.frames import Frame, Strength, frames_at
from earwitness.pipeline.people.labels import given_names, never_names
from earwitness.pipeline.people.said_words import OWNER, SaidWord
from earwitness.pipeline.words import word_rows

_ORDINARY = 3.3
"""Zipf frequency from which a word that stands where a name may stand is taken for itself ("deck", "bridge": 4.4 and
4.8; "maud", "iver": 3.0 and 2.7). A choice, not learned."""
_ENGLISH = 2.0
"""Zipf frequency from which a word is English at all ("limpet" 2.3), not only a genus ("nerine" 1.6). A choice."""
_LATIN = 1.5
"""Zipf frequency below which a word with a Latin ending is an epithet. A choice."""
_LATIN_ENDINGS = ("a", "us", "um", "is", "i", "ae", "ensis", "ens", "ans", "e", "es", "ii", "oides", "ops", "x")
_LONGEST_SIGN = 3

_PLACES = ("before", "near", "after")
"""Where a sign of an animal stands: "near" before it, and of no weight where a name is said as names are."""

TaxonSense = Literal["", "heard", "vernacular", "latin", "longer"]
"""What a word is part of: no mention; a mention read by its sound; a vernacular; a Latin name; a name of more words."""


@dataclass(frozen=True, slots=True)
class Talk:
    """The words of one recording, what each is part of among the mentions, and names that are known from labels.

    `taxa_known` is False where mentions were not looked for.
    """

    words: Sequence[SaidWord]
    senses: Sequence[TaxonSense]
    labelled: frozenset[str]
    own: Path | None
    taxa_known: bool
    given: dict[str, bool] = field(default_factory=dict)


def talk_of(
    words: Sequence[SaidWord], mentions: Sequence[Mention] | None, labelled: frozenset[str], own: Path | None
) -> Talk:
    """Tie words to mentions; None: nobody has looked for any."""
    places = {word.token: place for place, word in enumerate(words)}
    senses: list[TaxonSense] = [""] * len(words)
    for mention in mentions or ():
        inside = [places[token] for token in range(mention.start, mention.end) if token in places]
        named = [place for place in inside if words[place].key != OWNER]
        best = mention.best
        sense: TaxonSense = "vernacular" if best.matched[:1].islower() else "latin"
        if best.how == "similar":
            sense = "heard"
        elif len(named) > 1:
            sense = "longer"
        for place in named:
            senses[place] = sense
    return Talk(words, senses, labelled, own, mentions is not None, given_names(own))


def may_be_name(talk: Talk, at: int) -> bool:
    """Whether a word can be a name where one may stand."""
    word = talk.words[at]
    if not word.spelt or talk.senses[at] == "longer":
        return False
    inside = word.capital and not word.opens
    return word.key not in never_names(talk.own) or (inside and is_given(talk, at)) or word.key in talk.labelled


def is_given(talk: Talk, at: int) -> bool:
    """Whether a word is known as a name before anything is said."""
    return talk.words[at].key in talk.given or talk.words[at].key in talk.labelled


def is_everyday(talk: Talk, at: int) -> bool:
    """Whether a word means something else as well, so that each saying of it has to show that it is a name."""
    key, sense = talk.words[at].key, talk.senses[at]
    if key in talk.given and not talk.given[key]:
        return False
    if sense == "vernacular" or talk.given.get(key, False):
        return True
    frequency = zipf_frequency(key, "en")
    if key in talk.labelled:
        return sense != "" and frequency >= _ENGLISH
    return sense in ("latin", "heard") or frequency >= _ORDINARY


def makes_known(talk: Talk, first: int, frame: Frame) -> bool:
    """Whether a name said in this frame is known from then on."""
    if not frame.before and is_counted(talk, first):
        return False
    word, sense = talk.words[first], talk.senses[first]
    inside = word.capital and not word.opens
    given = is_given(talk, first)
    strength: Strength = frame.capitals if word.capital else frame.raw
    if strength == "sure":
        rare = not sense and zipf_frequency(word.key, "en") < _ORDINARY
        return inside or given or sense == "vernacular" or rare
    if strength == "proper":
        return given or (inside and sense not in ("latin", "heard"))
    if strength == "likely":
        # Without a capital, an everyday word has to be spoken to as only people are ("could you").
        personal = frame.kind == "introduced" or (not frame.before and sense != "vernacular")
        return given and (word.capital or personal or not is_everyday(talk, first))
    return given and not sense and not is_everyday(talk, first)


def is_longer_name(talk: Talk, first: int, last: int) -> bool:
    """Whether words [first, last) are part of a name of more words ("sea robin", "Doris verrucosa")."""
    return "longer" in talk.senses[first:last] or _is_binomial(talk, last)


def may_be_taxon(talk: Talk, first: int, last: int) -> bool:
    """Whether words [first, last) name a taxon, as far as is known."""
    return any(talk.senses[first:last]) or not talk.taxa_known or _is_binomial(talk, last)


def is_counted(talk: Talk, first: int) -> bool:
    """Whether a determiner, a number or an adjective stands before word `first`, which no name has."""
    return _sign_before(talk, first, ("before",))


def is_animal(talk: Talk, first: int, last: int) -> bool:
    """Whether the words around say that words [first, last) are an animal."""
    return is_longer_name(talk, first, last) or _sign_before(talk, first, ("before", "near")) or _sign_after(talk, last)


def _is_binomial(talk: Talk, last: int) -> bool:
    words = talk.words
    if last >= len(words) or words[last].opens or words[last].parted or words[last].capital or not words[last].spelt:
        return False
    key = words[last].key
    return key.endswith(_LATIN_ENDINGS) and key not in talk.given and zipf_frequency(key, "en") < _LATIN


@cache
def _signs(place: str, own: Path | None) -> frozenset[tuple[str, ...]]:
    rows = [row for row in word_rows("people_or_animals", own) if row.one_of("place", _PLACES) == place]
    return frozenset(tuple(row["phrase"].lower().split()) for row in rows)


def _sign_before(talk: Talk, first: int, places: Sequence[str]) -> bool:
    phrase: tuple[str, ...] = ()
    at = first
    while at > 0 and len(phrase) < _LONGEST_SIGN and not (talk.words[at].opens or talk.words[at].parted):
        at -= 1
        key = talk.words[at].key
        phrase = ("is" if key == OWNER else key, *phrase)
        if phrase[0].isdecimal() or any(phrase in _signs(place, talk.own) for place in places):
            return True
    return False


def _sign_after(talk: Talk, last: int) -> bool:
    phrase: tuple[str, ...] = ()
    for word in talk.words[last : last + _LONGEST_SIGN]:
        if word.opens:
            break
        phrase = (*phrase, word.key)
        if phrase in _signs("after", talk.own):
            return True
    return False


def stands_in_frame(talk: Talk, first: int, last: int) -> bool:
    """Whether words [first, last), a known name, are said as a person's name is said."""
    if is_longer_name(talk, first, last):
        return False
    everyday = is_everyday(talk, first)
    for frame in frames_at(talk.words, first, last, talk.own):
        strength = frame.capitals if talk.words[first].capital else frame.raw
        telling = frame.capitals in ("sure", "proper") or (strength == "likely" and not frame.before)
        if strength != "faint" and (telling or not everyday) and (frame.before or not is_counted(talk, first)):
            return True
    return False


def is_called(talk: Talk, first: int, last: int) -> bool:
    """Whether a given name that names no taxon is set off by commas or the ends of its sentence."""
    words = talk.words
    if not words[first].capital or not is_given(talk, first) or any(talk.senses[first:last]):
        return False
    if is_everyday(talk, first):
        return False
    ends = last == len(words) or words[last].opens or words[last].parted
    return ends and (words[first].parted or (words[first].opens and last < len(words) and words[last].parted))
