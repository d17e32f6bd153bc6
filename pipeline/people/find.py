"""Names of people said aloud, found by how they are said: introduced, addressed, thanked, quoted, owning things.

In: a Doc, and the mentions found on it. Out: the names, whether or not they are names of animals too. Refuses to take
a word for a person's where the words around say an animal ("a shrimp on the fan"): a name is given up before an animal.

Two rounds. The first learns which words are names: those of speaker labels, and those said once in a way that only
names are ("thank you Limpet"; `words/people_frames.csv`). The second goes over every saying of them: a name that is
no other word is a person's unless the words around say an animal; one that is ("Robin", "Limpet") has to be said as a
name is said, or to have a capital where only names have one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from spacy.tokens import Doc

from earwitness.pipeline.mention import Mention
from earwitness.pipeline.people.evidence import (
    Talk,
    is_animal,
    is_called,
    is_everyday,
    is_given,
    is_longer_name,
    makes_known,
    may_be_name,
    may_be_taxon,
    stands_in_frame,
    talk_of,
)
from earwitness.pipeline.people.frames import frames_at
from earwitness.pipeline.people.labels import names_in_label, speaker_labels
from earwitness.pipeline.people.said_words import said_words

_LONGEST = 3
"""Words of a name at the most."""


@dataclass(frozen=True, slots=True)
class PersonName:
    """A person's name or nickname at tokens [start, end) of a Doc.

    Args:
        name: as written first, the same for every saying of it.
    """

    start: int
    end: int
    name: str


def find_people(
    doc: Doc, own_words: Path | None = None, mentions: Sequence[Mention] | None = None
) -> tuple[PersonName, ...]:
    """The names of people in a Doc, in order, never overlapping; those in speaker labels are known from the start.

    Args:
        doc: with sentences and speakers.
        own_words: folder with word lists of the user's own, named as ours are.
        mentions: of the same Doc; a word that names a taxon, too, has to show more to be taken for a person's name.
            None: not known, any word may name one.
    """
    words = said_words(doc)
    labels = [names_in_label(label, own_words) for label in speaker_labels(doc)]
    labelled = frozenset(name.lower() for names in labels for name in names)
    talk = talk_of(words, mentions, labelled, own_words)
    known: dict[str, str] = {name.lower(): name for names in labels for name in names}
    for first, last in _learned(talk):
        for word in words[first:last]:
            known.setdefault(word.key, doc[word.token].text)
    people = []
    for first, last in _sayings(talk, known):
        name = " ".join(known[word.key] for word in words[first:last])
        people.append(PersonName(words[first].token, words[last - 1].token + 1, name))
    return tuple(people)


def _learned(talk: Talk) -> Iterator[tuple[int, int]]:
    """Words that are said once as only names are said."""
    for first, last in _candidates(talk):
        if is_longer_name(talk, first, last):
            continue
        framed = frames_at(talk.words, first, last, talk.own)
        if is_called(talk, first, last) or any(makes_known(talk, first, frame) for frame in framed):
            yield first, last


def _candidates(talk: Talk) -> Iterator[tuple[int, int]]:
    """Runs of words that can be a name: of one word, or of several with capitals ("Maud Hale")."""
    words = talk.words
    at = 0
    while at < len(words):
        if not may_be_name(talk, at):
            at += 1
            continue
        last = at + 1
        # The capital of a sentence's first word tells nothing, unless the word is a name.
        runs = words[at].capital and (not words[at].opens or is_given(talk, at))
        while runs and last < len(words) and _goes_on(talk, last) and words[last].capital and may_be_name(talk, last):
            last += 1
        if last - at <= _LONGEST:
            yield at, last
        at = last


def _sayings(talk: Talk, known: dict[str, str]) -> Iterator[tuple[int, int]]:
    """Runs of known names that are a person here."""
    words = talk.words
    at = 0
    while at < len(words):
        if words[at].key not in known or not words[at].spelt:
            at += 1
            continue
        last = at + 1
        while last < len(words) and _goes_on(talk, last) and words[last].key in known and words[last].capital:
            last += 1
        if _is_person(talk, at, last):
            yield at, last
        at = last


def _goes_on(talk: Talk, at: int) -> bool:
    """Whether word `at` may be of one name with the word before it."""
    # "Maud Maud" is called twice.
    word = talk.words[at]
    return not word.opens and not word.parted and word.key != talk.words[at - 1].key


def _is_person(talk: Talk, first: int, last: int) -> bool:
    word = talk.words[first]
    if stands_in_frame(talk, first, last):
        return True
    if is_animal(talk, first, last) and may_be_taxon(talk, first, last):
        return False
    if not is_everyday(talk, first):
        return True
    return word.capital and not word.opens
