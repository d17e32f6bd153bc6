"""Which open sighting a mention speaks of. Those that talk has left are let go: the cost grows with the talk alone."""

from __future__ import annotations

from dataclasses import dataclass

from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.settle.counts import CountBeside
from earwitness.pipeline.settle.open import Open, related
from earwitness.pipeline.settle.sighting import Count
from earwitness.pipeline.settle.standing import same_word, shared_group
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
    """

    same_taxon: float = 30.0
    group_word: float = 15.0
    replacement: float = 4.0
    answer: float = 10.0
    known: float = 90.0


@dataclass(frozen=True, slots=True)
class Arrival:
    """A mention that looks for its sighting.

    Args:
        count: what is counted beside it.
        added: it stands beside another of its sentence ("a crab and a shrimp").
        after_doubt: what was said last was a question or a guess.
        here: sightings spoken of in this utterance already.
        speaker: who says it, None where unknown.
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
        if recent and (turn.corrects or self._replaces(recent, new.now)):
            return recent
        if turn.new:
            return None
        if recent and turn.subject == "it" and new.judgement.status != "asked" and self._is_it(recent, new):
            return recent
        if recent and recent.logging and new.judgement.status != "asked" and not turn.presents:
            return recent
        fitting = self.fitting(new.mention, new.now, turn.definite)
        if fitting and self._is_another(fitting, new):
            return None
        if fitting:
            return fitting
        if recent and self._answers(recent, new):
            return recent
        doubtful = new.judgement.status in ("hedged", "asked") and not new.added
        if recent and (turn.alternative or doubtful) and shared_group(self.checklist, recent.row, row) is not None:
            return recent
        return None

    def _is_it(self, recent: Open, new: Arrival) -> bool:
        """ "It is a ..." speaks of the animal just named; a while later, only if the names are near each other."""
        near = shared_group(self.checklist, recent.row, new.mention.best.row) is not None
        return near or new.now - recent.last_time <= self.settings.replacement + 2.0

    def _replaces(self, recent: Open, now: float) -> bool:
        return recent.withdrawn and now - recent.last_time <= self.settings.replacement

    def _answers(self, recent: Open, new: Arrival) -> bool:
        """Whether another name, however unlike, speaks of the animal just spoken of."""
        turn, status = new.turn, new.judgement.status
        if turn.presents or new.added:
            return False
        if turn.counters or (status == "asked" and _speaks_of_it(new.judgement)):
            return True
        # A question or a guess is open: "or ...", "that is a ..." go on from it.
        return (turn.alternative and new.after_doubt) or (bool(turn.subject) and recent.is_open)

    def _is_another(self, fitting: Open, new: Arrival) -> bool:
        """ "Three comatulids." after "One crinoid.", "the one on the right is a ...": others of the same kind."""
        if new.turn.side and new.turn.side != fitting.side:
            return bool(fitting.side) or _leaves_the_group(fitting)
        held = fitting.count
        if not (new.count and held and new.count.numbered and held.numbered) or fitting in new.here:
            return False
        # The logger reads back: "Crinoids, three. Copy."
        repeats = new.count.count == held.count and (new.turn.reads_back or _is_other(new.speaker, fitting.speaker))
        return not repeats

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
            ):
                continue
            patience = self.settings.same_taxon if sighting.row == row or precise else self.settings.group_word
            if definite and called:
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


def _speaks_of_it(judgement: Judgement) -> bool:
    """A question about "it" or "them" is about the animal just spoken of; one about "that" may point elsewhere."""
    return any({"it", "they", "sure"} & set(cue.lower().split()) for cue in judgement.cues)
