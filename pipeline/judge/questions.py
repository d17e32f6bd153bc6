"""Whether a question offers a name ("is that a crab?") or takes the animal as known ("how big is that crab?")."""

from __future__ import annotations

from earwitness.pipeline.judge.rules import QUESTIONS
from earwitness.pipeline.judge.scope import ahead, behind
from earwitness.pipeline.judge.sentence import Sentence

_WH_WITHIN = 3
"""Words that may open a sentence before its wh-word ("and so how big"); common practice, no source."""


def is_asked(sentence: Sentence, number: int, marked: bool) -> bool:
    """Whether a mention is offered as a question.

    Args:
        number: of the mention in its sentence.
        marked: that the sentence ends in a question mark.
    """
    asking = any(cue.rule.category in QUESTIONS for cue in sentence.acting[number])
    if asking:
        return not _is_presupposed(sentence, number)
    if not marked or _has_tag(sentence, number) or _asks_for_detail(sentence, number):
        return False
    # "Did you get the crab?", "And that crab?" ask about what is known; "Did you see a crab?" does not.
    return sentence.forms[number] not in ("demonstrative", "definite")


def _has_tag(sentence: Sentence, number: int) -> bool:
    return any(
        cue.rule.category == "hedge" and cue.rule.direction == "backward" and cue.start >= sentence.spans[number][1]
        for cue in sentence.acting[number]
    )


def _asks_for_detail(sentence: Sentence, number: int) -> bool:
    """A sentence that opens with what, which or where, before the mention and without a comma between."""
    start = sentence.spans[number][0]
    for cue in sentence.cues:
        if cue.start >= start or cue.start - sentence.start > _WH_WITHIN:
            return False
        if cue.rule.category == "wh":
            offered = any(
                c.rule.category == "question" and cue.end <= c.start < start
                for c in sentence.cues_between(cue.end, start)
            )
            return not offered and sentence.doc[cue.end].text != ","
    return False


def _is_presupposed(sentence: Sentence, number: int) -> bool:
    """ "Is that crab dead", not "is that a crab": the name follows "that" at once, and something is asked of it."""
    mention = sentence.mentions[number]
    asked_of_it = any(
        cue.rule.category == "presupposed" and number in behind(cue, sentence.spans, sentence.walls)[:1]
        for cue in sentence.cues_between(mention.end, mention.end + 2 * _WH_WITHIN)
    )
    at_once = any(
        cue.rule.category == "question"
        and cue.rule.phrase[-1] in ("that", "this", "those", "these")
        and number in ahead(cue, sentence.spans, [])[:1]
        and sentence.forms[number] == "demonstrative"
        for cue in sentence.acting[number]
    )
    return asked_of_it and at_once and mention.start > sentence.start
