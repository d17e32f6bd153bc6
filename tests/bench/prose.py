"""False mentions in ordinary English prose that nothing was learned from.

`python -m tests.bench prose`. Texts: the sentences of the Python documentation that `tests.learn` did not
learn from; where they are installed, the licences of Debian's base-files and the sayings of Debian's package fortunes;
and any *.txt of the user's own under build/prose. Whoever lacks one of them has a shorter table.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from pydoc_data.topics import topics

from rich.console import Console
from rich.table import Table
from spacy.language import Language

from earwitness.pipeline.mention import find_mentions
from earwitness.pipeline.mention.heard import ACCEPTED
from earwitness.pipeline.mention.spoken_words import spoken_words
from earwitness.pipeline.segment import build_language
from earwitness.taxonomy import NameIndex, open_index
from tests.bench.places import HERE, SHARED
from tests.learn.prose import prose
from tests.learn.spans import PROSE

LISTS = ("marine_ncbi.csv.gz", "demo_seas.csv")
SCORES = (ACCEPTED, 0.6, 0.7, 0.8, 0.9)
WORST = 15
MOST = 1500
"""Sentences of a text that are read, drawn with a seed: the sayings alone are 100,000 words."""
PASSAGE = 25
"""Sentences of one Doc: what is named in a passage counts for the names around it, as on a dive."""
_SENTENCE = re.compile(r"(?<=[.!?])\s+(?=[A-Z\"'])")
_PLAIN = re.compile(r"[A-Z][A-Za-z ,;:'’\"()-]{20,300}[.!?][\"']?")
"""A sentence in words: no code, numbers, addresses or tables."""
_LICENCES = Path("/usr/share/common-licenses")
"""Debian Policy 4.7, 12.5: where Debian systems keep the texts of common licences."""
_FORTUNES = Path("/usr/share/games/fortunes")


@dataclass(frozen=True)
class Heard:
    """A mention found by how it sounds, in prose."""

    words: str
    name: str
    score: float
    sentence: str


@dataclass(frozen=True)
class Count:
    """What was found in a text: its words, mentions found by sound, and those found in any other way (not all false:
    prose speaks of fish, too)."""

    words: int
    heard: tuple[Heard, ...]
    other: int


def main(console: Console) -> None:
    """Print mentions in 1,000 words by text and list, then the heard ones with the highest scores."""
    lists = [path for path in (SHARED / "checklists" / name for name in LISTS) if path.exists()]
    if not lists:
        console.print("The checklists do not lie beside the checkout: no prose measured.")
        return
    of = texts()
    nlp = build_language()
    for path in lists:
        index = open_index(path)
        counts = {name: count(sentences, index, nlp) for name, sentences in of.items()}
        console.print(table(path.name, counts))
        worst = sorted((heard for one in counts.values() for heard in one.heard), key=lambda heard: -heard.score)
        for heard in worst[:WORST]:
            console.print(f"  {heard.score:.2f}  {heard.words!r} for {heard.name}: {heard.sentence}", markup=False)


def texts() -> dict[str, list[str]]:
    """Sentences by text; only texts that are there."""
    learned = {_bare(sentence) for sentence in prose(PROSE)}
    topic = (sentence for text in topics.values() for sentence in _sentences(text))
    found = {"Python documentation": [s for s in dict.fromkeys(topic) if _bare(s) not in learned]}
    if _LICENCES.is_dir():
        files = sorted(path for path in _LICENCES.iterdir() if not path.is_symlink())
        found["licences"] = _distinct(files)
    sayings = sorted(path for path in _FORTUNES.iterdir() if not path.suffix) if _FORTUNES.is_dir() else []
    if sayings:
        found["fortunes"] = _distinct(sayings)
    for own in sorted((HERE / "build" / "prose").glob("*.txt")):
        found[own.stem] = _distinct([own])
    return {name: _drawn(sentences) for name, sentences in found.items() if sentences}


def _drawn(sentences: list[str]) -> list[str]:
    """Runs of PASSAGE sentences, in order."""
    passages = [sentences[first : first + PASSAGE] for first in range(0, len(sentences), PASSAGE)]
    places = sorted(random.Random(4).sample(range(len(passages)), min(len(passages), MOST // PASSAGE)))
    return [sentence for at in places for sentence in passages[at]]


def count(sentences: Sequence[str], index: NameIndex, nlp: Language) -> Count:
    """Mentions in sentences, found a passage at a time."""
    words = other = 0
    heard: list[Heard] = []
    for first in range(0, len(sentences), PASSAGE):
        doc = nlp(" ".join(sentences[first : first + PASSAGE]))
        words += len(spoken_words(doc))
        for mention in find_mentions(doc, index):
            if mention.best.how == "similar" or any(c.how == "similar" for c in mention.candidates[:2]):
                sentence = doc[mention.start].sent.text
                heard.append(Heard(mention.text, mention.best.matched, mention.best.score, sentence))
            else:
                other += 1
    return Count(words, tuple(heard), other)


def table(checklist: str, counts: dict[str, Count]) -> Table:
    """Mentions in 1,000 words, a line a text."""
    shown = Table(title=f"Ordinary prose, {checklist}: mentions in 1,000 words (target: at most one heard)")
    columns = [f"heard, score >= {least}" for least in SCORES]
    for column in ("text", "words", *columns, "exact and others"):
        shown.add_column(column, justify="left" if column == "text" else "right")
    whole = Count(
        sum(one.words for one in counts.values()),
        tuple(heard for one in counts.values() for heard in one.heard),
        sum(one.other for one in counts.values()),
    )
    for name, one in {**counts, "all": whole}.items():
        found = [sum(heard.score >= least for heard in one.heard) for least in SCORES]
        shown.add_row(name, f"{one.words:,}", *(f"{1000 * n / one.words:.2f}" for n in (*found, one.other)))
    return shown


def _distinct(files: Sequence[Path]) -> list[str]:
    """The sentences of files, each once, in order."""
    texts = (file.read_text(encoding="utf-8", errors="replace") for file in files)
    return list(dict.fromkeys(sentence for text in texts for sentence in _sentences(text)))


def _bare(sentence: str) -> str:
    """A sentence's letters: a list's mark or a quotation mark makes no other sentence."""
    return re.sub(r"[^a-z]", "", sentence.lower())


def _sentences(text: str) -> Iterator[str]:
    """The sentences of a text's paragraphs (a fortune ends with a line of %)."""
    for paragraph in re.split(r"\n\s*\n|\n%\n", text):
        for part in _SENTENCE.split(" ".join(paragraph.split())):
            if _PLAIN.fullmatch(part):
                yield part
