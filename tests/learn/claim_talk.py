"""The talk that claims are learned from: marked passages and opened dives, heard and judged by the rules.

Each dive comes with punctuation and speakers, without both, and as a recogniser might have heard it, so that what is
learned holds for raw and for heard captions.
"""

from __future__ import annotations

import re
import tempfile
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from spacy.tokens import Doc

from earwitness.pipeline.judge.judge import judge_by_rules
from earwitness.pipeline.judge.judgement import Judgement
from earwitness.pipeline.mention import Mention, find_mentions
from earwitness.pipeline.people import find_people
from earwitness.pipeline.read import read_transcript
from earwitness.pipeline.segment import build_language, segment
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.places import HERE, SHARED
from tests.learn.mishearing import misheard
from tests.passages.build import passage_files, read_passages
from tests.unseen import OPENED
from tests.unseen.build import CHECKLIST, Script, files, read_names, read_script

CAPTIONS = ("clean", "raw", "heard")
_SPEAKER = re.compile(r"^<v [^>]*>", re.MULTILINE)
_WORD = re.compile(r"\w+(?:'\w+)*")
Gold = Mapping[str, Any] | None


@dataclass(frozen=True)
class Lesson:
    """A dive as heard, with the gold of each mention; None where no animal is meant.

    Args:
        group: the writer, or the kind of dive.
        kind: one of CAPTIONS.
        taught: to learn from; the others only measure.
    """

    group: str
    kind: str
    taught: bool
    doc: Doc
    mentions: tuple[Mention, ...]
    judgements: tuple[Judgement, ...]
    gold: tuple[Gold, ...]


def scripts() -> Iterator[tuple[str, bool, Script]]:
    """Group, whether to learn from it, and script of every dive that has marks."""
    names = read_names(CHECKLIST)
    for held_out in (False, True):
        for path in passage_files(held_out=held_out):
            yield from ((path.stem, not held_out, script) for script in read_passages(path, names))
    for folder in sorted(path.parent for path in (HERE / "tests" / "unseen").glob("*/script.jsonl")):
        opened = folder.name in OPENED
        yield ("opened" if opened else "blind"), opened, read_script(folder)
    for folder in sorted(path.parent for path in (SHARED / "narrations").glob("*/script.jsonl")):
        yield "development", True, read_script(folder)


def captions(script: Script, kind: str) -> tuple[Script, str]:
    """The script that was heard, and its captions of a kind, as WebVTT."""
    if kind != "heard":
        return script, files(script)[f"{kind}.vtt"]
    script = misheard(script)
    return script, _SPEAKER.sub("", files(script)["clean.vtt"])


def lessons() -> list[Lesson]:
    """Every dive: what is taught with punctuation and in one of the other captions by turns, the rest in all."""
    index, nlp = NameIndex(load_checklist(CHECKLIST)), build_language(None)
    made = []
    for number, (group, taught, said) in enumerate(scripts()):
        for kind in ("clean", CAPTIONS[1 + number % 2]) if taught else CAPTIONS:
            script, text = captions(said, kind)
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / f"{script.dive}.vtt"
                path.write_text(text, "utf-8")
                doc = segment(read_transcript(path), nlp)
            mentions = find_mentions(doc, index)
            judgements = judge_by_rules(doc, mentions, None, find_people(doc, None, mentions))
            gold = gold_of(doc, mentions, script)
            if gold is not None:
                made.append(Lesson(group, kind, taught, doc, mentions, judgements, gold))
    return made


def gold_of(doc: Doc, mentions: Sequence[Mention], script: Script) -> tuple[Gold, ...] | None:
    """The gold mention that shares a word with each mention; None for all where captions and script part."""
    words, marked = _marked_words(script)
    spans = [match.span() for match in _WORD.finditer(doc.text.lower())]
    if len(spans) != words:
        return None
    begins = [begin for begin, _ in spans]
    found: list[Gold] = []
    for mention in mentions:
        last = doc[mention.end - 1]
        begin, end = doc[mention.start].idx, last.idx + len(last)
        over = range(max(bisect_right(begins, begin) - 1, 0), bisect_right(begins, end - 1))
        found.append(next((marked[n] for n in over if n in marked and spans[n][1] > begin), None))
    return tuple(found)


def _marked_words(script: Script) -> tuple[int, dict[int, Mapping[str, Any]]]:
    """How many words a script has, and the gold mention of those that are in one."""
    number = 0
    marked: dict[int, Mapping[str, Any]] = {}
    for turn in script.utterances:
        spans, place = [], 0
        for gold in turn.gold:
            at = turn.text.index(gold["verbatim"], place)
            place = at + len(gold["verbatim"])
            if gold["kind"] == "sighting":
                spans.append((at, place, gold))
        for match in _WORD.finditer(turn.text.lower()):
            for begin, end, gold in spans:
                if match.start() < end and match.end() > begin:
                    marked[number] = gold
            number += 1
    return number, marked
