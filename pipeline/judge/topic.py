"""What the talk is about from one sentence to the next: a question about kinds keeps it off the picture for a while.

"What lives in this mud?" - "Urchins, brittle stars, more isopods than you can count." and "Can octopuses hear?" - "No.
The octopuses feel it, though." claim no animal in sight. Whoever points ("look", "there", "on the left"), exclaims,
counts or logs is back at the picture.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from earwitness.pipeline.judge.cues import claim_words
from earwitness.pipeline.judge.judgement import Judgement
from earwitness.pipeline.judge.kinds import kind_words
from earwitness.pipeline.judge.sentence import Sentence

_SENTENCES = 8
"""Sentences that a question is answered in at most (common practice, no source)."""
_TURNS = 2
"""Utterances in which names may still be given (common practice, no source)."""
_OPENING = 4
"""Words that may stand before the word that asks (common practice, no source)."""
_ASKING = frozenset({"what", "who", "which", "whose", "would", "could", "if"})
_NO_NUMBERS = frozenset({"several", "few", "lots", "another", "this", "that", "these", "those"})
_FARTHEST = 60
"""Tokens of a sentence that are looked at: in captions without a full stop a sentence may never end."""


@dataclass(slots=True)
class Topic:
    """The question about kinds that the talk still answers.

    Args:
        left: sentences that it may still be answered in; 0 when the talk is of the picture.
        names: it asked for names of kinds, so that a list or a single name answers it.
        rows: of the checklist, the kinds it named.
        turns: utterances begun since it was put.
        answered: names were given.
    """

    left: int = 0
    names: bool = False
    rows: set[int] = field(default_factory=set)
    turns: int = 0
    answered: bool = False

    def begin_utterance(self) -> None:
        """Names answer in one utterance, soon: after it a bare name is a sighting again."""
        self.turns += 1
        self.names = self.names and not self.answered and self.turns <= _TURNS

    def follow(self, sentence: Sentence, numbers: list[int], judged: dict[int, Judgement], marked: bool) -> list[int]:
        """Mentions of a sentence that only answer; opens the topic at a question and closes it at the picture."""
        words = [word for _, word in claim_words(list(sentence.doc[sentence.start : _end(sentence)]))]
        if self._opens(sentence, words, numbers, judged, marked):
            return []
        if not self.left:
            return []
        if self._is_of_picture(sentence, words, judged, numbers):
            self.left = 0
            return []
        self.left -= 1
        answers = [n for place, n in enumerate(numbers) if self._answers(sentence, place, judged[n])]
        self.answered = self.answered or bool(answers)
        return answers

    def _opens(
        self, sentence: Sentence, words: list[str], numbers: list[int], judged: dict[int, Judgement], marked: bool
    ) -> bool:
        classes = kind_words(sentence.own)
        relayed = _holds(words, classes["relayed question"]) or _holds(words[:2], classes["question from"])
        rows = {m.best.row for m, n in zip(sentence.mentions, numbers, strict=True) if judged[n].status == "general"}
        asks = marked or any(word in _ASKING for word in words[:1])
        if not (asks or relayed):
            return False
        pointed = _holds(words, classes["of the picture"])
        names = not numbers and not pointed and _asks_for_kinds(words, classes)
        if not (rows or names or (relayed and not numbers and not pointed)):
            return False
        self.left, self.names, self.rows, self.turns, self.answered = _SENTENCES, names, rows, 0, False
        return True

    def _is_of_picture(
        self, sentence: Sentence, words: list[str], judged: dict[int, Judgement], numbers: list[int]
    ) -> bool:
        """Somebody points, exclaims, counts, or says "that is a"; or a bare name in the singular is logged."""
        classes = kind_words(sentence.own)
        if sentence.doc[sentence.end - 1].text.endswith("!"):
            return True
        opening = set(words[:2]) & classes["picture opener"]
        if sentence.stated or opening or _holds(words, classes["of the picture"]):
            return True
        if "demonstrative" in sentence.forms or any(_is_counted(sentence, place) for place in range(len(numbers))):
            return True
        return any(
            mention.start == sentence.start
            and mention.best.number != "plural"
            and form == "bare"
            and judged[n].status in ("observed", "hedged")
            and not self.names
            and len(words) <= len(mention.text.split()) + _OPENING
            for mention, form, n in zip(sentence.mentions, sentence.forms, numbers, strict=True)
        )

    def _answers(self, sentence: Sentence, place: int, judgement: Judgement) -> bool:
        if judgement.status not in ("observed", "hedged", "asked"):
            return False
        mention, form = sentence.mentions[place], sentence.forms[place]
        if mention.best.row in self.rows:
            return form != "demonstrative"
        if not self.names or form == "definite":
            return False
        listed = any(other.best.number == "plural" for other in sentence.mentions)
        return listed or (form == "indefinite" and mention.start - sentence.start <= _OPENING)


def _end(sentence: Sentence) -> int:
    return min(sentence.end, sentence.start + _FARTHEST)


def _holds(words: list[str], phrases: frozenset[str]) -> bool:
    """Whether one of the phrases, of at most three words, is among the words."""
    return any(
        " ".join(words[at : at + length]) in phrases
        for at in range(len(words))
        for length in (1, 2, 3)
        if at + length <= len(words)
    )


def _asks_for_kinds(words: list[str], classes: Mapping[str, frozenset[str]]) -> bool:
    """ "What lives down there", "who would eat that", "if you were an animal"."""
    return any(word in _ASKING for word in words[: 2 * _OPENING]) and _holds(words, classes["asks for kinds"])


def _is_counted(sentence: Sentence, place: int) -> bool:
    """ "Two squid", "squid, three of them", not "a squid"."""
    start, end = sentence.spans[place]
    first = max(start - 2, sentence.start)
    beside = [word for _, word in claim_words(list(sentence.doc[first:start]) + list(sentence.doc[end : end + 3]))]
    numbers = kind_words(sentence.own)["count"] - {
        "several",
        "few",
        "lots",
        "another",
        "this",
        "that",
        "these",
        "those",
    }
    return any(word in numbers or word.isdigit() for word in beside)
