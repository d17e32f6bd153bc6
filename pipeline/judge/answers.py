"""Talk that goes on from talk: the answer to a question about kinds, and a bare name after a memory or a place afar.

"What eats krill?" - "Fish, squid, whales." claims no fish in sight; neither does "Grimpoteuthis." after "Last year we
had a dumbo octopus."
"""

from __future__ import annotations

from dataclasses import dataclass, field

from spacy.tokens import Doc

from earwitness.pipeline.judge.cues import claim_words
from earwitness.pipeline.judge.judgement import ActingCue, Judgement, Status
from earwitness.pipeline.judge.kinds import kind_words
from earwitness.pipeline.judge.sentence import Sentence
from earwitness.pipeline.judge.topic import Topic

_SPARE_WORDS = 3
"""Words besides names and list words that a list of kinds may have (common practice, no source)."""
_ASKS_FOR_NAMES = frozenset({"what", "who", "which"})
_ECHO_WORDS = 3
"""Words besides the name that an echo ("the dumbo octopus, you mean?") may have (common practice, no source)."""
_GOES_ON: frozenset[Status] = frozenset({"recalled", "elsewhere"})


@dataclass(slots=True)
class Thread:
    """What the talk was about when a sentence begins.

    Args:
        asked: a question about kinds was put in the utterance before.
        last: what the last mention was judged.
        here: that mention was made in this utterance.
        topic: the question about kinds that is still answered.
        echoed: number of a name that the sentence before only gave back as a question ("the dumbo octopus?").
    """

    asked: bool = False
    last: Judgement | None = None
    here: bool = False
    topic: Topic = field(default_factory=Topic)
    echoed: int | None = None

    def continued(
        self, doc: Doc, sentence: Sentence, numbers: list[int], judged: dict[int, Judgement], *, marked: bool
    ) -> None:
        """Judge anew the mentions of a sentence that only goes on from what was said before."""
        for n in self.topic.follow(sentence, numbers, judged, marked):
            judged[n] = _goes_on(doc, sentence, "general", "answered a question about kinds")
        self._place_echoed(doc, sentence, judged)
        self.echoed = numbers[0] if marked and self._is_echo(doc, sentence) else None
        if not numbers:
            return
        if all(judged[n].status in ("observed", "hedged") for n in numbers):
            if self.asked and _is_list(doc, sentence):
                for n in numbers:
                    judged[n] = _goes_on(doc, sentence, "general", "answered a question about kinds")
            elif self.last and self.last.status in _GOES_ON and self._is_named_again(doc, sentence):
                for n in numbers:
                    judged[n] = _goes_on(doc, sentence, self.last.status, "went on from what was said before")
        self.last, self.here = judged[numbers[-1]], True

    def _place_echoed(self, doc: Doc, sentence: Sentence, judged: dict[int, Judgement]) -> None:
        """ "The dumbo octopus? That one lives in another ocean.": the pronoun stands for the name given back."""
        if self.echoed is None or sentence.mentions:
            return
        opens = set(_others(doc, sentence)[:1]) & kind_words(sentence.own)["stands for a name"]
        if opens and any(cue.rule.category == "elsewhere" for cue in sentence.cues):
            judged[self.echoed] = _goes_on(doc, sentence, "elsewhere", "put it out of view")

    @staticmethod
    def _is_echo(doc: Doc, sentence: Sentence) -> bool:
        named = len(sentence.mentions) == 1 and sentence.forms[0] in ("definite", "bare")
        return named and len(_others(doc, sentence)) <= _ECHO_WORDS

    def _is_named_again(self, doc: Doc, sentence: Sentence) -> bool:
        """A Latin name and hardly a word more, of the same breath, or with a "yes" behind it in answer."""
        if len(sentence.mentions) != 1 or sentence.mentions[0].best.number or sentence.forms[0] != "bare":
            return False
        fragment = kind_words(sentence.own)["fragment"]
        agreed = [word for _, word in claim_words(list(doc[sentence.spans[0][1] : sentence.end]))][:1]
        opens = sentence.spans[0][0] == sentence.start and agreed in (["yes"], ["yeah"], ["right"], ["exactly"])
        return opens or (self.here and set(_others(doc, sentence)) <= fragment)


def asks_about_kinds(sentence: Sentence, numbers: list[int], judged: dict[int, Judgement], *, marked: bool) -> bool:
    """Whether a sentence asks about kinds: "what eats krill?", "are corals plants"."""
    of_kind = any(judged[n].status == "general" for n in numbers)
    opened = any(cue.rule.category in ("wh", "question") and cue.start - sentence.start <= 1 for cue in sentence.cues)
    return of_kind and (marked or opened) and bool(_ASKS_FOR_NAMES & set(_others(sentence.doc, sentence)))


def _others(doc: Doc, sentence: Sentence) -> list[str]:
    inside = {i for start, end in sentence.spans for i in range(start, end)}
    return [word for i, word in claim_words(list(doc[sentence.start : sentence.end])) if i not in inside]


def _is_list(doc: Doc, sentence: Sentence) -> bool:
    """A list of kinds and nothing else: two names or more, one of them in the plural, none pointed at or counted."""
    if len(sentence.mentions) < 2 or not any(mention.best.number == "plural" for mention in sentence.mentions):
        return False
    if any(form in ("demonstrative", "definite") for form in sentence.forms):
        return False
    classes = kind_words(sentence.own)
    others = [word for word in _others(doc, sentence) if word not in classes["list"]]
    return len(others) <= _SPARE_WORDS and not set(others) & (classes["here"] | classes["count"])


def _goes_on(doc: Doc, sentence: Sentence, status: Status, did: str) -> Judgement:
    words = doc[sentence.start : sentence.end].text
    cue = ActingCue(sentence.start, sentence.end, words, "continuation", did, "")
    return Judgement(status, None, None, (words,), acting=(cue,))
