"""Ordinary English: prose with no dive in it, the reference texts of the Python documentation, and talk of dives.

The reference texts come with every Python (`pydoc_data.topics`, copyright Python Software Foundation, PSF licence).
Code, tables and cross-references are left out.
"""

from __future__ import annotations

import csv
import random
import re
from pydoc_data.topics import topics

from earwitness.pipeline.read import read_transcript
from tests.bench.places import FIXTURES, HERE
from tests.unseen import OPENED

UNSEEN = HERE / "tests" / "unseen"
TAUGHT = ("castellune_canyon_14", "veyra_shelf_13")
"""Dives of tests/unseen that rule writers have read, so that no figure on a blind one is of what was learned."""
_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")
_PLAIN = re.compile(r"[A-Z][A-Za-z ,;:'’-]{30,200}[.!?]")


def prose(count: int, seed: int = 4) -> list[str]:
    """Sentences of letters and common punctuation only, drawn with a seed."""
    found: set[str] = set()
    for topic in topics.values():
        for paragraph in topic.split("\n\n"):
            if not paragraph.startswith((" ", "*", "-", ">", "+", "|")):
                text = " ".join(paragraph.split())
                found.update(part for part in _SENTENCE.split(text) if _PLAIN.fullmatch(part))
    return random.Random(seed).sample(sorted(found), min(count, len(found)))


def dive_talk() -> list[str]:
    """Utterances of invented dives with a plain word where an animal was named: talk over video with no bent name.

    Of the built-in dive and of TAUGHT; the narrations beside the checkout are left out, so
    that what is measured on them as heard is not learned from.
    """
    if not set(TAUGHT) <= set(OPENED):
        raise ValueError("a blind dive must not be learned from")
    folders = [FIXTURES / "quillmere_canyon", *(UNSEEN / name for name in TAUGHT)]
    found = []
    for folder in folders:
        with (folder / "gold_mentions.csv").open(encoding="utf-8", newline="") as lines:
            named = [row["verbatim"] for row in csv.DictReader(lines) if row["kind"] == "sighting"]
        names = re.compile("|".join(rf"\b{re.escape(name)}\b" for name in sorted(set(named), key=len, reverse=True)))
        for cue in read_transcript(folder / "clean.vtt").cues:
            found.append(names.sub("fish", cue.text))
    return found
