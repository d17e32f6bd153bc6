"""How many: the count said beside a mention.

In: a Doc, a sentence and the place of a name in it. Out: the count that was said, None where nothing was.
A number that measures, names or dates something counts no animal.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.settle.numbers import number_at
from earwitness.pipeline.settle.quantities import (
    ADJECTIVES,
    BARE_UP_TO,
    Quantity,
    collectives,
    count_words,
    counts_parts,
    modifiers_in,
    quantities_in,
    spoken,
)
from earwitness.pipeline.settle.roles import words_for
from earwitness.pipeline.settle.sighting import Count

_REACH = 24
"""Words on either side of a name among which its count is looked for."""
_SHORTLY = 60
"""Tokens back to where a measure was said that is read back."""
_PARTS = 7
"""Parts between commas in which a count may follow a name."""
ONE = Count("1", "exact")
MORE_THAN_ONE = Count("many", "abundance")
"""What a plural without a number says."""


@dataclass(frozen=True, slots=True)
class CountBeside:
    """A count said with a mention.

    Args:
        count: the count.
        numbered: a number stood in front of the name ("three comatulids").
        implied: only the noun or its determiner says it ("a crab", "crabs").
    """

    count: Count
    numbered: bool
    implied: bool = False


def count_beside(
    doc: Doc, sentence: Span, start: int, end: int, blocked: set[int], own: Path | None = None
) -> CountBeside | None:
    """The count said with the mention at tokens [start, end) of a sentence.

    `blocked` are the tokens of other mentions: a count never reaches over one.
    """
    first = max(sentence.start, start - 2 * _REACH)
    before = _until_blocked(range(start - 1, first - 1, -1), blocked)[::-1]
    after = _until_blocked(range(end, min(sentence.end, end + 2 * _REACH)), blocked)
    if after and after[-1] + 1 < sentence.end:
        after = _not_of_the_next(doc, after, own)
    # What stands between two names is said of the first, unless it stands right before the second.
    found = _in_front(doc, before, own, alone=bool(before) and before[0] == first)
    if found is None or found.implied or not found.numbered or found.count == ONE:
        behind = _behind(doc, after, own)
        if behind and (found is None or found.implied or behind.numbered or found.count == ONE):
            found = CountBeside(behind.count, bool(found and found.numbered))
    return found


def said_with(beside: CountBeside | None, number: str, noun: str = "", own: Path | None = None) -> CountBeside | None:
    """The count said with a mention, or what the number of its noun says ("singular", "plural" or "").

    "That" before a plural does not make it one; Latin names, and a `noun` like "fish", say nothing by themselves.
    """
    implied = None if noun in count_words("mass", own) else {"singular": ONE, "plural": MORE_THAN_ONE}.get(number)
    if implied and (beside is None or (beside.implied and beside.count == ONE)):
        return CountBeside(implied, False, implied=True)
    return beside


def is_a_measure(doc: Doc, start: int, beside: CountBeside | None, own: Path | None = None) -> bool:
    """Whether a number read back was said with a unit shortly before: "nine centimetres wide", "Cidaris, nine"."""
    if beside is None or beside.implied or not beside.count.quantity.isdecimal() or beside.count == ONE:
        return False
    _, words = spoken(doc, max(start - _SHORTLY, 0), start)
    numbers = [number_at(words, at) for at in range(len(words))]
    units = count_words("unit", own)
    return any(
        number.value == int(beside.count.quantity) and not units.isdisjoint(words[number.last : number.last + 1])
        for number in numbers
        if number
    )


def settled(held: CountBeside | None, said: CountBeside | None, alone: bool = False) -> CountBeside | None:
    """Which of two counts of the same animals stands.

    A number stands over a word like "many", that over what a noun implies, and among equals the first; a number said
    `alone` ("No, three.") is an answer or a correction, and stands over any.
    """
    if said is None or held is None:
        return held or said
    if alone and _weight(said) >= 3:
        return said if _weight(said) >= _weight(held) or said.count.kind != "abundance" else held
    return said if _weight(said) > _weight(held) else held


def _weight(beside: CountBeside) -> int:
    if beside.implied:
        return 1 if beside.count == ONE else 2
    if beside.count == ONE or beside.count.kind == "abundance":
        return 3
    return 4


def _until_blocked(tokens: range, blocked: set[int]) -> list[int]:
    free = []
    for i in tokens:
        if i in blocked:
            break
        free.append(i)
    return free


def _not_of_the_next(doc: Doc, tokens: list[int], own: Path | None) -> list[int]:
    """Tokens between two names without those that speak of the second: "a crab [and many] sponges"."""
    links = count_words("link", own)
    end = len(tokens)
    while end and not (doc[tokens[end - 1]].is_punct or doc[tokens[end - 1]].lower_ in links):
        end -= 1
    if end and modifiers_in([doc[i].lower_ for i in tokens[end - 1 :]]) >= {0}:
        # "Fifty or so": no link.
        return tokens
    return tokens[: max(end - 1, 0)]


def parts_of(doc: Doc, tokens: list[int]) -> list[list[str]]:
    """The words of the tokens, parted where there is punctuation; the first and the last part may be empty."""
    parts: list[list[str]] = []
    begin = tokens[0] if tokens else 0
    for i in tokens:
        if doc[i].is_punct and doc[i].text not in ("-", "%", "'"):
            parts.append(spoken(doc, begin, i)[1])
            begin = i + 1
    if tokens:
        parts.append(spoken(doc, begin, tokens[-1] + 1)[1])
    return parts


def _in_front(doc: Doc, tokens: list[int], own: Path | None, alone: bool) -> CountBeside | None:
    """A count just before the name, with nothing but adjectives between, or set off by a comma.

    `alone`: no other name stands before it.
    """
    parts = parts_of(doc, tokens)
    if not parts:
        return None
    words = parts[-1][-_REACH:]
    counters, breaks = count_words("counter", own), count_words("break", own)
    if len(words) > 1 and words[-1] == "of" and words[-2] in counters:
        # "Three colonies of Narella", "a colony of hydroids".
        words = words[:-2]
    for quantity in reversed(quantities_in(words, own)):
        between = words[quantity.last :]
        if quantity.number and len(between) <= ADJECTIVES and not breaks & set(between):
            return CountBeside(quantity.count, True)
        if not quantity.number and len(between) <= 2:
            return CountBeside(quantity.count, False)
    determined = count_words("one", own) & set(words)
    # A number in front of a comma may count something else: "sample one, Thouarella".
    if alone and len(parts) > 1 and not determined:
        # "Those whelks on the rim, three, are Phymorhynchus."
        bare = set(words) <= words_for("being", own) and (
            len(parts) < 3 or not set(parts[-3][-1:]) & count_words("lead", own)
        )
        if said := whole(parts[-2], own, bare):
            return said
    if _says_several(words, own):
        return CountBeside(MORE_THAN_ONE, False, implied=True)
    leads = count_words("lead", own)
    near = range(max(len(words) - ADJECTIVES - 1, 0), len(words))
    places = [i for i in near if words[i] in count_words("one", own) and not (i and words[i - 1] in leads)]
    if places and not breaks & set(words[places[-1] + 1 :]):
        return CountBeside(ONE, False, implied=True)
    return None


def whole(words: list[str], own: Path | None, bare: bool = False) -> CountBeside | None:
    """The count of a part between commas that says it and little else: "three colonies", "fourth colony", "solo".

    `bare`: also of a number by itself ("two, three, crabs").
    """
    counters = count_words("counter", own)
    for at, word in enumerate(words[:3]):
        if _is_ordinal(word, own) and words[at + 1 : at + 2] and words[at + 1] in counters:
            return CountBeside(ONE, False)
    found = quantities_in(words, own)
    if not found:
        return None
    along, beside = count_words("along", own), modifiers_in(words, own)
    if not all(word in along or i in beside for i, word in enumerate(words[: found[0].first])):
        return None
    rest = words[found[-1].last :]
    counted = bool(rest) and (rest[0] in counters or rest[0] == "of")
    if rest and not (counted or all(word in along for word in rest)):
        return None
    # One number by itself may be of anything; with a counter, a modifier or in words it is of animals.
    if not rest and found[-1].number and not found[-1].stated and not bare:
        return None
    return CountBeside(found[-1].count, found[-1].number)


def _is_ordinal(word: str, own: Path | None) -> bool:
    return word in count_words("ordinal", own) or (word[:-2].isdecimal() and word[-2:] in ("st", "nd", "rd", "th"))


def _says_several(words: list[str], own: Path | None) -> bool:
    """ "The black ones are probably", "are those", "these": a plural before a name that has no number of its own."""
    near = words[-ADJECTIVES:]
    if near and near[-1] in ("these", "those", "they"):
        return True
    for back, word in enumerate(reversed(near), start=1):
        if word in ("are", "were"):
            subject = words[: len(words) - back][-1:]
            between = words[len(words) - back + 1 :]
            return not set(subject + between) & (count_words("not us", own) | count_words("one", own))
    return False


def _behind(doc: Doc, tokens: list[int], own: Path | None) -> CountBeside | None:
    """ "Crinoids, two, on the fan", "flatfish, twenty of them", "mussel bed", "snails everywhere"."""
    parts = parts_of(doc, tokens)[:_PARTS]
    if not parts:
        return None
    attached = parts[0]
    if attached and attached[0] in collectives(own) and attached[1:2] != ["of"]:
        return CountBeside(Count(collectives(own)[attached[0]], "abundance"), False)
    found: CountBeside | None = None
    before: list[str] = []
    for place, words in enumerate(parts):
        if counts_parts(words, own):
            # "Four spots, I count, well, three."
            break
        here = None if set(before) & count_words("lead", own) else _in_part(words, place, len(parts) == 1, own)
        if here and (found is None or (here.numbered and (found.numbered or found.count.kind == "abundance"))):
            # "Two, three of them", "two, no, three", "everywhere, a hundred or so": the last of them counts.
            found = here
        elif found and words and not set(words) <= count_words("along", own):
            break
        before = words[-1:]
    return found


def _in_part(words: list[str], place: int, unparted: bool, own: Path | None) -> CountBeside | None:
    for quantity in quantities_in(words, own):
        if _counts_behind(words, quantity, place, unparted, own):
            return CountBeside(quantity.count, quantity.number)
    return None


def _counts_behind(words: list[str], quantity: Quantity, place: int, unparted: bool, own: Path | None) -> bool:
    """Whether a quantity in the part `place` behind a name (0: with no comma between) counts the animal named."""
    counters, goes_on = count_words("counter", own), count_words("goes on", own)
    beside = modifiers_in(words, own)
    lead = {word for i, word in enumerate(words[: quantity.first]) if i not in beside} - count_words("leads in", own)
    rest = words[quantity.last :]
    counted = bool(rest) and (rest[0] in counters or rest[:1] == ["of"])
    if lead:
        # Without punctuation: "a school of alfonsino above the vehicle say thirty".
        return place == 0 and unparted and quantity.number and quantity.stated and not rest
    if rest and not counted and rest[0] not in goes_on:
        return False
    if not quantity.number:
        # "Lots of legs" is of something else than "lots of them".
        return words[quantity.last - 1] not in ("of", "in", "with") or bool(rest)
    if quantity.count == ONE:
        alone = not rest and (place > 0 or (unparted and quantity.last == len(words)))
        return counted or alone or words[quantity.first : quantity.last] != ["one"]
    small = int(quantity.count.quantity) < BARE_UP_TO
    return counted or quantity.stated or small
