"""How the time of the stages after finding names grows with the length of the talk: 1, 10 and 100 hours.

An hour is the built-in dive's captions, clean and as heard, over and over in an order shuffled anew each time, each
with its own length and a pause behind it. Longer talk is that hour again and again. Names are found in the first hour
and its mentions repeated (finding them is measured there, apart). Everything runs in this process, on one core; times
are processor seconds.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from rich.console import Console
from rich.table import Table
from spacy.attrs import SENT_START
from spacy.tokens import Doc

from earwitness.pipeline.describe import describe
from earwitness.pipeline.judge import Judgement, judge_mentions
from earwitness.pipeline.mention import Mention, find_mentions
from earwitness.pipeline.people import find_people
from earwitness.pipeline.read import Cue, Transcript, read_transcript
from earwitness.pipeline.segment import UTTERANCES, TokenTimes, build_language, segment, times_of
from earwitness.pipeline.segment.timing import set_times
from earwitness.pipeline.settle import settle, take_notes
from earwitness.taxonomy import Checklist, open_index
from tests.bench.places import FIXTURES

DIVE = FIXTURES / "quillmere_canyon"
HOURS = (1, 3, 10, 100)
PATIENCE = 300.0
"""A stage that would take more seconds than this is left out of a length; what it gave in the hour is repeated."""
HOUR = 3600.0
PAUSE = 1.0
"""Seconds behind every caption: more than what joins two captions to one utterance."""
TARGET = 3.0
"""Seconds that these stages may add to an hour of talk."""
STAGES = ("people", "judge", "settle", "describe", "notes")
Given = TypeVar("Given")


@dataclass(frozen=True)
class Hour:
    """The hour that is repeated."""

    doc: Doc
    mentions: Sequence[Mention]
    judgements: Sequence[Judgement]


@dataclass(frozen=True)
class Lap:
    """Of one length: hours, words, mentions, sightings, and seconds by stage, without those left out."""

    hours: int
    words: int
    mentions: int
    sightings: int
    seconds: dict[str, float]

    @property
    def per_hour(self) -> float:
        """Seconds of all stages together, an hour of talk."""
        return sum(self.seconds.values()) / self.hours


def main(console: Console) -> None:
    """Print a table, a row a length."""
    index, nlp = open_index(DIVE / "checklist.csv"), build_language()
    hour = an_hour()
    doc, segmenting = _timed(lambda: segment(_transcript(hour), nlp))
    mentions, finding = _timed(lambda: find_mentions(doc, index))
    console.print(
        f"Apart, an hour of {len(doc)} tokens and {len(mentions)} mentions: segmenting {segmenting:.2f} s, finding "
        f"names {finding:.2f} s."
    )
    judgements = judge_mentions(doc, mentions, None, find_people(doc))
    first = Hour(doc, mentions, judgements)
    # What is read once and kept (word lists) belongs to no hour.
    measured(1, first, index.checklist)
    laps: list[Lap] = []
    for hours in HOURS:
        left_out = [stage for stage in STAGES if laps and foreseen(laps, hours, stage) > PATIENCE]
        for stage in left_out:
            told = f"{foreseen(laps, hours, stage):,.0f} s"
            console.print(f"{hours} hours: {stage} left out; at the growth so far it would take {told}.")
        laps.append(measured(hours, first, index.checklist, left_out))
    console.print(table(laps))


def foreseen(laps: Sequence[Lap], hours: int, stage: str) -> float:
    """Seconds that a stage will take if the time an hour goes on growing as it did from the first lap to the last."""
    timed = [lap for lap in laps if stage in lap.seconds]
    first, last = timed[0], timed[-1]
    longer = last.hours / first.hours
    slower = (last.seconds[stage] / last.hours) / max(first.seconds[stage] / first.hours, 1e-6)
    power = math.log(slower) / math.log(longer) if longer > 1 and slower > 0 else 0.0
    return last.seconds[stage] / last.hours * hours * (hours / last.hours) ** max(power, 0.0)


def table(laps: Sequence[Lap]) -> Table:
    """Seconds an hour by stage, and how the sum compares with that of the shortest talk."""
    shown = Table(
        title=f"Seconds added to an hour of talk (target: at most {TARGET:g} s, and growing with length alone)"
    )
    for column in ("hours", "words", "mentions", "sightings", *STAGES, "sum", "to the first"):
        shown.add_column(column, justify="right")
    for lap in laps:
        stages = [f"{lap.seconds[stage] / lap.hours:.3f}" if stage in lap.seconds else "–" for stage in STAGES]
        short = "*" if lap.per_hour > TARGET else ""
        alike = sum(laps[0].seconds[stage] for stage in lap.seconds) / laps[0].hours
        shown.add_row(
            str(lap.hours),
            f"{lap.words:,}",
            f"{lap.mentions:,}",
            f"{lap.sightings:,}",
            *stages,
            f"{lap.per_hour:.3f}{short}",
            f"{lap.per_hour / alike:.2f}",
        )
    return shown


def measured(hours: int, first: Hour, checklist: Checklist, left_out: Sequence[str] = ()) -> Lap:
    """Run the stages on so many hours, in which every hour has the same mentions."""
    doc = repeated(first.doc, hours)
    mentions = _spread(first.mentions, doc, hours)
    seconds: dict[str, float] = {}
    people = None
    if "people" not in left_out:
        people, seconds["people"] = _timed(lambda: find_people(doc))
    judgements = tuple(first.judgements) * hours
    if "judge" not in left_out:
        judgements, seconds["judge"] = _timed(lambda: judge_mentions(doc, mentions, None, people))
    sightings, seconds["settle"] = _timed(lambda: settle(doc, mentions, judgements, checklist))
    if "describe" not in left_out:
        _, seconds["describe"] = _timed(lambda: describe(doc, mentions, judgements, sightings, checklist))
    if "notes" not in left_out:
        _, seconds["notes"] = _timed(lambda: take_notes(doc, mentions))
    words = sum(token.is_alpha for token in first.doc) * hours
    return Lap(hours, words, len(mentions), len(sightings), seconds)


def an_hour() -> list[Cue]:
    """An hour of captions, the same each time."""
    shuffler = random.Random(0)
    talk = [cue for captions in ("clean", "heard") for cue in read_transcript(DIVE / f"{captions}.vtt").cues]
    cues: list[Cue] = []
    now = 0.0
    while True:
        for cue in shuffler.sample(talk, len(talk)):
            length = cue.end - cue.start
            if now + length + PAUSE > HOUR:
                return cues
            cues.append(Cue(now, now + length, cue.text, speaker=cue.speaker))
            now += length + PAUSE


def repeated(hour: Doc, hours: int) -> Doc:
    """The hour again and again as one Doc, with its sentences, utterances and times."""
    doc = Doc.from_docs([hour] * hours, ensure_whitespace=False, exclude=["user_data", "spans"])
    size, times = len(hour), times_of(hour)
    starts = [start for start in range(size) if hour[start].is_sent_start]
    sentences = np.full(len(doc), -1, dtype=np.int64)
    for number in range(hours):
        sentences[[number * size + start for start in starts]] = 1
    doc.from_array([SENT_START], sentences.astype(np.uint64))
    doc.spans[UTTERANCES] = [
        doc[span.start + number * size : span.end + number * size]
        for number in range(hours)
        for span in hour.spans[UTTERANCES]
    ]
    moved = np.repeat(np.arange(hours) * HOUR, size)
    cues = tuple(
        replace(cue, start=cue.start + HOUR * number, end=cue.end + HOUR * number)
        for number in range(hours)
        for cue in times.cues
    )
    owners = np.tile(times.cue, hours)
    owners = np.where(owners < 0, owners, owners + np.repeat(np.arange(hours) * len(times.cues), size))
    set_times(
        doc,
        TokenTimes(
            np.tile(times.start, hours) + moved,
            np.tile(times.end, hours) + moved,
            np.tile(times.uncertainty, hours),
            owners,
            cues,
        ),
    )
    return doc


def _spread(found: Sequence[Mention], doc: Doc, hours: int) -> tuple[Mention, ...]:
    """The mentions of one hour in every hour: each hour has the same tokens.

    Raises:
        ValueError: it has not.
    """
    size = len(doc) // hours if len(doc) % hours == 0 else 0
    if any(doc[m.start : m.end].text != m.text for m in found) or not size:
        raise ValueError("the hours do not have the same tokens")
    return tuple(replace(m, start=m.start + size * n, end=m.end + size * n) for n in range(hours) for m in found)


def _transcript(cues: Sequence[Cue]) -> Transcript:
    return Transcript("long_talk", "", "webvtt", "utf-8", "", tuple(cues))


def _timed(call: Callable[[], Given]) -> tuple[Given, float]:
    """What a call gives, and its processor seconds: others on the machine do not disturb these."""
    began = time.process_time()
    given = call()
    return given, time.process_time() - began


if __name__ == "__main__":
    main(Console(width=150))
