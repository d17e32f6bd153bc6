"""Sex, life stage, behaviour, vitality, colour, position and habitat: phrases of the word lists, said of somebody."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal, get_args

from earwitness.pipeline.describe.owner import Owners
from earwitness.pipeline.describe.stretch import Found, Stretch, closed_words, with_role
from earwitness.pipeline.settle.numbers import number_at
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table

Attribute = Literal["sex", "lifeStage", "behavior", "vitality", "colour", "position", "habitat"]
ATTRIBUTES: tuple[Attribute, ...] = get_args(Attribute)
VITALITIES = ("", "alive", "dead", "mixedLot", "uncertain")
_LISTS: Mapping[str, Attribute | None] = {
    "sexes_and_stages": None,
    "behaviours": "behavior",
    "vitality": "vitality",
    "colours": "colour",
    "positions": "position",
    "habitats": "habitat",
}
"""What a list speaks of; None where each row says it."""
_FOLLOW_THEIR_SUBJECT = frozenset({"behavior", "position", "habitat"})
_ADJECTIVES = frozenset({"sex", "lifeStage", "vitality", "colour"})
_VEHICLE_BEFORE = 3
_LONGEST_PHRASE = 6


@dataclass(frozen=True, slots=True)
class Trait:
    """What is said at words [first, last) of a stretch: an attribute and its term."""

    first: int
    last: int
    attribute: Attribute
    term: str


@cache
def _table(name: str, own: Path | None) -> Phrases:
    """A word list, its closed columns checked; a row without a term is a phrase that says nothing of an animal."""
    for row in word_rows(name, own):
        if name == "sexes_and_stages":
            row.one_of("attribute", ("sex", "lifeStage"))
        elif name == "vitality":
            row.one_of("term", VITALITIES)
        elif name == "behaviours":
            row.one_of("needs", ("", "subject"))
        elif name == "colours":
            row.one_of("role", ("", "colour", "shade", "morph"))
    return phrase_table(name, own=own)


@cache
def _things(own: Path | None) -> Phrases:
    """Ground, litter and other phrases of several words that name no animal: what is said in them is said of them."""
    tables = (phrase_table("substrates", own=own), phrase_table("not_names", own=own))
    said = {*phrase_table("vitality", own=own), *phrase_table("habitats", own=own)}
    return {words: row for table in tables for words, row in table.items() if len(words) > 1 and words not in said}


def things_in(stretch: Stretch) -> set[int]:
    """The words of a stretch that are the ground, litter and the like."""
    return {i for found in stretch.phrases(_things(stretch.own)) for i in range(found.first, found.last)}


def traits_in(stretch: Stretch) -> list[Trait]:
    """The traits that the words of a stretch say, whoever they are said of, in order."""
    things = things_in(stretch)
    traits: list[Trait] = []
    for name in _LISTS:
        # "Whale fall" may hold the name of an animal; other traits are never part of a name.
        taken = things if name == "habitats" else things | stretch.in_name
        found = [f for f in stretch.phrases(_table(name, stretch.own)) if not taken & set(range(f.first, f.last))]
        traits += _colours(found) if name == "colours" else [t for f in found if (t := _trait(name, f))]
    return sorted(traits, key=lambda trait: (trait.first, trait.last))


def _trait(name: str, found: Found) -> Trait | None:
    attribute = _LISTS[name] or ("sex" if found.row["attribute"] == "sex" else "lifeStage")
    return Trait(found.first, found.last, attribute, found.row["term"]) if found.row["term"] else None


def _colours(found: list[Found]) -> list[Trait]:
    """Colours with the shade before them and the morph behind: "deep red", "white morph"."""
    traits: list[Trait] = []
    for place, one in enumerate(found):
        if one.row["role"] != "colour":
            continue
        first, last, term = one.first, one.last, one.row["term"]
        before = found[place - 1] if place else None
        if before and before.last == first and before.row["role"] == "shade":
            first, term = before.first, f"{before.row['term']} {term}"
        elif before and before.last == first and before.row["term"] in ("pale", "dark"):
            traits.pop()
            first, term = before.first, f"{before.row['term']} {term}"
        after = found[place + 1] if place + 1 < len(found) else None
        if after and after.first == last and after.row["role"] == "morph":
            last, term = after.last, f"{term} {after.row['term']}"
        traits.append(Trait(first, last, "colour", term))
    return traits


def bridges(stretch: Stretch, spans: list[tuple[int, int]]) -> set[int]:
    """The words "and" and "or" with something said on either side: "red and white", "dead and covered"."""
    begins, ends = {first for first, _ in spans}, {last for _, last in spans}
    return {i for i in ends if i + 1 in begins and stretch.words[i : i + 1] in (["and"], ["or"], ["to"])}


def owned_traits(stretch: Stretch, owners: Owners, traits: list[Trait]) -> list[tuple[int, Trait]]:
    """The traits that are asserted, each with the sighting it is said of."""
    owned = []
    for trait in traits:
        needed = _row_needs_subject(trait, stretch)
        owner = owners.of(trait.first, trait.last, after_subject=trait.attribute in _FOLLOW_THEIR_SUBJECT)
        if owner.sighting is None or not stretch.asserts(trait.first):
            continue
        if not owner.attributive and not stands_alone(stretch, trait):
            continue
        if trait.attribute == "behavior" and (owner.person or (needed and not owner.by_subject)):
            continue
        if trait.attribute == "habitat" and not stretch.named and not _is_its_place(stretch, owners, trait):
            continue
        if trait.attribute == "position" and _steered(stretch, trait):
            continue
        owned.append((owner.sighting, _hedged(stretch, trait)))
        if trait.term == "brooding" and _has(stretch, "she", trait.first - 6, trait.last + 4):
            # "He" and "she" alone say nothing of sex: people call any crab "he". Eggs make it meant.
            owned.append((owner.sighting, Trait(trait.first, trait.last, "sex", "female")))
    return owned


def _row_needs_subject(trait: Trait, stretch: Stretch) -> bool:
    if trait.attribute != "behavior":
        return False
    return _table("behaviours", stretch.own)[tuple(stretch.words[trait.first : trait.last])]["needs"] == "subject"


def stands_alone(stretch: Stretch, trait: Trait) -> bool:
    """Whether an adjective is said of the animal, not of the noun behind it: "it is white", not "white smoke"."""
    words, after = stretch.words, trait.last
    if trait.attribute not in _ADJECTIVES or after >= len(words) or stretch.parted[after]:
        return True
    if after in stretch.in_name or words[after].endswith("ing") or number_at(words[after : after + 1], 0):
        return True
    return words[after] in closed_words(stretch.own) or _begins_trait(stretch, after)


def _begins_trait(stretch: Stretch, at: int) -> bool:
    """Whether another trait begins at a word: "white dead ..."."""
    run = stretch.words[at : at + _LONGEST_PHRASE]
    return any(tuple(run[:size]) in _table(name, stretch.own) for name in _LISTS for size in range(1, len(run) + 1))


def _steered(stretch: Stretch, trait: Trait) -> bool:
    """Whether a direction is one to steer by or to swim in, not a place on the picture."""
    before = stretch.words[max(trait.first - 1, 0) : trait.first]
    goes = stretch.words[trait.first] == "to" and bool(before) and before[0].endswith("ing")
    return goes or _has(stretch, "steering", trait.first - _VEHICLE_BEFORE, trait.first)


def _has(stretch: Stretch, role: str, first: int, last: int) -> bool:
    """Whether one of the pointers of a role stands among words [first, last)."""
    table = with_role("pointers", role, stretch.own)
    return any((word,) in table for word in stretch.words[max(first, 0) : last])


def _is_its_place(stretch: Stretch, owners: Owners, trait: Trait) -> bool:
    """In a sentence without a name: "It's on the reef", "In a crevice."; "reef ahead" says where the vehicle goes."""
    breaks = phrase_table("breaks", own=stretch.own)
    opens = breaks.get((stretch.words[trait.first],))
    return owners.pointer_before(trait.first) or (trait.first == 0 and opens is not None and opens["strength"] == "2")


def _hedged(stretch: Stretch, trait: Trait) -> Trait:
    """ "Dead, I think" is not known to be dead."""
    if trait.attribute == "vitality" and trait.term == "dead" and stretch.hedged(trait.first, trait.last):
        return Trait(trait.first, trait.last, "vitality", "uncertain")
    return trait
