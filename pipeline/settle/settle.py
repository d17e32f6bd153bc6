"""Mentions joined into sightings, in the order of the talk."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.judge.judgement import PLAIN_STATEMENT, TALK_ONLY
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.segment import UTTERANCES, times_of
from earwitness.pipeline.settle.counts import MORE_THAN_ONE, ONE, CountBeside, count_alone, count_beside
from earwitness.pipeline.settle.sighting import Count, Sighting
from earwitness.pipeline.settle.standing import (
    TAKEN_AS_STANDING,
    Open,
    agree,
    group_word,
    join,
    related,
    retract,
    retreat_to_rank,
    same_word,
    shared_group,
)
from earwitness.pipeline.settle.turns import Turn, nameless_turn, opening_turn
from earwitness.taxonomy import Checklist

_ADDING = {"and", "with", "plus"}


@dataclass(frozen=True, slots=True)
class SettleSettings:
    """How long (s) talk about one animal may pause. Common practice, no source: a look lasts less than a minute.

    Args:
        same_taxon: a mention of the same name, or of its genus, joins if the last one is not longer ago.
        group_word: a group word for a finer name (or the other way round).
        replacement: a name for an animal whose only name was just refused.
        answer: an answer, a correction or an alternative to the sighting just spoken of.
    """

    same_taxon: float = 30.0
    group_word: float = 15.0
    replacement: float = 4.0
    answer: float = 10.0


def settle(
    doc: Doc,
    mentions: tuple[Mention, ...],
    judgements: tuple[Judgement, ...],
    checklist: Checklist,
    settings: SettleSettings | None = None,
    own_words: Path | None = None,
) -> tuple[Sighting, ...]:
    """Join the mentions of a Doc into sightings, ordered by their first mention.

    Talk that is of no animal on the screen (similes, general talk, other times and places) makes no sighting, and
    neither does a name that was only denied. `own_words` is a folder with the user's own word lists.
    """
    return _Settling(doc, mentions, judgements, checklist, settings or SettleSettings(), own_words).run()


class _Settling:
    def __init__(
        self,
        doc: Doc,
        mentions: tuple[Mention, ...],
        judgements: tuple[Judgement, ...],
        checklist: Checklist,
        settings: SettleSettings,
        own_words: Path | None,
    ):
        self.doc, self.mentions, self.judgements = doc, mentions, judgements
        self.checklist, self.settings, self.own = checklist, settings, own_words
        self.starts = times_of(doc).start
        self.utterances = list(doc.spans[UTTERANCES])
        self.open: list[Open] = []
        self.current: Open | None = None
        self.stated_up_to = 0

    def run(self) -> tuple[Sighting, ...]:
        by_sentence: dict[int, list[int]] = {}
        for number, mention in enumerate(self.mentions):
            by_sentence.setdefault(self.doc[mention.start].sent.start, []).append(number)
        for utterance in self.doc.spans[UTTERANCES]:
            for sentence in utterance.sents:
                here = by_sentence.get(sentence.start, [])
                for number in here:
                    self._take(utterance, sentence, number, here)
                if not here:
                    self._take_nameless(sentence)
        return tuple(self._close(sighting) for sighting in self.open if not sighting.withdrawn)

    def _take(self, utterance: Span, sentence: Span, number: int, here: list[int]) -> None:
        mention, judgement = self.mentions[number], self.judgements[number]
        if judgement.status in TALK_ONLY:
            return
        now = float(self.starts[mention.start])
        turn = opening_turn(self.doc, max(utterance.start, self.stated_up_to), mention.start, mention.end, self.own)
        if judgement.status == "denied":
            target = self._fitting(mention, now)
            # "No fish in view" takes back nothing that was stated; it answers what was asked.
            if target and not (judgement.absent and target.certainty >= TAKEN_AS_STANDING):
                retract(self.checklist, target, number, mention.best.row)
            return
        blocked = {i for n in here if n != number for i in range(self.mentions[n].start, self.mentions[n].end)}
        count = count_beside(self.doc, sentence, mention.start, mention.end, blocked, self.own)
        sighting = self.current if self._lists(number) else self._home(number, turn, count, now)
        if sighting is None or not any(step.row == mention.best.row for step in sighting.steps):
            # A name that was offered before uses up no "no": "No, Umbellula is shorter. This is Anthoptilum."
            self.stated_up_to = mention.end
        if sighting is None:
            sighting = self._start(number, now)
        else:
            join(self.checklist, sighting, number, mention, judgement, turn)
            sighting.last_time = now
        self.current = sighting
        self._count(sighting, _said(count, mention))

    def _take_nameless(self, sentence: Span) -> None:
        """A sentence without a name speaks of the animal just named: a count, a yes, a retreat to a rank."""
        now = float(self.starts[sentence.start])
        sighting = self._just_spoken_of(now)
        if sighting is None:
            return
        turn = nameless_turn(self.doc, sentence, self.own)
        if turn.refuses:
            self._refuse(sighting, sentence)
        elif turn.rank:
            retreat_to_rank(self.checklist, sighting, turn.rank)
        elif turn.agrees:
            agree(sighting, PLAIN_STATEMENT, self.judgements[sighting.mentions[-1]].status == "asked")
        self._count(sighting, count_alone(self.doc, sentence, self.own), replaces=True)

    def _refuse(self, sighting: Open, sentence: Span) -> None:
        """A bare "No." right behind an offer takes it back."""
        number = sighting.mentions[-1]
        mention, status = self.mentions[number], self.judgements[number].status
        if status in ("asked", "hedged") and self.doc[mention.start].sent.end == sentence.start:
            retract(self.checklist, sighting, number, mention.best.row)

    def _start(self, number: int, now: float) -> Open:
        mention, judgement = self.mentions[number], self.judgements[number]
        certainty = judgement.certainty or 0.0
        sighting = Open(mention.best.row, number, certainty, mention.qualifier, [number], [], now)
        sighting.note(mention.best.row, number, "named", certainty)
        sighting.words |= group_word(self.checklist, mention.best)
        self.open.append(sighting)
        return sighting

    def _home(self, number: int, turn: Turn, count: CountBeside | None, now: float) -> Open | None:
        """The open sighting that a mention speaks of, None for a new one."""
        mention, judgement = self.mentions[number], self.judgements[number]
        row = mention.best.row
        recent = self._just_spoken_of(now)
        if recent and (turn.corrects or (recent.withdrawn and now - recent.last_time <= self.settings.replacement)):
            return recent
        if turn.new:
            return None
        fitting = self._fitting(mention, now)
        if fitting and count and count.numbered and fitting.numbered and not self._same_utterance(fitting, mention):
            # "Three comatulids." after "One crinoid.": a number at the head of a turn counts other animals.
            return None
        if fitting:
            return fitting
        if recent and judgement.status == "asked" and _speaks_of_it(judgement):
            return recent
        offered = turn.alternative or (judgement.status in ("hedged", "asked") and not self._is_added(number))
        if recent and offered and shared_group(self.checklist, recent.row, row) is not None:
            return recent
        return None

    def _lists(self, number: int) -> bool:
        """Whether a mention goes on a list of alternatives: "A. boucheti, kojimai, strummeri", "Walteria or ..."."""
        if not number or self.current is None or self.current.mentions[-1] != number - 1:
            return False
        before, mention = self.mentions[number - 1], self.mentions[number]
        between = [t.lower_ for t in self.doc[before.end : mention.start] if not t.is_punct]
        same_sentence = self.doc[before.start].sent.start == self.doc[mention.start].sent.start
        group = shared_group(self.checklist, before.best.row, mention.best.row)
        if not same_sentence or group is None or group in (before.best.row, mention.best.row):
            return False
        narrow = self.checklist.taxon(group).rank in ("genus", "subgenus", "subfamily", "family")
        return between == ["or"] or (not between and narrow)

    def _is_added(self, number: int) -> bool:
        """Whether a mention stands beside the one before it: "a crab and a shrimp, I think" are two animals."""
        before, mention = self.mentions[max(number - 1, 0)], self.mentions[number]
        between = {t.lower_ for t in self.doc[before.end : mention.start]}
        return self.doc[before.start].sent.start == self.doc[mention.start].sent.start and bool(between & _ADDING)

    def _same_utterance(self, sighting: Open, mention: Mention) -> bool:
        last = self.mentions[sighting.mentions[-1]].start
        return any(
            u.start <= last and mention.start < u.end for u in self.utterances if u.start <= mention.start < u.end
        )

    def _fitting(self, mention: Mention, now: float) -> Open | None:
        """The latest sighting not too long ago whose name holds this one or is held by it."""
        row = mention.best.row
        for sighting in sorted(self.open, key=lambda s: -s.last_time):
            called_so = row in sighting.offers or any(step.row == row for step in sighting.steps)
            if not (
                called_so
                or related(self.checklist, sighting.row, row)
                or same_word(self.checklist, sighting, mention.best)
            ):
                continue
            same = sighting.row == row or self.checklist.taxon(row).rank in ("genus", "species")
            patience = self.settings.same_taxon if same else self.settings.group_word
            if now - sighting.last_time <= patience:
                return sighting
        return None

    def _just_spoken_of(self, now: float) -> Open | None:
        if self.current and now - self.current.last_time <= self.settings.answer:
            return self.current
        return None

    def _count(self, sighting: Open, count: Count | None, replaces: bool = False) -> None:
        """A number said later replaces "one" or a bare word, and a number said alone replaces any."""
        weak = sighting.count is None or sighting.count == ONE or sighting.count.kind == "abundance"
        if count and (replaces or weak) and not (sighting.count and count in (ONE, MORE_THAN_ONE)):
            sighting.count = count
            sighting.numbered = sighting.numbered or count.kind != "abundance"

    def _close(self, sighting: Open) -> Sighting:
        first = min(self.mentions[n].start for n in sighting.mentions)
        last = max(self.mentions[n].end for n in sighting.mentions)
        return Sighting(
            tuple(sighting.mentions),
            first,
            last,
            sighting.row,
            sighting.said,
            round(sighting.certainty, 3),
            tuple(sighting.steps),
            sighting.count,
            sighting.qualifier,
        )


def _speaks_of_it(judgement: Judgement) -> bool:
    """A question about "it" or "them" is about the animal just spoken of; one about "that" may point elsewhere."""
    return any({"it", "they", "sure"} & set(cue.lower().split()) for cue in judgement.cues)


def _said(beside: CountBeside | None, mention: Mention) -> Count | None:
    """The count said with a mention, or what its own number says; "that" before a plural does not make it one."""
    if beside is None or (mention.best.number == "plural" and beside == CountBeside(ONE, False)):
        return _implied(mention)
    return beside.count


def _implied(mention: Mention) -> Count | None:
    """One for a singular group word, more than one for a plural; nothing for words like "fish", or Latin names."""
    number = mention.best.number
    return {"singular": ONE, "plural": MORE_THAN_ONE}.get(number)
