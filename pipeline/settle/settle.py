"""Mentions joined into sightings, in the order of the talk."""

from __future__ import annotations

from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.judge.judgement import PLAIN_STATEMENT, TALK_ONLY
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.segment import UTTERANCES, speaker_of, times_of
from earwitness.pipeline.settle.counts import (
    ONE,
    CountBeside,
    count_alone,
    count_announced,
    count_beside,
    said_with,
    settled,
)
from earwitness.pipeline.settle.homes import Arrival, Homes, SettleSettings
from earwitness.pipeline.settle.nomenclature import name_and_sign
from earwitness.pipeline.settle.open import SURE, Open, related
from earwitness.pipeline.settle.replies import Reply, reply_of, stretches
from earwitness.pipeline.settle.sighting import Count, Sighting
from earwitness.pipeline.settle.standing import (
    Said,
    agree,
    choose,
    doubt,
    group_word,
    join,
    retract,
    retreat_to_rank,
    shared_group,
    take_species,
    withdraw,
)
from earwitness.pipeline.settle.turns import Turn, opening_turn
from earwitness.pipeline.words.phrases import phrase_table, phrases_in
from earwitness.taxonomy import Checklist

_ADDING = {"and", "with", "plus"}
_BY_THE_WAY = 3
"""Words: more than these, and a question is no longer open."""


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
        self.checklist, self.own = checklist, own_words
        self.starts = times_of(doc).start
        self.homes = Homes(checklist, settings)
        self.all: list[Open] = []
        self.here: list[Open] = []
        self.stated_up_to = 0
        self.denied: tuple[int, Open | None] | None = None
        self.pending = False
        self.elsewhere = False
        self.announced: CountBeside | None = None

    def run(self) -> tuple[Sighting, ...]:
        by_sentence: dict[int, list[int]] = {}
        for number, mention in enumerate(self.mentions):
            by_sentence.setdefault(self.doc[mention.start].sent.start, []).append(number)
        for utterance in self.doc.spans[UTTERANCES]:
            self.here, self.denied, self.announced = [], None, None
            for sentence in utterance.sents:
                here = by_sentence.get(sentence.start, [])
                if here:
                    self._take_sentence(utterance, sentence, here)
                else:
                    self._take_nameless(sentence)
                    self.announced = count_announced(self.doc, sentence, self.own)
        return tuple(self._close(sighting) for sighting in self.all if not sighting.withdrawn)

    def _take_sentence(self, utterance: Span, sentence: Span, here: list[int]) -> None:
        spans = [(self.mentions[n].start, self.mentions[n].end) for n in here]
        parts = stretches(sentence.start, sentence.end, spans)
        self.elsewhere = False
        before = self._reply(*parts[0])
        taken: Open | None = None
        for place, number in enumerate(here):
            sighting = self._take(utterance, sentence, number, here)
            taken = sighting or taken
            if sighting:
                self._afterwards(sighting, self._reply(*parts[place + 1]), last=place == len(here) - 1)
        if taken and before.stop and not taken.stop:
            taken.stop = before.stop

    def _take(self, utterance: Span, sentence: Span, number: int, here: list[int]) -> Open | None:
        mention, judgement = self.mentions[number], self.judgements[number]
        if judgement.status in TALK_ONLY:
            return None
        now = float(self.starts[mention.start])
        head = max(utterance.start, self.stated_up_to)
        turn = opening_turn(self.doc, head, mention.start, mention.end, utterance.end, self.own)
        if judgement.status == "denied" and turn.retreats and [cue.lower() for cue in judgement.cues] == ["no"]:
            # "No keep it at Munida": the no is said of another name.
            judgement = Judgement("observed", PLAIN_STATEMENT, "certain")
        if judgement.status == "denied":
            self._deny(number, judgement, now)
            return None
        if self._only_refers_back(judgement, turn, mention, now):
            return None
        blocked = {i for n in here if n != number for i in range(self.mentions[n].start, self.mentions[n].end)}
        count = count_beside(self.doc, sentence, mention.start, mention.end, blocked, self.own)
        turn = self._without_a_denial_of_others(turn, head, now)
        speaker = speaker_of(self.doc, mention.start)
        current = self.homes.current
        if self._lists(number) and current:
            sighting: Open | None = current
        else:
            sighting = self.homes.home(
                Arrival(
                    mention,
                    judgement,
                    turn,
                    count,
                    now,
                    self._is_added(number),
                    self.pending,
                    tuple(self.here),
                    speaker,
                )
            )
        if sighting is None or not any(step.row == mention.best.row for step in sighting.steps):
            # A name that was offered before uses up no "no": "No, Umbellula is shorter. This is Anthoptilum."
            self.stated_up_to = mention.end
        if sighting is None:
            sighting = self._start(number, now, speaker)
        else:
            follows, bare = self._in_sentence(sighting, sentence), self._is_bare(mention, sentence)
            join(self.checklist, sighting, Said(number, mention, judgement, turn, follows, bare))
            self.homes.current = sighting
        self._touch(sighting, now, mention.end)
        if turn.side:
            sighting.side, sighting.count = turn.side, CountBeside(ONE, False)
        self.homes.learn(mention.best.row)
        self.here.append(sighting)
        self.pending = judgement.status in ("asked", "hedged")
        if len(sighting.mentions) == 1 and self.announced:
            # "Third colony, spiral. Iridogorgia."
            sighting.count, self.announced = self.announced, None
        sighting.count = settled(sighting.count, said_with(count, mention.best.number))
        return sighting

    def _deny(self, number: int, judgement: Judgement, now: float) -> None:
        mention = self.mentions[number]
        target = self.homes.fitting(mention, now)
        several = self._is_one_of_several(mention, target)
        self.denied = (mention.end, None if several else target)
        # "No fish in view" takes back nothing that was stated, "that one's not a crab" no crabs; they answer questions.
        spared = judgement.absent or several
        if target and not (spared and target.certainty >= SURE):
            retract(self.checklist, target, number, mention.best.row)

    def _is_one_of_several(self, mention: Mention, target: Open | None) -> bool:
        _, words = words_of(self.doc, self.doc[mention.start].sent.start, mention.start)
        return target is not None and not _is_one(target) and target.count is not None and "one" in words

    def _without_a_denial_of_others(self, turn: Turn, head: int, now: float) -> Turn:
        """ "That is not a sponge, it's a crab" corrects a sponge that was named, and no snail beside it."""
        recent = self.homes.just_spoken_of(now)
        if not ((turn.corrects or turn.subject) and self.denied and self.denied[0] > head and recent):
            return turn
        other = self.denied[1] is not recent and not recent.is_open
        return Turn(new=turn.new, retreats=turn.retreats, definite=turn.definite) if other else turn

    def _only_refers_back(self, judgement: Judgement, turn: Turn, mention: Mention, now: float) -> bool:
        """ "On the mussels", "did you get the snail?": known ones, left long ago, are not seen again by that."""
        if not turn.definite or turn.subject or not (judgement.role == "host" or judgement.status == "asked"):
            return False
        return mention.best.row in self.homes.known and self.homes.fitting(mention, now, definite=True) is None

    def _reply(self, start: int, end: int) -> Reply:
        return reply_of(self.doc, start, end, self.own)

    def _afterwards(self, sighting: Open, reply: Reply, last: bool) -> None:
        """What the words behind a name do to it, in the same sentence: "genus only", "no wait it's a rock"."""
        no = self.pending and reply.refuses and (reply.alone or bool(reply.stop))
        if reply.strikes or no:
            self._strike(sighting)
        elif reply.voids or reply.thing in ("said", "it"):
            withdraw(sighting)
        elif reply.rank and reply.stop and last:
            retreat_to_rank(self.checklist, sighting, reply.rank)
        elif reply.undecided or reply.stop == "indet.":
            self._leave_species(sighting)
        if reply.stop:
            sighting.stop = reply.stop
        elif reply.undecided:
            sighting.stop = sighting.stop or "indet."
        if reply.more and last:
            self._add(sighting, reply)

    def _take_nameless(self, sentence: Span) -> None:
        """A sentence without a name speaks of the animal just named: a count, a yes, a no, a rank, another one."""
        now = float(self.starts[sentence.start])
        sighting = self.homes.just_spoken_of(now)
        if sighting is None:
            self._take_one_more(sentence, now)
            return
        reply = self._reply(sentence.start, sentence.end)
        # "No, three." corrects a number, and no name.
        other = self.elsewhere or sighting.withdrawn or bool(reply.pick and sighting.offers)
        counts = not other and self._count_alone(sighting, reply, sentence)
        acted = counts or self._act(sighting, reply, self._speaker_differs(sighting, sentence))
        if acted:
            self._touch(sighting, now, sentence.end)
        else:
            self.pending = self.pending and reply.words <= _BY_THE_WAY and not sentence.text.endswith("?")
            self.elsewhere = self.elsewhere or self._is_ground(sentence)

    def _take_one_more(self, sentence: Span, now: float) -> None:
        """ "There's another one." after a while without a word about anything else."""
        sighting = self.homes.lately_spoken_of(now)
        reply = self._reply(sentence.start, sentence.end)
        if sighting and reply.more and not self.elsewhere and not sighting.withdrawn:
            self._add(sighting, reply)
            self._touch(sighting, now, sentence.end)
        else:
            self.elsewhere = self.elsewhere or self._is_ground(sentence)

    def _count_alone(self, sighting: Open, reply: Reply, sentence: Span) -> bool:
        if reply.more:
            self._add(sighting, reply)
            return True
        count = count_alone(self.doc, sentence, self.own)
        if count is None:
            return False
        sighting.count = settled(sighting.count, CountBeside(count, False), alone=True)
        return True

    def _act(self, sighting: Open, reply: Reply, others: bool | None) -> bool:
        """Let a reply change the name; whether it did. `others`: somebody else than who spoke last, None: unknown."""
        last = self.judgements[sighting.mentions[-1]].status
        open_question = self.pending and last == "asked"
        if reply.strikes:
            self._strike(sighting)
        elif reply.voids or self._is_thing(reply, last):
            withdraw(sighting)
        elif reply.pick and len(sighting.offers) > 0:
            choose(self.checklist, sighting, reply.pick)
        elif reply.refuses and self.pending and (open_question or reply.alone or sighting.steps[-1].step == "offered"):
            retract(self.checklist, sighting, sighting.mentions[-1], self.mentions[sighting.mentions[-1]].best.row)
        elif reply.doubts and others is not False:
            doubt(sighting)
        elif reply.species:
            take_species(self.checklist, sighting)
        elif reply.agrees and others is not False:
            takes = open_question or (
                last == "hedged" and (reply.agrees == "agreed" or (self.pending and bool(others)))
            )
            agree(sighting, PLAIN_STATEMENT, takes)
        elif not (reply.rank or reply.stop or reply.undecided):
            sighting.logging = sighting.logging or reply.logging
            return False
        if reply.rank:
            retreat_to_rank(self.checklist, sighting, reply.rank)
            sighting.stop = "stet."
        if reply.undecided or reply.stop == "indet.":
            self._leave_species(sighting)
        sighting.stop = reply.stop or sighting.stop
        self.pending = False
        return True

    def _is_thing(self, reply: Reply, last: str) -> bool:
        doubtful = last in ("asked", "hedged")
        return reply.thing in ("said", "it") or (reply.thing == "that" and doubtful)

    def _strike(self, sighting: Open) -> None:
        """ "Scratch that": what was said last is taken back, and what stood before it stands again."""
        number = sighting.mentions[-1]
        retract(self.checklist, sighting, number, self.mentions[number].best.row)

    def _leave_species(self, sighting: Open) -> None:
        """ "I can't tell which species": the genus is left of a species."""
        if self.checklist.taxon(sighting.row).rank == "species":
            retreat_to_rank(self.checklist, sighting, "genus")

    def _in_sentence(self, sighting: Open, sentence: Span) -> bool:
        return sentence.start <= self.mentions[sighting.mentions[-1]].start < sentence.end

    def _is_bare(self, mention: Mention, sentence: Span) -> bool:
        said, _ = words_of(self.doc, sentence.start, sentence.end)
        return said == words_of(self.doc, mention.start, mention.end)[0]

    def _speaker_differs(self, sighting: Open, sentence: Span) -> bool | None:
        before = speaker_of(self.doc, self.mentions[sighting.mentions[-1]].start)
        now = speaker_of(self.doc, sentence.start)
        return None if before is None or now is None else before != now

    def _is_ground(self, sentence: Span) -> bool:
        """Whether the ground or litter is spoken of: "another one" would be another of that."""
        _, words = words_of(self.doc, sentence.start, sentence.end)
        return bool(phrases_in(words, phrase_table("substrates", own=self.own)))

    def _touch(self, sighting: Open, now: float, end: int) -> None:
        sighting.last_time = now
        sighting.last_token = max(sighting.last_token, end)

    def _start(self, number: int, now: float, speaker: str | None) -> Open:
        mention, judgement = self.mentions[number], self.judgements[number]
        certainty = judgement.certainty or 0.0
        sighting = Open(mention.best.row, number, certainty, mention.qualifier, [number], [], now)
        sighting.note(mention.best.row, number, "named", certainty)
        sighting.words |= group_word(self.checklist, mention.best)
        sighting.stated, sighting.speaker = judgement.status != "asked", speaker
        self.all.append(sighting)
        self.homes.add(sighting)
        return sighting

    def _lists(self, number: int) -> bool:
        """Whether a mention goes on a list of alternatives: "A. boucheti, kojimai, strummeri", "Walteria or ..."."""
        current = self.homes.current
        if not number or current is None or current.mentions[-1] != number - 1:
            return False
        before, mention = self.mentions[number - 1], self.mentions[number]
        between = [t.lower_ for t in self.doc[before.end : mention.start] if not t.is_punct]
        same_sentence = self.doc[before.start].sent.start == self.doc[mention.start].sent.start
        group = shared_group(self.checklist, before.best.row, mention.best.row)
        if not same_sentence or related(self.checklist, before.best.row, mention.best.row):
            return False
        narrow = group is not None and self.checklist.taxon(group).rank in ("genus", "subgenus", "subfamily", "family")
        # "An octopus ... Graneledone, Muusoctopus": two names for one octopus, however far from each other.
        narrow = narrow or (group is not None and _is_one(current) and self._was_within(current, group))
        asked = self.judgements[number - 1].status in ("asked", "hedged")
        return (between == ["or"] and (group is not None or asked)) or (not between and narrow)

    def _was_within(self, sighting: Open, group: int) -> bool:
        """Whether it was called by a name that holds this group."""
        return any(s.row is not None and self.checklist.is_same_or_ancestor(s.row, group) for s in sighting.steps)

    def _is_added(self, number: int) -> bool:
        """Whether a mention stands beside the one before it: "a crab and a shrimp, I think" are two animals."""
        before, mention = self.mentions[max(number - 1, 0)], self.mentions[number]
        between = {t.lower_ for t in self.doc[before.end : mention.start]}
        return self.doc[before.start].sent.start == self.doc[mention.start].sent.start and bool(between & _ADDING)

    def _add(self, sighting: Open, reply: Reply) -> None:
        """ "And another one": so many more, or as many as that makes."""
        held = sighting.count.count if sighting.count else ONE
        if reply.total is not None:
            sighting.count = CountBeside(Count(str(reply.total), "exact"), True)
        elif held.quantity.isdecimal():
            sighting.count = CountBeside(Count(str(int(held.quantity) + reply.more), held.kind), True)

    def _close(self, sighting: Open) -> Sighting:
        row, sign = name_and_sign(self.checklist, sighting)
        if row != sighting.row:
            sighting.note(row, sighting.said, "retreated", sighting.certainty)
        return Sighting(
            tuple(sighting.mentions),
            min(self.mentions[n].start for n in sighting.mentions),
            max(sighting.last_token, *(self.mentions[n].end for n in sighting.mentions)),
            row,
            sighting.said,
            round(sighting.certainty, 3),
            tuple(sighting.steps),
            sighting.count.count if sighting.count else None,
            sign,
        )


def _is_one(sighting: Open) -> bool:
    return sighting.count is not None and sighting.count.count == ONE
