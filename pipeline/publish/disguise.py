"""Pseudonyms for people in rows of a finished run, by the same rules and the same key as `earwitness draft` uses.

The talk itself is not at hand any more: people's names are looked for in the utterances that the rows quote, and all
names of the key are replaced. A name in what an animal is called stays.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path

from spacy.language import Language

from earwitness.pipeline.people import Disguise, RecordingPeople, extend_key, find_people, people_of
from earwitness.pipeline.people.key import folded
from earwitness.pipeline.people.pseudonyms import entry_of
from earwitness.pipeline.publish.publisher import Row
from earwitness.pipeline.read import Transcript
from earwitness.pipeline.read.transcript import Cue
from earwitness.pipeline.segment import build_language, segment

_SHORTEST = 0.001
"""Seconds; a cue has to last."""


def disguised(rows: Sequence[Row], mentions: Sequence[Row], key_file: Path) -> list[Row]:
    """The rows with pseudonyms; new names are added to the key.

    Raises:
        InputError: the key is none, or cannot be written.
    """
    nlp = build_language()
    parts = [
        (_people(name, own, [m for m in mentions if m.get("recordingID") == name], nlp), own)
        for name, own in ((name, list(own)) for name, own in groupby(rows, lambda row: str(row["recordingID"])))
    ]
    reviewers = [entry_of(row["reviewedBy"]) for row in rows if row["reviewedBy"]]
    entries = [entry for said, _ in parts for entry in said.entries]
    key = extend_key(key_file, dict.fromkeys([*entries, *reviewers]))
    done = []
    for said, own in parts:
        for row in Disguise(said, key, []).events(own):
            who = row["reviewedBy"]
            done.append(row | {"reviewedBy": key[folded(entry_of(who))] if who else who})
    return done


def _people(name: str, rows: Sequence[Row], mentions: Sequence[Row], nlp: Language) -> RecordingPeople:
    """Who is named in what the rows quote. The text itself is left empty: each row's is disguised by itself."""
    cues = sorted(dict.fromkeys(_cues(rows, mentions)), key=lambda cue: cue.start)
    doc = segment(Transcript(name, "", "webvtt", "utf-8", "", tuple(cues)), nlp)
    said = people_of(name, doc, (), find_people(doc, None, ()))
    labels = dict.fromkeys([*said.labels, *_speakers(rows)])
    return replace(said, text="", utterances=(), mentions=(), sayings=(), labels=tuple(labels))


def _cues(rows: Sequence[Row], mentions: Sequence[Row]) -> Iterator[Cue]:
    seen: set[str] = set()
    for mention in mentions:
        text, start = mention.get("utteranceText"), mention.get("utteranceStart")
        if isinstance(text, str) and isinstance(start, int | float) and text not in seen:
            seen.add(text)
            end = max(float(mention.get("utteranceEnd") or 0), start + _SHORTEST)
            yield Cue(float(start), end, text, speaker=mention.get("speaker"))
    for row in rows:
        for text in row["transcriptText"].split(" | "):
            if text and text not in seen:
                seen.add(text)
                yield Cue(row["startTime"], row["startTime"] + _SHORTEST, text, speaker=row["speaker"])


def _speakers(rows: Iterable[Row]) -> Iterator[str]:
    for row in rows:
        for label in (row["speaker"], *(step["speaker"] for step in row["determinations"])):
            if label:
                yield label
