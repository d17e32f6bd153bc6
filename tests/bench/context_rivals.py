"""Our judge beside a general-purpose ConText implementation (medspaCy), on the same utterances and the same names.

Development only. medspaCy is none of the project's dependencies and wants an older spaCy than we do, so it lives in an
environment of its own:

    python3 -m venv build/medspacy
    build/medspacy/bin/pip install medspacy
    build/medspacy/bin/pip install --no-deps --editable .
    build/medspacy/bin/pip install "spacy>=3.8,<4" rapidfuzz polars pandas jsonschema referencing inflect wordfreq \\
        ttconv scipy marisa-trie usearch typer rich
    build/medspacy/bin/python -m tests.bench.context_rivals

(pip complains that medspaCy asks for spaCy below 3.8; its ConText runs with 3.8 all the same.)

Names and statuses are the gold's, so nothing depends on what was found. Three judges:

- medspaCy, own rules: as it comes. Negated existence is read as denied, possible and hypothetical existence as hedged,
  historical as recalled; no modifier as observed. It knows of no questions, similes, general talk or other places.
- medspaCy, our cues: `words/claims.csv` as ConText rules, with directions, numbers of words, terminations and
  pseudo-cues; words are given to it in full ("is not" for "isn't"), and a question mark is a cue backward. Of several
  cues the stronger wins, in the order of our judge.
- ours: `judge_mentions`.
"""

from __future__ import annotations

import importlib.util
import re
import warnings
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table
from spacy.language import Language
from spacy.tokens import Doc, Span, SpanGroup

from earwitness.pipeline.judge import judge_mentions
from earwitness.pipeline.judge.cues import claim_words
from earwitness.pipeline.mention import Candidate, Mention
from earwitness.pipeline.people import find_people
from earwitness.pipeline.read import read_transcript
from earwitness.pipeline.score import read_gold
from earwitness.pipeline.score.figures import GOLD_STATUSES, STATUSES, confusion
from earwitness.pipeline.segment import build_language, segment
from earwitness.pipeline.words import word_rows
from tests.bench.narrations import dives, unseen_dives

SHARED_STATUSES = ("observed", "hedged", "denied", "recalled")
"""What medspaCy's own rules can say, too."""
SHOWN_APART = ("denied", "hedged", "asked")
_OWN = {
    "NEGATED_EXISTENCE": "denied",
    "HISTORICAL": "recalled",
    "POSSIBLE_EXISTENCE": "hedged",
    "HYPOTHETICAL": "hedged",
}
_OURS = {
    "simile": "compared",
    "general": "general",
    "recalled": "recalled",
    "elsewhere": "elsewhere",
    "negation": "denied",
    "absence": "denied",
    "question": "asked",
    "hedge": "hedged",
}
"""Statuses of modifiers; of several the first of these wins."""
_DIRECTIONS = {"forward": "FORWARD", "backward": "BACKWARD", "both": "BIDIRECTIONAL", "forward first": "BIDIRECTIONAL"}
_WALLS = {"termination", "restart", "wh"}
_GROUP = "names"


@dataclass(frozen=True)
class Dive:
    """A dive's talk with the gold's names in it: token spans in order, and what the gold says of each."""

    doc: Doc
    spans: tuple[tuple[int, int], ...]
    statuses: tuple[str, ...]
    lost: int


Judge = Callable[[Dive], Sequence[str]]


def main(console: Console) -> None:
    """Print a table for the talk as written, and one for the same words without punctuation and capitals."""
    if importlib.util.find_spec("medspacy") is None:
        console.print("medspaCy is not installed: tests/bench/context_rivals.py says how to compare with it.")
        return
    # Its own code, and spaCy's note on versions, are not ours to mend.
    warnings.simplefilter("ignore")
    nlp = build_language()
    judges = {"medspaCy, own rules": own_rules(nlp), "medspaCy, our cues": our_cues(nlp), "ours": ours}
    for title, folders in (("development", dives()), ("opened", unseen_dives(opened=True)), ("blind", unseen_dives())):
        for how, change in (("as written", str), ("no punctuation, no capitals", bare)):
            talk = [read_dive(folder, nlp, change) for folder, _ in folders]
            if talk:
                console.print(table(f"{title} dives, {how}", talk, judges))


def table(title: str, talk: Sequence[Dive], judges: dict[str, Judge]) -> Table:
    """A row a judge: macro F1 on the statuses both know, on all eight, and the share right of some."""
    gold = [status for dive in talk for status in dive.statuses]
    lost = sum(dive.lost for dive in talk)
    shown = Table(title=f"{title}: {len(gold)} names" + (f" ({lost} not found in the text)" if lost else ""))
    shared = sum(status in SHARED_STATUSES for status in gold)
    columns = [f"macro F1 of {len(SHARED_STATUSES)}, {shared} names", f"macro F1 of {len(GOLD_STATUSES)}"]
    columns += [f"{status} right, of {gold.count(status)}" for status in SHOWN_APART]
    for column in ("", *columns):
        shown.add_column(column, justify="right" if column else "left")
    for name, judge in judges.items():
        pairs = list(zip(gold, [status for dive in talk for status in judge(dive)], strict=True))
        both = confusion(STATUSES, [pair for pair in pairs if pair[0] in SHARED_STATUSES], averaged=SHARED_STATUSES)
        all_eight = confusion(STATUSES, pairs, averaged=GOLD_STATUSES)
        right = [all_eight.rates(status).recall for status in SHOWN_APART]
        figures = (both.macro.f1, all_eight.macro.f1, *right)
        shown.add_row(name, *("–" if figure is None else f"{figure:.3f}" for figure in figures))
    return shown


def read_dive(folder: Path, nlp: Language, change: Callable[[str], str]) -> Dive:
    """The clean captions of a dive, each changed, with every gold name that stands in its utterance."""
    transcript = read_transcript(folder / "clean.vtt")
    cues = tuple(replace(cue, text=change(cue.text), words=()) for cue in transcript.cues)
    cues = tuple(cue for cue in cues if cue.text)
    doc = segment(replace(transcript, cues=cues), nlp)
    begins, offset = {}, 0
    for cue in cues:
        begins[round(cue.start, 2)] = (offset, cue.text)
        offset += len(cue.text) + 1
    placed: dict[tuple[int, int], str] = {}
    lost = 0
    for mention in read_gold(folder / "gold_mentions.csv").mentions or ():
        if mention.kind != "sighting" or mention.status is None:
            continue
        at, text = begins.get(round(mention.start, 2), (0, ""))
        span = _span(doc, at, text, change(mention.verbatim), placed)
        if span is None:
            lost += 1
        else:
            placed[span] = mention.status
    spans = tuple(sorted(placed))
    return Dive(doc, spans, tuple(placed[span] for span in spans), lost)


def _span(doc: Doc, offset: int, text: str, words: str, taken: Iterable[tuple[int, int]]) -> tuple[int, int] | None:
    """Tokens of the first place where the words stand and no name has been placed."""
    for found in re.finditer(rf"(?<!\w){re.escape(words)}(?!\w)", text, re.IGNORECASE):
        span = doc.char_span(offset + found.start(), offset + found.end(), alignment_mode="expand")
        if span is not None and not any(span.start < end and start < span.end for start, end in taken):
            return span.start, span.end
    return None


def bare(text: str) -> str:
    """Text as a recogniser without punctuation writes it."""
    return " ".join(re.sub(r"[^\w\s'’]", " ", text).casefold().split())


def ours(dive: Dive) -> Sequence[str]:
    """What our judge says of each name."""
    mentions = tuple(
        Mention(start, end, dive.doc[start:end].text, (Candidate(0, 0, "", "exact", 1.0),)) for start, end in dive.spans
    )
    return [found.status for found in judge_mentions(dive.doc, mentions, people=find_people(dive.doc))]


def own_rules(nlp: Language) -> Judge:
    """medspaCy's ConText as it comes."""
    from medspacy.context import ConText

    context = ConText(nlp, input_span_type="group", span_group_name=_GROUP)
    return lambda dive: _judged(context, _copy(dive.doc, [token.text for token in dive.doc]), dive.spans, _OWN)


def our_cues(nlp: Language) -> Judge:
    """medspaCy's ConText with our word list."""
    from medspacy.context import ConText, ConTextRule

    context = ConText(nlp, rules=None, span_attrs=None, input_span_type="group", span_group_name=_GROUP)
    rules = [ConTextRule("?", "question", direction="BACKWARD")]
    for row in word_rows("claims"):
        words, category, reach = row["phrase"].split(), row["category"], row["reach"]
        direction = "TERMINATE" if category in _WALLS else "PSEUDO" if category.startswith("pseudo") else None
        rules.append(
            ConTextRule(
                row["phrase"],
                category,
                pattern=[{"LOWER": word.lower()} for word in words],
                direction=direction or _DIRECTIONS.get(row["direction"], "BIDIRECTIONAL"),
                max_scope=int(reach.split()[0]) if reach.endswith(" words") else None,
            )
        )
    context.add(rules)

    def judge(dive: Dive) -> Sequence[str]:
        in_full = dict(claim_words(list(dive.doc)))
        words = [in_full.get(token.i, token.text) for token in dive.doc]
        return _judged(context, _copy(dive.doc, words), dive.spans, _OURS)

    return judge


def _copy(doc: Doc, words: Sequence[str]) -> Doc:
    """The same tokens and sentences, written otherwise."""
    starts = [bool(token.is_sent_start) for token in doc]
    return Doc(doc.vocab, words=list(words), sent_starts=starts)


def _judged(context: Any, doc: Doc, spans: Sequence[tuple[int, int]], statuses: dict[str, str]) -> Sequence[str]:
    doc.spans[_GROUP] = SpanGroup(doc, name=_GROUP, spans=[Span(doc, start, end, label="NAME") for start, end in spans])
    context(doc)
    told = []
    for span in doc.spans[_GROUP]:
        met = {modifier.category.casefold() for modifier in span._.modifiers}
        told.append(next((status for category, status in statuses.items() if category.casefold() in met), "observed"))
    return told


if __name__ == "__main__":
    main(Console(width=150))
