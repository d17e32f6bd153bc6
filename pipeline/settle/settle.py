"""Mentions joined into sightings, in the order of the talk."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.judge.judgement import PLAIN_STATEMENT, TALK_ONLY
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.segment import UTTERANCES, speaker_of
from earwitness.pipeline.settle.answering import add, afterwards, take_nameless
from earwitness.pipeline.settle.counts import ONE, CountBeside, count_beside, is_a_measure, said_with, settled
from earwitness.pipeline.settle.counts_alone import count_announced
from earwitness.pipeline.settle.homes import Arrival, Homes, SettleSettings
from earwitness.pipeline.settle.nomenclature import name_and_sign
from earwitness.pipeline.settle.numbers import number_at
from earwitness.pipeline.settle.open import SURE, Open, related
from earwitness.pipeline.settle.pointing import is_of_the_name, opens_with_place, points_beside, shows_others
from earwitness.pipeline.settle.replies import Reply, last_total, stretches
from earwitness.pipeline.settle.roles import roles, words_for
from earwitness.pipeline.settle.sentences import sentences_at
from earwitness.pipeline.settle.sighting import Sighting
from earwitness.pipeline.settle.standing import Said, group_word, join, retract, shared_group
from earwitness.pipeline.settle.talk import Talk, is_one
from earwitness.pipeline.settle.turns import Turn, is_place, opening_turn
from earwitness.pipeline.words.phrases import Phrases, phrase_table, phrases_in
from earwitness.taxonomy import Checklist

_BESIDE = 3
"""Words before a name that are said of it."""
_SUBJECT_WITHIN = 9
_IN_SHORT = 7
"""Words before a name in a question that does no more than offer it."""


@cache
def _lifeless(own: Path | None) -> Phrases:
    return {words: row for words, row in phrase_table("vitality", own=own).items() if row["term"] == "dead"}


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
        self.homes = Homes(checklist, settings)
        self.every = list(doc.sents)
        sentences = sentences_at(self.every, [mention.start for mention in mentions])
        self.talk = Talk(doc, mentions, judgements, checklist, own_words, sentences, self.homes)
        self.all: list[Open] = []
        self.here: list[Open] = []
        self.stated_up_to = 0
        self.denied: tuple[int, Open | None] | None = None
        self.announced: CountBeside | None = None

    def run(self) -> tuple[Sighting, ...]:
        by_sentence: dict[int, list[int]] = {}
        for number, sentence in enumerate(self.talk.sentences):
            by_sentence.setdefault(sentence.start, []).append(number)
        utterances = iter(self.doc.spans[UTTERANCES])
        utterance: Span | None = None
        for sentence in self.every:
            while utterance is None or utterance.end <= sentence.start:
                utterance = next(utterances)
                self.here, self.denied, self.announced, self.talk.about_it = [], None, None, False
            here = by_sentence.get(sentence.start, [])
            if here:
                self._take_sentence(utterance, sentence, here)
            else:
                counted = take_nameless(self.talk, sentence)
                self.announced = None if counted else count_announced(self.doc, sentence, self.own)
        return tuple(self._close(sighting) for sighting in self.all if not sighting.withdrawn)

    def _take_sentence(self, utterance: Span, sentence: Span, here: list[int]) -> None:
        spans = [(self.mentions[n].start, self.mentions[n].end) for n in here]
        parts = stretches(sentence.start, sentence.end, spans)
        self.talk.elsewhere = False
        before = self.talk.reply(*parts[0])
        taken: Open | None = None
        if before.more and self.homes.current:
            self._take_more(before, parts[0], parts[-1], sentence)
        for place, number in enumerate(here):
            sighting = self._take(utterance, sentence, number, here)
            taken = sighting or taken
            if sighting:
                afterwards(self.talk, sighting, self.talk.reply(*parts[place + 1]), last=place == len(here) - 1)
        if taken and before.stop and not taken.stop:
            taken.stop = before.stop

    def _take_more(self, before: Reply, lead: tuple[int, int], end: tuple[int, int], sentence: Span) -> None:
        """ "There are two more behind the crinoid, so three.": more of what was spoken of, and no crinoids."""
        recent = self.homes.lately_spoken_of(self.talk.now(lead[0]))
        words = self.talk.words(*lead)
        if recent and not recent.withdrawn and is_place(words):
            add(recent, before.more, before.total or last_total(self.talk.words(*end)))
            self.talk.answered(recent, self.talk.now(lead[0]), sentence)

    def _take(self, utterance: Span, sentence: Span, number: int, here: list[int]) -> Open | None:
        mention, judgement = self.mentions[number], self.judgements[number]
        now = self.talk.now(mention.start)
        if judgement.status in TALK_ONLY:
            self.homes.keep_kin(mention.best.row, now)
            return None
        head = max(utterance.start, self.stated_up_to)
        turn = opening_turn(self.doc, head, mention.start, mention.end, utterance.end, sentence, self.own)
        no_name = self.talk.words(max(mention.start - 2, utterance.start), mention.start)[-1:] == ["no"]
        only_no = [cue.lower() for cue in judgement.cues] == ["no"] and not no_name
        if judgement.status == "denied" and turn.retreats and only_no:
            # "No keep it at Munida": the no is said of another name.
            judgement = Judgement("observed", PLAIN_STATEMENT, "certain")
        if judgement.status == "denied":
            self._deny(number, judgement, now)
            return None
        if self._only_refers_back(judgement, turn, mention, now):
            return None
        blocked = {i for n in here if n != number for i in range(self.mentions[n].start, self.mentions[n].end)}
        count = count_beside(self.doc, sentence, self._counted_from(mention), mention.end, blocked, self.own)
        if count is None and not mention.best.number and turn.subject and self._is_of_one(mention, sentence):
            count = CountBeside(ONE, False, implied=True)
        if turn.reads_back and is_a_measure(self.doc, mention.start, count, self.own):
            count = None
        turn = self._without_a_denial_of_others(turn, head, now)
        if self._is_named_again(number):
            turn = replace(turn, adds=1)
        pointed = self._points_elsewhere(mention, sentence)
        if pointed and turn.subject == "it":
            # "Off to the side, a small one, it's Metallogorgia."
            turn = replace(turn, subject="that")
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
                    count or self.announced,
                    now,
                    self._is_added(number),
                    self.talk.pending,
                    tuple(self.here),
                    speaker,
                    self._is_bare(mention, sentence),
                    self._challenges(number, sentence),
                    self.talk.about_it,
                    current is not None and self.talk.last_status(current) in ("asked", "hedged"),
                    self.talk.moved or pointed,
                    self._is_next(number, sentence),
                    current is not None and self.talk.last_status(current) == "asked",
                    self.talk.asked_next,
                )
            )
        if sighting is None or not any(step.row == mention.best.row for step in sighting.steps):
            # A name that was offered before uses up no "no": "No, Umbellula is shorter. This is Anthoptilum."
            self.stated_up_to = mention.end
        if sighting is None:
            sighting = self._start(number, now, speaker)
        else:
            follows, bare = self._in_sentence(sighting, sentence), self._is_bare(mention, sentence)
            other = speaker is not None and sighting.last_speaker not in (None, speaker)
            join(self.checklist, sighting, Said(number, mention, judgement, turn, follows, bare, other))
            self.homes.current = sighting
        sighting.last_speaker = speaker
        self.talk.named(sighting, now, mention.end)
        if turn.side:
            sighting.side, sighting.count = turn.side, CountBeside(ONE, False)
        self.homes.learn(mention.best.row)
        self.here.append(sighting)
        self.talk.pending = judgement.status in ("asked", "hedged")
        if len(sighting.mentions) == 1 and self.announced:
            # "Third colony, spiral. Iridogorgia."
            sighting.count, self.announced = self.announced, None
        if len(sighting.mentions) > 1 and (turn.reaches or turn.adds):
            # "A second crab", "two more crabs": as many as that makes.
            add(sighting, turn.adds, turn.reaches or None)
            return sighting
        noun = self.doc[mention.end - 1].lower_
        written = turn.retreats and count is not None and not count.implied
        sighting.count = settled(sighting.count, said_with(count, mention.best.number, noun, self.own), alone=written)
        return sighting

    def _deny(self, number: int, judgement: Judgement, now: float) -> None:
        mention = self.mentions[number]
        target = self.homes.fitting(mention, now)
        several = self._is_one_of_several(number, target)
        self.denied = (mention.end, None if several else target)
        # "No fish in view" takes back nothing that was stated, "that one's not a crab" no crabs; they answer questions.
        absent = judgement.absent and not self._refuses_the_last(number, target)
        spared = absent or several or self._is_lifeless(number)
        if target and not (spared and target.certainty >= SURE):
            retract(self.checklist, target, number, mention.best.row)

    def _refuses_the_last(self, number: int, target: Open | None) -> bool:
        """ "An eel." "No eel, that.": the one animal somebody else just named is refused, and no absence stated."""
        mention = self.mentions[number]
        if target is None or target is not self.homes.just_spoken_of(self.talk.now(mention.start)):
            return False
        same = mention.best.number == "singular" and is_one(target) and target.last_said == mention.best.row
        return same and speaker_of(self.doc, mention.start) not in (None, target.last_speaker)

    def _is_lifeless(self, number: int) -> bool:
        """ "Empty mussels", "a dead crab": others than those that were stated to be there."""
        words = self.talk.words(self.talk.sentences[number].start, self.mentions[number].start)[-_BESIDE:]
        return bool(phrases_in(words, _lifeless(self.own)))

    def _is_one_of_several(self, number: int, target: Open | None) -> bool:
        _, words = words_of(self.doc, self.talk.sentences[number].start, self.mentions[number].start)
        return target is not None and not is_one(target) and target.count is not None and "one" in words

    def _without_a_denial_of_others(self, turn: Turn, head: int, now: float) -> Turn:
        """ "That is not a sponge, it's a crab" corrects a sponge that was named, and no snail beside it."""
        recent = self.homes.just_spoken_of(now)
        if not ((turn.corrects or turn.subject) and self.denied and self.denied[0] > head and recent):
            return turn
        other = self.denied[1] is not recent and not recent.is_open
        return Turn(new=turn.new, retreats=turn.retreats, definite=turn.definite) if other else turn

    def _only_refers_back(self, judgement: Judgement, turn: Turn, mention: Mention, now: float) -> bool:
        """ "On the mussels", "did you get the snail?": known ones, left long ago, are not seen again by that."""
        if not turn.definite or turn.subject:
            return False
        elsewhere = judgement.role == "host" or judgement.status == "asked" or turn.place or turn.object
        if not elsewhere:
            return False
        return mention.best.row in self.homes.known and self.homes.fitting(mention, now, definite=True) is None

    def _in_sentence(self, sighting: Open, sentence: Span) -> bool:
        return sentence.start <= self.mentions[sighting.mentions[-1]].start < sentence.end

    def _counted_from(self, mention: Mention) -> int:
        """Where a name begins that was heard with its number in front ("Three rossellas")."""
        numbers, words = words_of(self.doc, mention.start, mention.end)
        number = number_at(words, 0)
        own = number is None or number.last >= len(words) or mention.best.matched.lower().startswith(words[0])
        return mention.start if own or number is None else numbers[number.last]

    def _is_of_one(self, mention: Mention, sentence: Span) -> bool:
        """ "It is Deepstaria", "that's melastomus": one animal, though a Latin name has no number."""
        before = set(self.talk.words(sentence.start, mention.start)[-_SUBJECT_WITHIN:])
        return bool(before & words_for("singular", self.own)) and not before & words_for("plural", self.own)

    def _is_bare(self, mention: Mention, sentence: Span) -> bool:
        said, _ = words_of(self.doc, sentence.start, sentence.end)
        return said == words_of(self.doc, mention.start, mention.end)[0]

    def _is_named_again(self, number: int) -> bool:
        """ "A snail, a snail, a snail", "flatfish, flatfish": counted by naming each, in one breath."""
        before, mention = self.mentions[max(number - 1, 0)], self.mentions[number]
        said, again = self.talk.words(before.start, before.end), self.talk.words(mention.start, mention.end)
        if before is mention or said != again or not self.talk.same_sentence(number, number - 1):
            return False
        plain = all(self.judgements[n].status == "observed" for n in (number - 1, number))
        lead = self.talk.words(self.talk.sentences[number].start, before.start)[-_BESIDE:]
        between = [token.lower_ for token in self.doc[before.end : mention.start] if token.text != ","]
        one = mention.best.number != "plural" and words_for("being", self.own).isdisjoint(lead)
        behind = self.talk.words(mention.end, self.talk.sentences[number].end)[:1]
        one = one and not is_of_the_name(behind, self.own)
        return plain and one and set(between) <= words_for("listing", self.own)

    def _points_elsewhere(self, mention: Mention, sentence: Span) -> bool:
        """Whether the words before a name point to the neighbour of the animal just spoken of, or to another place."""
        words = self.talk.words(sentence.start, mention.start)
        return points_beside(words, self.own) or (
            opens_with_place(words, self.own) and not {"it", "they"} & set(words[:2])
        )

    def _is_next(self, number: int, sentence: Span) -> bool:
        """Whether "and a" or "then the" opens the short words before a name, or others are told by their looks."""
        said = self.talk.words(sentence.start, self.mentions[number].start)
        opens = 0 < len(said) <= _IN_SHORT and said[0] in words_for("next", self.own)
        return opens or shows_others(said, self.own)

    def _challenges(self, number: int, sentence: Span) -> bool:
        """Whether a short sentence puts a name with a "not", and points at nothing else: "Why not a whelk?"."""
        said = self.talk.words(sentence.start, self.mentions[number].start)
        return len(said) <= _IN_SHORT and "not" in said and words_for("pointing", self.own).isdisjoint(said)

    def _start(self, number: int, now: float, speaker: str | None) -> Open:
        mention, judgement = self.mentions[number], self.judgements[number]
        certainty = judgement.certainty or 0.0
        sighting = Open(mention.best.row, number, certainty, mention.qualifier, [number], [], now)
        sighting.note(mention.best.row, number, "named", certainty)
        sighting.words |= group_word(self.checklist, mention.best)
        sighting.stated, sighting.speaker = judgement.status != "asked", speaker
        sighting.last_said = mention.best.row if sighting.stated else None
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
        group = shared_group(self.checklist, before.best.row, mention.best.row)
        if not self.talk.same_sentence(number, number - 1) or related(
            self.checklist, before.best.row, mention.best.row
        ):
            return False
        narrow = group is not None and self.checklist.taxon(group).rank in ("genus", "subgenus", "subfamily", "family")
        # "An octopus ... Graneledone, Muusoctopus": two names for one octopus, however far from each other.
        narrow = narrow or (group is not None and is_one(current) and self._was_within(current, group))
        asked = self.judgements[number - 1].status in ("asked", "hedged")
        if asked and self._is_doubtful(number) and self._is_doubtful(number - 1) and not self._is_added(number):
            # "Antipathes may be one, Savalia another.": two guesses in one breath are of one animal.
            return True
        if between == ["and"] and self._is_weighed(number - 1):
            return True
        return (between == ["or"] and (group is not None or asked)) or (not between and narrow)

    def _is_weighed(self, number: int) -> bool:
        """ "It is between Narella and Primnoa": whether the words before a name say that it is one of two."""
        words = self.talk.words(self.talk.sentences[number].start, self.mentions[number].start)
        return any(
            last == len(words) and row["role"] == "between" for _, last, row in phrases_in(words, roles(self.own))
        )

    def _is_doubtful(self, number: int) -> bool:
        """Whether a name was said as no more than possible."""
        judgement = self.judgements[number]
        return judgement.status in ("asked", "hedged") and (judgement.certainty or 0.0) < SURE

    def _was_within(self, sighting: Open, group: int) -> bool:
        """Whether it was called by a name that holds this group."""
        return any(s.row is not None and self.checklist.is_same_or_ancestor(s.row, group) for s in sighting.steps)

    def _is_added(self, number: int) -> bool:
        """Whether a mention stands beside the one before it: "a crab and a shrimp, I think" are two animals."""
        before, mention = self.mentions[max(number - 1, 0)], self.mentions[number]
        between = {t.lower_ for t in self.doc[before.end : mention.start]}
        return self.talk.same_sentence(number, max(number - 1, 0)) and bool(between & words_for("adding", self.own))

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
            tuple(sighting.answers),
        )
