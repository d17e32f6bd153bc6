"""A sighting while the talk about it goes on."""

from __future__ import annotations

from dataclasses import dataclass, field

from earwitness.pipeline.judge.judgement import PLAIN_STATEMENT
from earwitness.pipeline.settle.counts import CountBeside
from earwitness.pipeline.settle.sighting import Determination, Step
from earwitness.taxonomy import Checklist

SURE = 0.55
"""A finer name is taken when it is said as probable at least; below it is kept as an offer (certainty_terms.csv)."""
UNSETTLED = 0.45
"""Certainty of a name that is disputed to the end: possible, as "maybe" in claims.csv (common practice, no source)."""


@dataclass(slots=True)
class Open:
    """What is known of a sighting so far.

    Args:
        row, said, certainty, qualifier: the name that stands, the mention that gave it, how sure, the sign with it.
        mentions: numbers of the mentions that speak of it.
        steps: its determinations.
        last_time: when it was last spoken of (s).
        named_time: when a name of it was last said (s).
        answers: the first tokens of the sentences without a name that changed it.
        last_token: the token behind the last words about it.
        count: how many, with how it was said.
        words: group words it was called by.
        withdrawn: no name is left.
        gone: it was no animal at all, or asked to be left out: only a contradiction brings it back.
        offers: rows offered for it, in order.
        doubted: rows offered as a statement with doubt, not as a question.
        rivals: offers that are neither refused nor above or below the name that stands: a dispute.
        stated: whether somebody said a name of it as more than a question.
        stop: "stet." or "indet." where it was said that the name goes no lower.
        logging: it was asked what is to be written, and nobody has said yet.
        went_back: how often talk went back to a name that had been left.
        side: which of several it is: "left".
        speaker: who named it first, None where unknown.
        last_speaker: who named it last.
        last_said: the name said last of it, None where that was a question.
    """

    row: int
    said: int
    certainty: float
    qualifier: str | None
    mentions: list[int]
    steps: list[Determination]
    last_time: float
    named_time: float = 0.0
    answers: list[int] = field(default_factory=list)
    last_token: int = 0
    count: CountBeside | None = None
    words: set[str] = field(default_factory=set)
    withdrawn: bool = False
    gone: bool = False
    offers: list[int] = field(default_factory=list)
    doubted: set[int] = field(default_factory=set)
    rivals: set[int] = field(default_factory=set)
    stated: bool = False
    stop: str = ""
    logging: bool = False
    went_back: int = 0
    side: str = ""
    speaker: str | None = None
    last_speaker: str | None = None
    last_said: int | None = None

    def note(self, row: int | None, mention: int, step: Step, certainty: float) -> None:
        """Write a step down."""
        self.steps.append(Determination(row, mention, step, certainty))

    def stand(self, row: int, mention: int, certainty: float, step: Step, qualifier: str | None) -> None:
        """Let another name stand."""
        self.row, self.said, self.certainty, self.qualifier = row, mention, certainty, qualifier
        self.withdrawn = self.gone = False
        self.rivals.clear()
        self.doubted.clear()
        if step != "retreated":
            self.stop = ""
        self.note(row, mention, step, certainty)

    @property
    def is_open(self) -> bool:
        """Whether its name has only been asked or guessed."""
        return not self.stated or self.certainty < SURE

    @property
    def stated_surely(self) -> bool:
        """Whether the name that stands was said without any doubt."""
        return self.certainty >= PLAIN_STATEMENT

    @property
    def stood(self) -> set[int]:
        """Rows that stood at some time and were not refused."""
        stood = {s.row for s in self.steps if s.step in ("named", "refined", "corrected", "confirmed", "retreated")}
        return {row for row in stood - self.refused if row is not None}

    @property
    def refused(self) -> set[int]:
        """Rows that were refused."""
        return {s.row for s in self.steps if s.step == "retracted" and s.row is not None}

    def called(self, row: int) -> bool:
        """Whether this name was said of it."""
        return row in self.offers or any(step.row == row for step in self.steps)


def related(checklist: Checklist, a: int, b: int) -> bool:
    """Whether one taxon holds the other, or they are the same."""
    return checklist.is_same_or_ancestor(a, b) or checklist.is_same_or_ancestor(b, a)
