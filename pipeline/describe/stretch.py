"""A sentence as the describe stage reads it: its words, the names among them, and what parts one from another."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Literal

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge.cues import claim_cues, words_of
from earwitness.pipeline.judge.judgement import Status
from earwitness.pipeline.words import WordRow, word_rows
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in

Asks = Literal["", "whether", "what"]
NONE, LIGHT, LINK, CLAUSE = 0, 1, 2, 3
"""How much parts two words: nothing; a determiner or a comma; a preposition; a new clause ("and", "here is")."""
_TALK = frozenset({"general", "recalled", "elsewhere"})
_DENIES = frozenset({"negation", "absence"})
_DENIAL_REACH = 4
_UNASSERTED_REACH = 6
_SIMILE_REACH = 3
_CLAUSE_MARKS = frozenset({";", ".", "!", "?"})
_ALONE = (("no",), ("never",), ("none",))


@dataclass(frozen=True, slots=True)
class Named:
    """A mention at words [first, last) of a stretch; `sighting` is None where it speaks of no animal on the screen."""

    first: int
    last: int
    sighting: int | None
    status: Status


@dataclass(frozen=True, slots=True)
class Found:
    """A phrase of a word list at words [first, last)."""

    first: int
    last: int
    row: WordRow


class Stretch:
    """One sentence.

    Attributes:
        words: spoken forms, contractions in full.
        parted: of each word, whether a comma or another mark stands before it.
        named: the mentions, in order.
        asks: "whether" for a question that says nothing ("is it dead?"), "what" for one that takes all but its answer
            as known ("what is that white thing on the left?").
        is_talk: the sentence speaks of the kind of animal, or of another time or place.
    """

    def __init__(self, doc: Doc, sentence: Span, named: list[tuple[int, int, int | None, Status]], own: Path | None):
        self.doc, self.start, self.end, self.own = doc, sentence.start, sentence.end, own
        self.tokens, self.words = words_of(doc, sentence.start, sentence.end)
        self._vocabulary = set(self.words)
        self.parted, self._hard = self._marks()
        places = [(self.place(start), self.place(end), sighting, status) for start, end, sighting, status in named]
        self.named = tuple(Named(first, last, sighting, status) for first, last, sighting, status in places)
        self.in_name = {i for name in self.named for i in range(name.first, name.last)}
        self.named = self._with_places()
        self._last_break: tuple[list[int], ...] = ()
        self._claims = [
            (self.place(cue.start), self.place(cue.end), cue.rule.category, cue.rule.phrase)
            for cue in claim_cues(doc, sentence.start, sentence.end, own)
        ]
        self.asks = self._question(sentence)
        self.is_talk = any(category in _TALK for _, _, category, _ in self._claims)
        self._denied, self._open = self._denied_words(), self._unasserted_words()
        similes = [end for _, end, category, _ in self._claims if category == "simile"]
        self._likened = {i for end in similes for i in range(end, end + _SIMILE_REACH)}

    def place(self, token: int) -> int:
        """The first word at or behind a token of the Doc."""
        return bisect_left(self.tokens, token)

    def text(self, first: int, last: int) -> str:
        """Words [first, last) as written."""
        return self.doc[self.tokens[first] : self.tokens[last - 1] + 1].text

    def phrases(self, table: Phrases) -> list[Found]:
        """Phrases of a word list, longest first; none runs over a mark."""
        if self._vocabulary.isdisjoint(_first_words(table)):
            return []
        heads = [i for i, parted in enumerate(self.parted) if parted or i == 0]
        found = []
        for head, end in pairwise([*heads, len(self.words)]):
            found += [Found(head + a, head + b, row) for a, b, row in phrases_in(self.words[head:end], table)]
        return found

    def part_by(self, bridged: set[int]) -> None:
        """Take note of what parts the words; an "and" among `bridged` parts nothing ("red and white")."""
        strength = [LIGHT if parted else NONE for parted in self.parted]
        for i in self._hard:
            strength[i] = CLAUSE
        for found in self.phrases(_breaks(self.own)):
            for i in range(found.first, found.last):
                if i not in bridged and i not in self.in_name:
                    strength[i] = max(strength[i], int(found.row["strength"]))
        layers = []
        for level in (LIGHT, LINK, CLAUSE):
            last, at = [], -1
            for i, value in enumerate(strength):
                at = i if value >= level else at
                last.append(at)
            layers.append(last)
        self._last_break = tuple(layers)

    def parting(self, first: int, last: int) -> int:
        """What parts words before `first` from those from `last` on: the strongest of words [first, last), and of a
        mark before `last`."""
        if last <= first:
            return LIGHT if first < len(self.parted) and last == first and self.parted[first] else NONE
        found = max((n + 1 for n, layer in enumerate(self._last_break) if layer[last - 1] >= first), default=NONE)
        at_end = last < len(self.parted) and self.parted[last]
        return max(found, LIGHT if at_end else NONE)

    def asserts(self, word: int, reach: int = _DENIAL_REACH, similes: bool = True) -> bool:
        """Whether what begins at a word is said to be so: not asked, not wished for, no simile, and not denied within
        `reach` words before it."""
        if self.asks == "whether" or word in self._open or (similes and word in self._likened):
            return False
        near = self._denied.get(word)
        return near is None or near > reach

    def hedged(self, first: int, last: int) -> bool:
        """Whether a hedge stands within a few words of words [first, last)."""
        return any(
            category == "hedge" and begin < last + _DENIAL_REACH and end > first - _DENIAL_REACH
            for begin, end, category, _ in self._claims
        )

    def _with_places(self) -> tuple[Named, ...]:
        """The names, with litter among them: it is no animal, but what is said beside it is said of it. A name that
        is part of a habitat ("whale fall") is none."""
        litter = [
            Named(found.first, found.last, None, "elsewhere")
            for found in self.phrases(_litter(self.own))
            if not self.in_name & set(range(found.first, found.last))
        ]
        habitats = [f for f in self.phrases(phrase_table("habitats", own=self.own)) if f.last - f.first > 1]
        held = {i for found in habitats for i in range(found.first, found.last)}
        names = [replace(name, sighting=None) if name.first in held else name for name in self.named]
        return tuple(sorted((*names, *litter), key=lambda name: name.first))

    def _marks(self) -> tuple[list[bool], list[int]]:
        parted, hard = [], []
        for i, token in enumerate(self.tokens):
            before = self.tokens[i - 1] + 1 if i else self.start
            marks = {t.text for t in self.doc[before:token] if not t.is_space and t.text not in ("-", "'", '"')}
            parted.append(bool(marks) and i > 0)
            if i and marks & _CLAUSE_MARKS:
                hard.append(i)
        return parted, hard

    def _question(self, sentence: Span) -> Asks:
        begin = next((c for c in self._claims if c[2] in ("wh", "question")), None)
        opens = begin is not None and begin[0] <= 1
        if opens and begin is not None and begin[2] == "wh":
            return "what"
        if sentence.text.rstrip().endswith("?"):
            return "whether"
        return "whether" if opens and not self.named else ""

    def _denied_words(self) -> dict[int, int]:
        """Words within reach of a denial in front of them, with how far (in words) it is."""
        denied: dict[int, int] = {}
        openers = _openers(self.own)
        for begin, end, category, phrase in self._claims:
            if category not in _DENIES or end >= len(self.words):
                continue
            answers = phrase in _ALONE and (self.parted[end] or self.words[end] in openers)
            if answers or (phrase[0] == "no" and any(self.parted[begin + 1 : end])):
                continue  # a "no" that answers somebody
            for distance, i in enumerate(range(end, min(end + 2 * _DENIAL_REACH, len(self.words))), start=1):
                if self.parted[i] or self.words[i] in ("but", "and", "because", "so"):
                    break
                denied[i] = min(distance, denied.get(i, distance))
        return denied

    def _unasserted_words(self) -> set[int]:
        """Words that an "if", a wish or talk about the kind has within reach."""
        reached: set[int] = set()
        for found in self.phrases(_unasserted(self.own)):
            for i in range(found.last, min(found.last + _UNASSERTED_REACH, len(self.words))):
                if self.parted[i] or self.words[i] == "but":
                    break
                reached.add(i)
        return reached


@cache
def _breaks(own: Path | None) -> Phrases:
    for row in word_rows("breaks", own):
        row.one_of("strength", ("1", "2", "3"))
    return phrase_table("breaks", own=own)


@cache
def _openers(own: Path | None) -> frozenset[str]:
    return frozenset(row["word"] for row in word_rows("clause_openers", own))


_FIRST_WORDS: dict[int, tuple[Phrases, frozenset[str]]] = {}


def _first_words(table: Phrases) -> frozenset[str]:
    """The words that phrases of a table begin with; tables are made once and kept, so they are known by identity."""
    kept = _FIRST_WORDS.get(id(table))
    if kept is None or kept[0] is not table:
        kept = (table, frozenset(words[0] for words in table))
        _FIRST_WORDS[id(table)] = kept
    return kept[1]


@cache
def _litter(own: Path | None) -> Phrases:
    return {words: row for words, row in phrase_table("substrates", own=own).items() if row["substrate"] == "litter"}


@cache
def _unasserted(own: Path | None) -> Phrases:
    return phrase_table("unasserted", own=own)


@cache
def with_role(name: str, role: str, own: Path | None = None) -> Phrases:
    """The rows of a word list whose column `role` (roles joined by |) has this one, by the words of their phrases."""
    return {words: row for words, row in phrase_table(name, own=own).items() if role in row["role"].split("|")}


@cache
def closed_words(own: Path | None) -> frozenset[str]:
    """Words that are no noun: before one of them an adjective or a length stands alone ("it is white I think")."""
    words = {row["word"] for row in word_rows("after_traits", own)} | {row["word"] for row in word_rows("neighbours")}
    return frozenset(words)
