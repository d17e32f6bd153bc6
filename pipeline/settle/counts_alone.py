"""How many: said alone in a short answer ("About twenty."), or ahead of the name ("Third colony.").

In: a Doc and a sentence without a name. Out: the count that was said, None where nothing was.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.settle.counts import MORE_THAN_ONE, ONE, CountBeside, parts_of, whole
from earwitness.pipeline.settle.pointing import places
from earwitness.pipeline.settle.quantities import (
    ADJECTIVES,
    BARE_UP_TO,
    Quantity,
    collectives,
    count_words,
    counts_parts,
    modifiers_in,
    of_them,
    quantities_in,
    spoken,
)
from earwitness.pipeline.settle.roles import words_for
from earwitness.pipeline.settle.sentences import sentence_at
from earwitness.pipeline.settle.sighting import Count
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table

_LOOK_BACK = 6
_SHORT = 4
"""Words of an answer; a talk of numbers ("Four. Five. No, four.") is made of such sentences."""
_ASKED_WITHIN = 6
"""Last words of a sentence that ask for another number."""
_PLACE = 6
"""Words of a place behind a number."""
_ASIDE = 2
"""Words of a part that may stand before what counts: "White ones, plural, there's four"."""
_PARTICIPLES = ("ed", "ing")
_VERB = 5
"""Letters of a participle: "stacked", and not "red"."""
_FAR = 48
"""Words of a sentence that are looked at."""


def count_alone(doc: Doc, sentence: Span, own: Path | None = None) -> Count | None:
    """The count in a sentence that says nothing else: "About twenty.", "So three of them.", "Two. No three."."""
    parts = _opening_parts(doc, sentence)
    words = [word for part in parts for word in part]
    found = quantities_in(words, own) or _by_part(parts, own)
    if sentence.text.rstrip().endswith("?"):
        # "Four?": whoever asks has not counted.
        return None
    if not found:
        return None if set(words) & count_words("ahead", own) else _of_collective(words, own)
    last = found[-1]
    lead = next((n for n, part in enumerate(parts) if len(part) > _ASIDE), len(parts))
    apart = next((said for part in parts[1 : lead + 1] if (said := _there_in(part, own))), None)
    if there := _there_are(words, found[0], own) or apart:
        # "It ought to have two barbels. There are three.": barbels.
        return None if found[0].number and last.last == len(words) and _speaks_of_parts(doc, sentence, own) else there
    if _is_of_them(words, found[0], own) or _one_more_seen(parts, own):
        return found[0].count
    if aloud := _counted_aloud(parts, own):
        return aloud
    if words[max(last.first - 1, 0) : last.first] == ["so"] and last.number and of_them(words, last.last, own):
        # "Two pairs of eyes, so two of them."
        return last.count
    if last.last == len(words) and words[max(last.first - 2, 0) : last.first] in (["that", "is"], ["that", "makes"]):
        return last.count
    if _opens_with_number(parts, own) and not _taken_down(parts, own) and not _answers_another(doc, sentence, own):
        return found[0].count
    if _taken_down(parts, own) or (words[:1] == ["both"] and "of" not in words):
        return None
    if len(parts) > 1 and len(parts[-1]) <= 2 and not quantities_in(parts[-1], own):
        # "About a hundred in this frame, Pia."
        words = words[: -len(parts[-1])]
    covered = {i for quantity in found for i in range(quantity.first, quantity.last)} | modifiers_in(words, own)
    along = count_words("along", own) | count_words("counter", own)
    if any(i not in covered and word not in along for i, word in enumerate(words)):
        return None
    bare = last.number and not last.stated and not count_words("counter", own) & set(words) and "of" not in words
    return None if bare and _answers_another(doc, sentence, own) else last.count


def count_announced(doc: Doc, sentence: Span, own: Path | None = None) -> CountBeside | None:
    """What a sentence without a name says of the animal named next, where it counts none named before.

    "Third colony, spiral.", "Three colonies ahead.", "Reef framework.", "The white ones.".
    """
    parts = _opening_parts(doc, sentence)
    words = parts[0] if parts else []
    if count_words("counter", own) & set(words) and (said := whole(words, own)):
        return said
    for part in parts[:2]:
        # "On its rim, seven feathery animals", "three stout bodies under the frame".
        if said := _counted_bodies(part, own):
            return said
    collective = _of_collective(words, own)
    if collective:
        return CountBeside(collective, False)
    head = _head_noun(words, count_words("several", own) | count_words("counter", own), own)
    return CountBeside(MORE_THAN_ONE, False, implied=True) if head in count_words("several", own) else None


def _counted_bodies(words: list[str], own: Path | None) -> CountBeside | None:
    """A number with adjectives and a noun that stands for any animal, where a part opens with it."""
    several = count_words("several", own) & count_words("counter", own)
    for quantity in quantities_in(words, own)[:1]:
        opening = words[: quantity.first]
        noun = next((at for at, w in enumerate(words[quantity.last :]) if w in several), None)
        between = words[quantity.last : quantity.last + (noun or 0)]
        plain = set(opening) <= count_words("along", own) and not set(between) & count_words("break", own)
        if quantity.number and noun is not None and noun <= ADJECTIVES and plain:
            return CountBeside(quantity.count, True)
    return None


def _opening_parts(doc: Doc, sentence: Span) -> list[list[str]]:
    """The parts of a sentence that have words."""
    return [part for part in parts_of(doc, list(range(sentence.start, min(sentence.end, sentence.start + 48)))) if part]


def _taken_down(parts: list[list[str]], own: Path | None) -> bool:
    """Whether a number said by somebody else is written down: "Five it is.", "Three, noted."."""
    return parts[-1][-2:] == ["it", "is"] or set(parts[-1]) <= count_words("echo", own)


def _is_of_them(words: list[str], quantity: Quantity, own: Path | None) -> bool:
    """Whether a sentence opens with so many "of them" and says nothing of a part: "Twenty of them on the wall."."""
    opening = {word for i, word in enumerate(words[: quantity.first]) if i not in modifiers_in(words, own)}
    opening -= count_words("along", own) | count_words("one", own)
    opens = not opening
    if not quantity.number and not opens:
        # "A living thicket of it", "there is a whole cloud of them".
        opens = len(opening) <= ADJECTIVES and not opening & count_words("no head", own)
    rest = words[quantity.last :]
    them = rest[1:2] if rest[:1] == ["of"] else rest[:1] if words[quantity.last - 1] == "of" else []
    pronoun = (bool(them) and them[0] in ("them", "those", "these", "it")) or of_them(rest, 0, own)
    return opens and pronoun and not set(rest) & count_words("held", own)


def _by_part(parts: list[list[str]], own: Path | None) -> list[Quantity]:
    """The quantities of each part, where together they make none: "Five, one's behind" is no fifty-one."""
    found: list[Quantity] = []
    place = 0
    for part in parts:
        found += [replace(q, first=q.first + place, last=q.last + place) for q in quantities_in(part, own)]
        place += len(part)
    return found


def _there_in(words: list[str], own: Path | None) -> Count | None:
    """What a part of a sentence says of how many there are: "White ones, plural, there's four stacked up"."""
    found = quantities_in(words, own)
    return _there_are(words, found[0], own) if len(found) == 1 else None


def _there_are(words: list[str], quantity: Quantity, own: Path | None) -> Count | None:
    """ "There must be forty on that boulder", "I count six along the wall": so many, and a place or nothing behind."""
    lead, rest, count = words[: quantity.first], words[quantity.last :], quantity.count
    beside = modifiers_in(lead, own)
    opening = [word for i, word in enumerate(lead) if i not in beside and word not in words_for("opening", own)]
    row = _leads(own).get(tuple(opening))
    place = not rest or (rest[0] in count_words("goes on", own) and rest[0] not in ("each", "per", "both", "it"))
    place = place or (len(rest[0]) >= _VERB and rest[0].endswith(_PARTICIPLES))
    if row is None or not place or count == ONE or not (quantity.number or rest):
        return None
    round_number = count.quantity.isdecimal() and int(count.quantity) % 10 == 0
    return Count(count.quantity, "about") if row["kind"] and count.kind == "exact" and round_number else count


@cache
def _leads(own: Path | None) -> Phrases:
    """What leads to a count; "about" where it makes a round number a guess ("there must be forty")."""
    for row in word_rows("there_are", own):
        row.one_of("kind", ("", "about"))
    return phrase_table("there_are", own=own)


def _opens_with_number(parts: list[list[str]], own: Path | None) -> bool:
    """ "Three, and one is huge.", "Twelve on this side.": a number of more than one that a comma or a place follows."""
    numbers = quantities_in(parts[0], own)
    if len(numbers) != 1 or not numbers[0].number or numbers[0].count == ONE:
        return False
    if any(quantity.count != ONE for part in parts[1:] for quantity in quantities_in(part, own)):
        # "Ten, eleven, a dozen.": the last one counts.
        return False
    lead, rest = parts[0][: numbers[0].first], parts[0][numbers[0].last :]
    if lead and not set(lead) <= count_words("along", own):
        return False
    if not rest:
        return len(parts) > 1 and (numbers[0].stated or int(numbers[0].count.quantity) < BARE_UP_TO)
    place = (rest[0],) in places(own) and len(rest) <= _PLACE
    return place and not set(rest) & (count_words("held", own) | count_words("lead", own))


def _counted_aloud(parts: list[list[str]], own: Path | None) -> Count | None:
    """ "One, two, three, with the one that's open.": the last of the numbers that open a sentence by themselves."""
    counted: list[Quantity] = []
    for part in parts:
        found = quantities_in([word for word in part if word not in words_for("hesitation", own)], own)
        if len(found) != 1 or not found[0].number or (found[0].first, found[0].last) != (0, len(part)):
            break
        counted += found
    values = [int(quantity.count.quantity) for quantity in counted]
    rises = len(values) > 1 and all(a < b for a, b in pairwise(values))
    rest = [word for part in parts[len(counted) :] for word in part]
    plain = all(quantity.count == ONE for quantity in quantities_in(rest, own))
    return counted[-1].count if rises and rest and plain and values[-1] < BARE_UP_TO else None


def _one_more_seen(parts: list[list[str]], own: Path | None) -> bool:
    """ "Three, there's one hiding at the back.": a number by itself, and behind the comma the one that makes it so."""
    numbers = quantities_in(parts[0], own)
    alone = len(numbers) == 1 and numbers[0].number and (numbers[0].first, numbers[0].last) == (0, len(parts[0]))
    behind = [word for part in parts[1:] for word in part]
    return alone and bool({"one", "another"} & set(behind)) and bool({"there", "another", "see"} & set(behind))


def _of_collective(words: list[str], own: Path | None) -> Count | None:
    """ "A big bed.", "Reef framework ahead.": a sentence of one noun that says many of something."""
    head = _head_noun(words, frozenset(collectives(own)), own)
    return Count(collectives(own)[head], "abundance") if head in collectives(own) else None


def _head_noun(words: list[str], nouns: frozenset[str], own: Path | None) -> str | None:
    """The noun of a sentence that is a noun with its adjectives and perhaps a place: "worms in the hot bit"."""
    for at, word in enumerate(words[: ADJECTIVES + 2]):
        if word in count_words("no head", own):
            return None
        if word in nouns:
            rest = words[at + 1 :]
            ends = not rest or rest[0] in count_words("goes on", own) | count_words("ahead", own)
            return word if ends else None
    return None


def _answers_another(doc: Doc, sentence: Span, own: Path | None) -> bool:
    """Whether a bare number answers what asks for another number: "That's a highlight." "Five."."""
    end = sentence.start
    for _ in range(_LOOK_BACK):
        while end and doc[end - 1].is_space:
            end -= 1
        if end == 0:
            return False
        before = sentence_at(doc, end - 1)
        _, words = spoken(doc, before.start, before.end)
        if (
            set(words[-_ASKED_WITHIN:]) & count_words("lead", own)
            or _asks_for_a_measure(words[-_ASKED_WITHIN:], before, own)
            or counts_parts(words, own)
        ):
            return True
        if len(words) > _SHORT:
            return False
        end = before.start
    return False


def _asks_for_a_measure(words: list[str], sentence: Span, own: Path | None) -> bool:
    """ "How tall is it?", "in lasers"; but "the tall one" asks for nothing."""
    asking = set(words) & count_words("asks", own)
    asked = "how" in words or sentence.text.rstrip().endswith("?") or words[-1:] in [[word] for word in asking]
    return bool(asking) and (asked or bool(asking & count_words("unit", own)))


def _speaks_of_parts(doc: Doc, sentence: Span, own: Path | None) -> bool:
    """Whether the sentence before counts parts of a body, and no animal."""
    end = sentence.start
    while end and doc[end - 1].is_space:
        end -= 1
    if end == 0:
        return False
    before = sentence_at(doc, end - 1)
    _, words = spoken(doc, before.start, min(before.end, before.start + _FAR))
    return counts_parts(words, own)
