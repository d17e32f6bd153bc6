"""Ordinary English prose with no dive in it: the reference texts of the Python documentation.

They come with every Python (`pydoc_data.topics`, copyright Python Software Foundation, PSF licence). Code, tables and
cross-references are left out.
"""

from __future__ import annotations

import random
import re
from pydoc_data.topics import topics

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
