"""Which open sighting a mention speaks of. Those that talk has left are let go: the cost grows with the talk alone."""

from __future__ import annotations

from dataclasses import dataclass

from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.settle.counts import ONE, CountBeside
from earwitness.pipeline.settle.open import Open, related
from earwitness.pipeline.settle.sighting import Count
from earwitness.pipeline.settle.standing import holds_the_offers, same_word, shared_group
from earwitness.pipeline.settle.turns import Turn
from earwitness.taxonomy import Checklist


@dataclass(frozen=True, slots=True)
class SettleSettings:
    """How long (s) talk about one animal may pause. Common practice, no source: a look lasts less than a minute.

    Args:
        same_taxon: a mention of the same name, or of its genus, joins if the last one is not longer ago.
        group_word: a group word for a finer name (or the other way round).
        replacement: a name for an animal whose only name was just refused.
        answer: an answer, a correction or an alternative to the sighting just spoken of.
        known: "the crab", by a name that was said of it before.
        question: a name that answers a mere question or guess.
    """

    same_taxon: float = 30.0
    group_word: float = 15.0
    replacement: float = 4.0
    answer: float = 10.0
    known: float = 90.0
    question: float = 20.0


@dataclass(frozen=True, slots=True)
class Arrival:
    """A mention that looks for its sighting.

    Args:
        count: what is counted beside it.
        added: it stands beside another of its sentence ("a crab and a shrimp").
        after_doubt: what was said last was a question or a guess.
        here: sightings spoken of in this utterance already.
        speaker: who says it, None where unknown.
        bare: nothing but the name is said in its sentence.
        challenges: it is a negative question that points at nothing: "Couldn't it be a whelk?".
        about_it: its speaker went on about the animal just spoken of in the same breath ("It has stalks.").
        doubted: the name said last of the animal just spoken of was a question or a guess.
        moved: something else was pointed at since the last name.
        next_one: "and a", "then the" opens its sentence.
        asked_last: the name said last of the animal just spoken of was a question.
        asked_next: what was pointed at since is asked for.
    """

    mention: Mention
    judgement: Judgement
    turn: Turn
    count: CountBeside | None
    now: float
    added: bool
    after_doubt: bool
    here: tuple[Open, ...]
    speaker: str | None
    bare: bool = False
    challenges: bool = False
    about_it: bool = False
    doubted: bool = False
    moved: bool = False
    next_one: bool = False
    asked_last: bool = False
    asked_next: bool = False


class Homes:
    """The sightings that talk may still come back to."""

    def __init__(self, checklist: Checklist, settings: SettleSettings):
        self.checklist, self.settings = checklist, settings
        self.live: list[Open] = []
        self.current: Open | None = None
        self.known: set[int] = set()
        self.patience = max(settings.same_taxon, settings.group_word, settings.answer, settings.known)

    def add(self, sighting: Open) -> None:
        """A new sighting, which is spoken of now."""
        self.live.append(sighting)
        self.current = sighting
        self.learn(sighting.row)

    def learn(self, row: int) -> None:
        """Remember that this taxon was seen on this recording."""
        if row not in self.known:
            self.known.update((row, *self.checklist.lineage(row)))

    def keep(self, sighting: Open, now: float) -> None:
        """Words that name nothing go on about a sighting: it is still spoken of, but not for ever."""
        if now - sighting.named_time <= self.settings.known:
            sighting.last_time = now

    def keep_kin(self, row: int, now: float) -> None:
        """Talk about a kind of animal is still about the one just spoken of, where that is of this kind or near it."""
        recent = self.current
        if recent is None or recent.withdrawn or now - recent.last_time > self.settings.group_word:
            return
        if shared_group(self.checklist, recent.row, row) is not None or related(self.checklist, recent.row, row):
            self.keep(recent, now)

    def just_spoken_of(self, now: float) -> Open | None:
        """The sighting that an answer would be about."""
        if self.current and now - self.current.last_time <= self.settings.answer:
            return self.current
        return None

    def lately_spoken_of(self, now: float) -> Open | None:
        """The sighting that "another one" would be of, though nobody spoke for a while."""
        if self.current and now - self.current.last_time <= self.settings.same_taxon:
            return self.current
        return None

    def home(self, new: Arrival) -> Open | None:
        """The open sighting that a mention speaks of, None for a new one."""
        recent = self.just_spoken_of(new.now)
        turn, row = new.turn, new.mention.best.row
        if recent and recent.gone and not (turn.corrects or new.turn.subject == "it"):
            recent = None
        if new.moved and not turn.corrects and (new.asked_next or not turn.agrees):
            # "It is" may be a yes; where something else was asked for, it names that.
            recent = None
        if recent and (turn.corrects or self._replaces(recent, new.now)):
            return self._nearer(recent, new) or recent
        asked = new.judgement.status == "asked"
        if (turn.reaches or turn.adds) and not asked and (of_them := self._more_of(new)):
            return of_them
        if turn.new:
            return None
        if recent and turn.subject == "it" and new.judgement.status != "asked" and self._is_it(recent, new):
            return self._nearer(recent, new) or recent
        if recent and recent.logging and new.judgement.status != "asked" and not turn.presents:
            return recent
        fitting = self.fitting(new.mention, new.now, turn.definite)
        if fitting and (self._is_another(fitting, new) or (new.moved and self._is_the_one_there(fitting, new))):
            return None
        if fitting:
            return fitting
        if recent and (self._answers(recent, new) or self._disputes(recent, new) or self._takes_up(recent, new)):
            return self._nearer(recent, new) or recent
        asked_of = self.current
        if asked_of and not (new.moved or asked_of.gone) and self._settles_it(asked_of, new):
            return self._nearer(asked_of, new) or asked_of
        doubtful = new.judgement.status in ("hedged", "asked") and not new.added
        # "Enallopsammia, one colony": what is counted by itself is seen by itself.
        doubtful = doubtful and not new.next_one and (new.count is None or new.count.implied)
        if recent and (turn.alternative or doubtful) and shared_group(self.checklist, recent.row, row) is not None:
            return recent
        return None

    def _more_of(self, new: Arrival) -> Open | None:
        """The animals that "a second crab", "two more crabs" are more of: those called so before."""
        row, fitting = new.mention.best.row, self.fitting(new.mention, new.now)
        held = fitting is not None and self.checklist.is_same_or_ancestor(row, fitting.row)
        return fitting if held else None

    def _is_it(self, recent: Open, new: Arrival) -> bool:
        """ "It is a ..." speaks of the animal just named; of several, or a while later, only if the names are near."""
        if shared_group(self.checklist, recent.row, new.mention.best.row) is not None:
            return True
        several = recent.count is not None and recent.count.count.quantity != "1"
        return not several and new.now - recent.last_time <= self.settings.replacement + 2.0

    def _replaces(self, recent: Open, now: float) -> bool:
        return recent.withdrawn and now - recent.last_time <= self.settings.replacement

    def _nearer(self, recent: Open, new: Arrival) -> Open | None:
        """Of two animals just spoken of ("a star on a coral"), the one that a name can be of, if the last cannot."""
        row = new.mention.best.row
        if recent.withdrawn or shared_group(self.checklist, recent.row, row) is not None:
            return None
        others = [
            s for s in self.live if new.now - s.last_time <= self.settings.question and not s.gone and s != recent
        ]
        return next((s for s in reversed(others) if related(self.checklist, s.row, row)), None)

    def _disputes(self, recent: Open, new: Arrival) -> bool:
        """An opinion right behind somebody else's, with nothing of its own to look at: of the same animal."""
        opinions = new.judgement.status == "hedged" and new.after_doubt and not new.added
        shows = new.turn.presents or new.turn.new or (new.count is not None and not new.count.implied)
        here = recent.row not in self.checklist.lineage(new.mention.best.row)
        return opinions and here and not shows and _is_other(new.speaker, recent.last_speaker)

    def _takes_up(self, recent: Open, new: Arrival) -> bool:
        """Another name for the animal somebody else just named, with nobody pointing to another animal.

        A negative question ("Why not a whelk?") challenges what was said; behind a question or a guess a name by
        itself answers it, where the speaker goes on about "it" ("A sponge, maybe?" "It has stalks. Sea squirt.").
        """
        shows = new.turn.presents or new.turn.definite or new.added
        shows = shows or (new.count is not None and not new.count.implied)
        if shows or not _is_other(new.speaker, recent.last_speaker):
            return False
        if new.judgement.status == "asked":
            return new.challenges
        near = shared_group(self.checklist, recent.row, new.mention.best.row) is not None
        return new.bare and new.doubted and not recent.stated_surely and (near or new.about_it)

    def _settles_it(self, recent: Open, new: Arrival) -> bool:
        """A name behind a mere question or guess, with nobody pointing to another animal: "A sponge?" "Anemone.".

        Whoever guessed and goes on to name something without a guess speaks of another animal ("Maybe a sponge. A
        crab."), unless the guess was a question.
        """
        turn = new.turn
        shows = turn.presents or turn.definite or new.added or new.next_one or turn.new
        shows = shows or (new.count is not None and not new.count.implied)
        if shows or turn.placed or not (new.doubted and recent.is_open):
            return False
        if new.now - recent.last_time > self.settings.question:
            return False
        near = shared_group(self.checklist, recent.row, new.mention.best.row) is not None
        if recent.rivals and not near:
            return False
        other = _is_other(new.speaker, recent.last_speaker)
        return other or (new.judgement.status == "observed" and new.asked_last)

    def _is_the_one_there(self, fitting: Open, new: Arrival) -> bool:
        """After "there is a red one ahead" a name is of that one, unless it is what was named before."""
        row, turn = new.mention.best.row, new.turn
        known = turn.definite or (turn.subject == "it" and not new.asked_next) or turn.reads_back or turn.retreats
        return not (known or fitting.row == row or fitting.called(row))

    def _answers(self, recent: Open, new: Arrival) -> bool:
        """Whether another name, however unlike, speaks of the animal just spoken of."""
        turn, status = new.turn, new.judgement.status
        if turn.presents or new.added:
            return False
        if turn.counters or (status == "asked" and _speaks_of_it(new.judgement, recent)):
            return True
        # A question or a guess is open: "or ...", "that is a ..." go on from it.
        return (turn.alternative and new.after_doubt) or (bool(turn.subject) and recent.is_open)

    def _is_another(self, fitting: Open, new: Arrival) -> bool:
        """ "Three comatulids." after "One crinoid.", "the one on the right is a ...": others of the same kind."""
        if new.turn.side and new.turn.side != fitting.side:
            return bool(fitting.side) or _leaves_the_group(fitting)
        held = fitting.count
        if self._is_one_beside_many(fitting, new):
            return True
        if not (new.count and held and new.count.numbered and held.numbered):
            return False
        if fitting in new.here:
            # "Two sea cucumbers. One Psychropotes, one unknown.": a part of them. "One Ciona, one sea squirt.": two.
            wider = fitting.last_said is not None and new.mention.best.row in self.checklist.lineage(fitting.last_said)
            return self._is_part(fitting, new) or wider
        # The logger reads back: "Crinoids, three. Copy."
        repeats = new.count.count == held.count and (new.turn.reads_back or _is_other(new.speaker, fitting.speaker))
        # "I write three crabs" settles how many they are.
        return not (repeats or new.turn.retreats)

    def _is_part(self, fitting: Open, new: Arrival) -> bool:
        """Whether fewer are counted under a finer name."""
        held, said = fitting.count, new.count
        if held is None or said is None or not (held.count.quantity.isdecimal() and said.count.quantity.isdecimal()):
            return False
        row = new.mention.best.row
        finer = row != fitting.row and self.checklist.is_same_or_ancestor(fitting.row, row)
        return finer and int(said.count.quantity) < int(held.count.quantity)

    def _is_one_beside_many(self, fitting: Open, new: Arrival) -> bool:
        """ "Brittle stars everywhere. On the ledge, a basket star.": one of another name is none of the many."""
        held, turn = fitting.count, new.turn
        many = held is not None and not held.implied and held.count.quantity not in ("1", "few")
        one = new.count is not None and new.count.count == ONE
        names_them = bool(turn.subject) or turn.corrects or turn.alternative or turn.retreats or turn.definite
        states = new.judgement.status == "observed" and not names_them and fitting not in new.here
        return many and one and states and not fitting.called(new.mention.best.row)

    def fitting(self, mention: Mention, now: float, definite: bool = False) -> Open | None:
        """The latest sighting not too long ago whose name holds this one or is held by it."""
        row = mention.best.row
        self.live = [sighting for sighting in self.live if now - sighting.last_time <= self.patience]
        precise = self.checklist.taxon(row).rank in ("genus", "species")
        for sighting in sorted(self.live, key=lambda s: -s.last_time):
            called = sighting.called(row)
            if sighting.gone or not (
                called
                or related(self.checklist, sighting.row, row)
                or same_word(self.checklist, sighting, mention.best)
                or holds_the_offers(self.checklist, sighting, row)
            ):
                continue
            patience = self.settings.same_taxon if sighting.row == row or precise else self.settings.group_word
            # "Behind the Munida": a genus is called so by its species.
            if definite and (called or (precise and self.checklist.is_same_or_ancestor(row, sighting.row))):
                patience = max(patience, self.settings.known)
            if now - sighting.last_time <= patience:
                return sighting
        return None


def _leaves_the_group(group: Open) -> bool:
    """ "The one on the left is ...": one of a counted group is a sighting of its own; the last one is the group."""
    held = group.count.count if group.count else None
    if held is None or held.kind == "abundance" or int(held.quantity) < 2:
        return False
    group.count = CountBeside(Count(str(int(held.quantity) - 1), held.kind), True)
    return True


def _is_other(one: str | None, other: str | None) -> bool:
    return one is not None and other is not None and one != other


def _speaks_of_it(judgement: Judgement, recent: Open) -> bool:
    """A question about "it" or "them" is about the animal just spoken of; one about "that" may point elsewhere, and
    "they" are more than one."""
    words = {word for cue in judgement.cues for word in cue.lower().split()}
    single = recent.count is not None and recent.count.count == ONE
    return bool({"it", "sure"} & words) or ("they" in words and not single)
