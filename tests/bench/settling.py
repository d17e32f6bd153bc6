"""What settling is worth when every status is right: gold statuses put in place of the judge's.

The figures of `tests.bench.claims` on clean captions, with our own statuses and certainties and with those of the gold
beside them; what is left to the target with those of the gold is lost elsewhere: a name not heard, two mentions not
joined, a correction not followed, a count. Dives by group, and the marked passages by writer; of blind dives and
held-out passages only the totals.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

from rich.console import Console
from rich.table import Table
from spacy.tokens import Doc

from earwitness.pipeline import draft, drafting
from earwitness.pipeline.judge import Judgement, judge_mentions
from earwitness.pipeline.judge.judgement import PLAIN_STATEMENT, TALK_ONLY
from earwitness.pipeline.mention import Mention
from earwitness.pipeline.score import score_run
from earwitness.pipeline.words.terms import certainty_term
from earwitness.taxonomy import NameIndex, load_checklist
from tests.bench.claims import FIGURES, Figure
from tests.bench.narrations import dives, unseen_dives
from tests.passages.build import passage_files, read_passages
from tests.unseen.build import CHECKLIST, files, read_names

CLEAN = "clean.vtt"
CERTAINTY = {"certain": PLAIN_STATEMENT, "probable": 0.75, "possible": 0.45, "doubtful": 0.1}
"""A number within each term of certainty_terms.csv."""
DENIAL = 0.05
COLUMNS = tuple(
    figure for figure in FIGURES if figure.name in ("sighting F1", "count right", "false rows", "chains right")
)
Score = dict[str, Any]
Gold = Mapping[int, tuple[str, str | None]]
"""Status and certainty term of the gold, by number of the mention."""


@dataclass(frozen=True)
class Pair:
    """The score of one dive with our own statuses, and with those of the gold."""

    own: Score
    gold: Score


def main(console: Console) -> None:
    """Print the table, two rows a group."""
    table = Table(title="Settling: clean captions; * short of the target", caption="false rows by kind: see `claims`")
    for name in ("dives", "statuses", *(figure.name for figure in COLUMNS), "false rows by kind"):
        table.add_column(name, justify="left" if name in ("dives", "statuses") else "right")
    indexes: dict[Path, NameIndex] = {}
    for title, folders in (
        ("development dives", dives()),
        ("opened dives", unseen_dives(opened=True)),
        ("blind dives", unseen_dives()),
    ):
        _add(table, title, [measured(folder, _index(indexes, checklist)) for folder, checklist in folders])
    if CHECKLIST.is_file():
        index = _index(indexes, CHECKLIST)
        groups = [(f"passages: {path.stem}", [path]) for path in passage_files(held_out=False)]
        for title, paths in [*groups, ("passages held out", passage_files(held_out=True))]:
            _add(table, title, [pair for path in paths for pair in measured_passages(path, index)])
    console.print(table)


def _index(known: dict[Path, NameIndex], checklist: Path) -> NameIndex:
    if checklist not in known:
        known[checklist] = NameIndex(load_checklist(checklist))
    return known[checklist]


def _add(table: Table, title: str, pairs: Sequence[Pair]) -> None:
    if not pairs:
        return
    for name, scores in (("own", [pair.own for pair in pairs]), ("gold", [pair.gold for pair in pairs])):
        cells = [_cell(figure, scores) for figure in COLUMNS]
        rows = [score["claims"]["falseRows"] for score in scores]
        kinds = [str(sum(row[kind] for row in rows)) for kind in ("notOccurrence", "repeated", "invented")]
        table.add_row(f"{len(pairs)} {title}", name, *cells, " + ".join(kinds))
    table.add_section()


def _cell(figure: Figure, scores: Sequence[Score]) -> str:
    value = figure.value(scores)
    if value is None or figure.clean is None:
        return "–"
    short = value > figure.clean if figure.at_most else value < figure.clean
    return f"{value:.3f}{'*' if short else ' '}"


def measured_passages(path: Path, index: NameIndex) -> Iterator[Pair]:
    """The score of every dive of a file of passages."""
    for script in read_passages(path, read_names(CHECKLIST)):
        with tempfile.TemporaryDirectory() as folder:
            for name, text in files(script).items():
                (Path(folder) / name).write_text(text, "utf-8")
            yield measured(Path(folder), index)


def measured(folder: Path, index: NameIndex) -> Pair:
    """The score of a dive."""
    mentions, own = _scored(folder, index)
    return Pair(own, _scored(folder, index, gold_statuses(mentions, own))[1])


def gold_statuses(mentions: Sequence[Mapping[str, Any]], score: Score) -> Gold:
    """What the gold says of the mentions of a run that it has, too."""
    numbers = {mention["mentionID"]: number for number, mention in enumerate(mentions)}
    pairs = [pair for pair in score["mentions"]["pairs"] if pair["mentionID"] and pair["goldStatus"]]
    return {numbers[pair["mentionID"]]: (pair["goldStatus"], pair["goldCertaintyTerm"]) for pair in pairs}


def _scored(folder: Path, index: NameIndex, gold: Gold | None = None) -> tuple[list[dict[str, Any]], Score]:
    with tempfile.TemporaryDirectory() as out, _judged(gold or {}):
        run = draft(folder / CLEAN, index)
        run.write(out)
        tables = [folder / "gold_events.csv", folder / "gold_mentions.csv"]
        return run.mentions, score_run(Path(out), tables, checklist=index.checklist).to_json()


@contextmanager
def _judged(gold: Gold) -> Iterator[None]:
    """The judge's answers with those of the gold in their place."""

    def judge(doc: Doc, mentions: tuple[Mention, ...], *rest: Any) -> tuple[Judgement, ...]:
        judged = judge_mentions(doc, mentions, *rest)
        return tuple(corrected(own, *gold[n]) if n in gold else own for n, own in enumerate(judged))

    with patch.object(drafting, "judge_mentions", judge):
        yield


def corrected(own: Judgement, status: Any, term: str | None) -> Judgement:
    """A judgement with the status and certainty of the gold; where both were right, it stays as it is."""
    if own.status == status and (term is None or own.term == term):
        return own
    certainty = None if status in TALK_ONLY else DENIAL if status == "denied" else CERTAINTY.get(term or "")
    return replace(
        own, status=status, certainty=certainty, term=None if certainty is None else certainty_term(certainty)
    )
