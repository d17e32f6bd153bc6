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

from rich.console import Console
from rich.table import Table
from spacy.language import Language
from spacy.tokens import Doc

from earwitness.pipeline.describe import describe
from earwitness.pipeline.judge import judge_mentions
from earwitness.pipeline.mention import Mention, find_mentions
from earwitness.pipeline.people import find_people
from earwitness.pipeline.read import Cue, Transcript, read_transcript
from earwitness.pipeline.segment import build_language, segment
from earwitness.pipeline.settle import settle, take_notes
from earwitness.taxonomy import Checklist, open_index
from tests.bench.places import FIXTURES

DIVE = FIXTURES / "quillmere_canyon"
HOURS = (1, 3, 10, 100)
PATIENCE = 300.0
"""A length that would take more seconds than this is not tried."""
HOUR = 3600.0
PAUSE = 1.0
"""Seconds behind every caption: more than what joins two captions to one utterance."""
TARGET = 3.0
"""Seconds that these stages may add to an hour of talk."""
STAGES = ("people", "judge", "settle", "describe", "notes")
Given = TypeVar("Given")


@dataclass(frozen=True)
class Lap:
    """Of one length: hours, words, mentions, sightings, seconds of segmenting, and seconds by stage."""

    hours: int
    words: int
    mentions: int
    sightings: int
    segmenting: float
    seconds: dict[str, float]

    @property
    def per_hour(self) -> float:
        """Seconds of all stages together, an hour of talk."""
        return sum(self.seconds.values()) / self.hours


def main(console: Console) -> None:
    """Print a table, a row a length."""
    index, nlp = open_index(DIVE / "checklist.csv"), build_language()
    hour = an_hour()
    doc = segment(_transcript(hour), nlp)
    mentions, finding = _timed(lambda: find_mentions(doc, index))
    console.print(f"Finding names, apart: {finding:.2f} s in an hour ({len(doc)} tokens, {len(mentions)} mentions).")
    # What is read once and kept (word lists) belongs to no hour.
    measured(1, hour, mentions, nlp, index.checklist)
    laps: list[Lap] = []
    for hours in HOURS:
        if laps and (expected := foreseen(laps, hours)) > PATIENCE:
            console.print(f"{hours} hours not measured: at the growth so far they would take {expected:,.0f} s.")
            continue
        laps.append(measured(hours, hour, mentions, nlp, index.checklist))
    console.print(table(laps))


def foreseen(laps: Sequence[Lap], hours: int) -> float:
    """Seconds that so many hours will take if the time an hour goes on growing as it did from the first to the last."""
    last = laps[-1]
    longer, slower = last.hours / laps[0].hours, last.per_hour / laps[0].per_hour
    power = math.log(slower) / math.log(longer) if longer > 1 else 0.0
    return last.per_hour * hours * (hours / last.hours) ** power


def table(laps: Sequence[Lap]) -> Table:
    """Seconds an hour by stage, and how the sum compares with that of the shortest talk."""
    shown = Table(
        title=f"Seconds added to an hour of talk (target: at most {TARGET:g} s, and growing with length alone)"
    )
    for column in ("hours", "words", "mentions", "sightings", "segment", *STAGES, "sum", "to the first"):
        shown.add_column(column, justify="right")
    for lap in laps:
        stages = [f"{lap.seconds[stage] / lap.hours:.3f}" for stage in STAGES]
        short = "*" if lap.per_hour > TARGET else ""
        shown.add_row(
            str(lap.hours),
            f"{lap.words:,}",
            f"{lap.mentions:,}",
            f"{lap.sightings:,}",
            f"{lap.segmenting / lap.hours:.3f}",
            *stages,
            f"{lap.per_hour:.3f}{short}",
            f"{lap.per_hour / laps[0].per_hour:.2f}",
        )
    return shown


def measured(hours: int, hour: Sequence[Cue], found: Sequence[Mention], nlp: Language, checklist: Checklist) -> Lap:
    """Run the stages on so many hours, in which every hour has the same mentions."""
    cues = repeated(hour, hours)
    doc, segmenting = _timed(lambda: segment(_transcript(cues), nlp))
    mentions = _spread(found, doc, hours)
    seconds: dict[str, float] = {}
    people, seconds["people"] = _timed(lambda: find_people(doc))
    judgements, seconds["judge"] = _timed(lambda: judge_mentions(doc, mentions, None, people))
    sightings, seconds["settle"] = _timed(lambda: settle(doc, mentions, judgements, checklist))
    _, seconds["describe"] = _timed(lambda: describe(doc, mentions, judgements, sightings, checklist))
    _, seconds["notes"] = _timed(lambda: take_notes(doc, mentions))
    words = sum(len(cue.text.split()) for cue in cues)
    return Lap(hours, words, len(mentions), len(sightings), segmenting, seconds)


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


def repeated(hour: Sequence[Cue], hours: int) -> list[Cue]:
    """The hour again and again."""
    return [
        replace(cue, start=cue.start + HOUR * number, end=cue.end + HOUR * number)
        for number in range(hours)
        for cue in hour
    ]


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
