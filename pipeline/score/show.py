"""A score as tables people read.

In: a `Score`. Out: a rich renderable; a dash stands where there is nothing to take a share of.
Refuses to pass on markup or control characters: names and words come from files and are shown as plain text.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from earwitness.pipeline.score.claims import ClaimScore
from earwitness.pipeline.score.events import EventPair, EventScore
from earwitness.pipeline.score.figures import Confusion, Rates, share
from earwitness.pipeline.score.mentions import MentionPair, MentionScore
from earwitness.pipeline.score.names import Agreement
from earwitness.pipeline.score.run import Score

LEVEL_WORDS = {
    "detection": "found in time, any name",
    "taxon": "same taxon",
    "species": "same species",
    "genus": "same genus",
    "family": "same family",
    "rightOrAncestor": "right or an ancestor",
}
VERDICTS = {
    Agreement.SAME_TAXON: "same taxon",
    Agreement.SAME_GENUS: "same genus",
    Agreement.SAME_FAMILY: "same family",
    Agreement.ANCESTOR: "an ancestor",
    Agreement.DESCENDANT: "too specific",
    Agreement.NONE: "another name",
}


def render(score: Score, *, differences: int | None = 20) -> Group:
    """Tables of a score: rates, what else was compared, and the rows that differ.

    Args:
        score: from `score_run`.
        differences: at most so many differing rows of each kind are listed; None: all. The rest is counted.
    """
    head = f"Recording {score.recording or 'unnamed'}: {score.run} against {', '.join(score.gold)}"
    parts: list[RenderableType] = [_text(head, "bold"), _claims_table(score.claims)]
    if score.events:
        parts += _event_parts(score.events, differences)
    if score.mentions:
        parts += _mention_parts(score.mentions, differences)
    parts += [_text(f"Noted: {problem}", "yellow") for problem in score.problems]
    return Group(*parts)


def _claims_table(score: ClaimScore) -> Table:
    """One line a figure; what has no gold to be measured against is left out."""
    table = _table("Claims", ("", "right", "of", "share"))
    if score.sighting is not None:
        right, rates = score.sighting.correct, score.sighting
        table.add_row("sighting with the right name, precision", str(right), str(rates.in_run), _share(rates.precision))
        table.add_row("  recall", str(right), str(rates.in_gold), _share(rates.recall))
        table.add_row("  F1", "", "", _share(rates.f1))
    if (false := score.false_rows) is not None:
        table.add_row(
            "rows that are no sighting", str(false.false), str(false.rows), _share(share(false.false, false.rows))
        )
        table.add_row("  not an occurrence", str(false.not_occurrence), "", "")
        table.add_row("  recorded already", str(false.repeated), "", "")
        table.add_row("  nothing like it there", str(false.invented), "", "")
    if (chains := score.chains) is not None:
        for words, part, whole in (
            ("changed names that ended right", chains.right, chains.chains),
            ("withdrawn animals left out", chains.left_out, chains.withdrawn),
        ):
            table.add_row(words, str(part), str(whole), _share(share(part, whole)))
    if (count := score.count) is not None:
        table.add_row("count right", str(count.exact), str(count.asked), _share(share(count.exact, count.asked)))
    if score.mention_order is not None:
        table.add_row("status, mean F1 over gold's eight", "", "", _share(score.status_f1))
    for words, order in (("events", score.event_order), ("mentions", score.mention_order)):
        if order is not None:
            table.add_row(f"order of certainty, {words} (tau-b)", "", str(order.pairs), _share(order.tau))
    return table


def _event_parts(score: EventScore, differences: int | None) -> list[RenderableType]:
    rates = [(LEVEL_WORDS[level], score.levels[level]) for level in score.levels]
    occurrence, count, qualifier = score.occurrence, score.count, score.qualifier
    also = _table("Events, what else was compared", ("", "rows", "of", "share"))
    for words, part, whole in (
        ("too specific: below the gold's taxon", score.too_specific, score.levels["detection"].correct),
        (
            "not an occurrence, but recorded",
            occurrence.recorded_not_occurrence,
            occurrence.recorded_not_occurrence + occurrence.left_out,
        ),
        ("recorded with no gold beside it", occurrence.without_gold, score.levels["detection"].in_run),
        ("certainty term agrees", score.certainty.micro.correct, score.certainty.total),
        ("qualifier agrees (none counts)", qualifier.agree, qualifier.pairs),
        ("qualifier agrees, where the gold has one", qualifier.asked_agree, qualifier.asked),
        ("count agrees exactly, of all asked for", count.exact, count.asked),
        ("count agrees exactly, of related pairs", count.exact, count.paired),
        ("number within a fifth, of related pairs", count.near, count.numeric),
        ("count where the gold has none", count.invented, qualifier.pairs),
    ):
        also.add_row(words, str(part), str(whole), _share(share(part, whole)))
    parts: list[RenderableType] = [
        _rates_table(f"Events, matched within {score.tolerance:g} s", rates),
        also,
        _confusion_table("Certainty of related pairs: gold down, run across", score.certainty),
    ]
    if score.passed_by:
        some = ", ".join(f"{count} {kind}" for kind, count in score.passed_by.items())
        parts.append(_text(f"Rows not asked about: {some}", "dim"))
    wrong = [pair for pair in score.pairs if _event_verdict(pair) != VERDICTS[Agreement.SAME_TAXON]]
    columns = ("seconds", "gold", "run", "verdict")
    return [*parts, *_differences("Events that differ", columns, map(_event_row, wrong), differences)]


def _mention_parts(score: MentionScore, differences: int | None) -> list[RenderableType]:
    rates = [
        ("found", score.detection),
        ("same taxon", score.name),
        ("right or an ancestor", score.right_or_ancestor),
    ]
    by_status = [(label, score.status.rates(label)) for label in score.status.labels]
    macro = score.status.macro
    status = _rates_table("Status of matched mentions", by_status)
    status.add_section()
    status.add_row("mean over statuses", "", "", "", *map(_share, (macro.precision, macro.recall, macro.f1)))
    _add_rates(status, "pooled", score.status.micro)
    wrong = [
        pair
        for pair in score.pairs
        if pair.gold is None
        or pair.run is None
        or pair.agreement is not Agreement.SAME_TAXON
        or pair.gold.status != pair.run.get("status")
    ]
    columns = ("seconds", "gold", "run", "verdict")
    some = ", ".join(f"{count} {kind}" for kind, count in score.set_aside.items())
    aside = [_text(f"Rows rightly said to name no animal: {some}", "dim")] if some else []
    return [
        _rates_table(f"Mentions, matched within {score.tolerance:g} s", rates),
        status,
        _confusion_table("Status: gold down, run across", score.status),
        _confusion_table("Certainty: gold down, run across", score.certainty),
        *aside,
        *_differences("Mentions that differ", columns, map(_mention_row, wrong), differences),
    ]


def _event_verdict(pair: EventPair) -> str:
    if pair.gold is None:
        return "recorded with no gold"
    if not pair.gold.is_occurrence:
        return "not an occurrence, but recorded" if pair.run else VERDICTS[Agreement.SAME_TAXON]
    return _verdict(pair) if pair.run else "missed"


def _verdict(pair: EventPair | MentionPair) -> str:
    words = VERDICTS[pair.agreement]
    if pair.agreement in (Agreement.SAME_GENUS, Agreement.SAME_FAMILY):
        words += {"ancestor": ", coarser", "descendant": ", too specific"}.get(pair.relation, "")
    return words


def _event_row(pair: EventPair) -> tuple[str, str, str, str]:
    gold, run = pair.gold, pair.run or {}
    start = gold.start if gold else float(run["startTime"])
    name = run.get("scientificName") or ("no name" if run else "")
    return f"{start:.1f}", (gold.name or "no name") if gold else "", str(name), _event_verdict(pair)


def _mention_row(pair: MentionPair) -> tuple[str, str, str, str]:
    gold, run = pair.gold, pair.run or {}
    start = gold.start if gold else float(run["startTime"])
    verdict = "spurious" if gold is None else _verdict(pair) if run else "missed"
    if gold and run and gold.status != run.get("status"):
        verdict += f"; {gold.status}, not {run.get('status') or 'unstated'}"
    ours = _said(run.get("verbatimIdentification"), run.get("scientificName")) if run else ""
    return f"{start:.1f}", _said(gold.verbatim, gold.name) if gold else "", ours, verdict


def _said(words: Any, name: Any) -> str:
    return f"{words or ''} = {name or 'no name'}"


def _differences(
    title: str, columns: Sequence[str], rows: Iterable[Sequence[str]], limit: int | None
) -> list[RenderableType]:
    everything = list(rows)
    if not everything:
        return [_text(f"{title}: none", "green")]
    table = _table(f"{title}: {len(everything)}", columns, left=(1, 2, 3))
    for row in everything[:limit]:
        table.add_row(*map(_text, row))
    left = len(everything[limit:]) if limit is not None else 0
    return [table, _text(f"... and {left} more", "dim")] if left else [table]


def _rates_table(title: str, rows: Iterable[tuple[str, Rates]]) -> Table:
    table = _table(title, ("", "right", "in run", "in gold", "precision", "recall", "F1"))
    for words, rates in rows:
        _add_rates(table, words, rates)
    return table


def _add_rates(table: Table, words: str, rates: Rates) -> None:
    counts = map(str, (rates.correct, rates.in_run, rates.in_gold))
    table.add_row(words, *counts, *map(_share, (rates.precision, rates.recall, rates.f1)))


def _confusion_table(title: str, confusion: Confusion) -> Table:
    table = _table(title, ("", *confusion.labels))
    for i, label in enumerate(confusion.labels):
        cells = [_text(str(n) if n else "·", "bold green" if i == j else "") for j, n in enumerate(confusion.counts[i])]
        table.add_row(label, *cells)
    if unstated := confusion.gold_only + confusion.run_only + confusion.neither:
        table.caption = (
            f"{unstated} more pairs: stated by the gold only {confusion.gold_only}, "
            f"by the run only {confusion.run_only}, by neither {confusion.neither}"
        )
    return table


def _table(title: str, columns: Sequence[str], left: Sequence[int] = (0,)) -> Table:
    table = Table(title=_text(title, "bold"), title_justify="left", caption_justify="left")
    for at, column in enumerate(columns):
        table.add_column(column, justify="left" if at in left else "right")
    return table


def _share(value: float | None) -> str:
    return "–" if value is None else f"{value:.3f}"


def _text(words: str, style: str = "") -> Text:
    return Text("".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in words), style=style)
