"""What the settle stage knows of the talk while it goes on."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from spacy.tokens import Doc, Span

from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.segment import speaker_of, times_of
from earwitness.pipeline.settle.counts import MORE_THAN_ONE, ONE, CountBeside
from earwitness.pipeline.settle.homes import Homes
from earwitness.pipeline.settle.open import Open
from earwitness.pipeline.settle.pointing import asks_what, points_elsewhere
from earwitness.pipeline.settle.replies import Reply, reply_of
from earwitness.pipeline.settle.roles import words_for
from earwitness.pipeline.words.phrases import phrase_table, phrases_in
from earwitness.taxonomy import Checklist

_OPENS = 3
"""Words within which a pronoun opens a sentence."""


@dataclass(slots=True)
class Talk:
    """The talk, and where it is.

    Args:
        sentences: of each mention, the sentence it stands in.
        homes: the sightings that talk may still come back to.
        pending: what was said last was a question or a guess.
        elsewhere: the ground or litter was spoken of last.
        about_it: this utterance went on about the animal just spoken of.
        moved: something else was pointed at since, and not named yet.
        asked_next: it was asked what that is: "it" speaks of that.
    """

    doc: Doc
    mentions: tuple[Mention, ...]
    judgements: tuple[Judgement, ...]
    checklist: Checklist
    own: Path | None
    sentences: list[Span]
    homes: Homes
    pending: bool = False
    elsewhere: bool = False
    about_it: bool = False
    moved: bool = False
    asked_next: bool = False

    def now(self, token: int) -> float:
        """When a token is said (s)."""
        return float(times_of(self.doc).start[token])

    def words(self, start: int, end: int) -> list[str]:
        """The words of tokens [start, end)."""
        return words_of(self.doc, start, end)[1]

    def reply(self, start: int, end: int) -> Reply:
        """What the words of tokens [start, end), none of them a name, do."""
        return reply_of(self.doc, start, end, self.own)

    def last_row(self, sighting: Open) -> int:
        """The row of the name that was said last of a sighting."""
        return self.mentions[sighting.mentions[-1]].best.row

    def last_status(self, sighting: Open) -> str:
        """The status of the name that was said last of a sighting."""
        return self.judgements[sighting.mentions[-1]].status

    def speaker_differs(self, sighting: Open, token: int) -> bool | None:
        """Whether a token is said by somebody else than named the sighting last; None where that is unknown."""
        before = speaker_of(self.doc, self.mentions[sighting.mentions[-1]].start)
        now = speaker_of(self.doc, token)
        return None if before is None or now is None else before != now

    def look(self, sentence: Span) -> bool:
        """Take note of a sentence that points at something else; whether it does."""
        words = self.words(sentence.start, sentence.end)
        if not points_elsewhere(words, self.own):
            return False
        self.moved = True
        self.asked_next = sentence.text.rstrip().endswith("?") or asks_what(words, self.own)
        return True

    def number_of_it(self, sentence: Span) -> CountBeside | None:
        """One or many, as the pronoun says that opens a sentence about the animal just named."""
        opening = [w for w in self.words(sentence.start, sentence.end) if w not in words_for("hesitation", self.own)]
        said = next((word for word in opening[:_OPENS] if word in words_for("pronoun", self.own)), None)
        if said is None:
            return None
        many = said in words_for("plural", self.own)
        return CountBeside(MORE_THAN_ONE if many else ONE, False, implied=True)

    def is_ground(self, sentence: Span) -> bool:
        """Whether the ground or litter is spoken of: "another one" would be another of that."""
        words = self.words(sentence.start, sentence.end)
        return bool(phrases_in(words, phrase_table("substrates", own=self.own)))

    def same_sentence(self, number: int, other: int) -> bool:
        """Whether two mentions stand in one sentence."""
        return self.sentences[number].start == self.sentences[other].start

    def named(self, sighting: Open, now: float, end: int) -> None:
        """A name that ends at a token was said of a sighting."""
        self.moved = self.asked_next = False
        sighting.last_time = sighting.named_time = now
        sighting.last_token = max(sighting.last_token, end)

    def answered(self, sighting: Open, now: float, sentence: Span) -> None:
        """A sentence without a name changed a sighting."""
        sighting.last_time = now
        sighting.last_token = max(sighting.last_token, sentence.end)
        sighting.answers.append(sentence.start)


def is_one(sighting: Open) -> bool:
    """Whether one animal was spoken of."""
    return sighting.count is not None and sighting.count.count == ONE
