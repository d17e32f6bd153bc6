"""Names as heard: how often the right one is found on the development pairs, and how well nameScore holds.

Every figure is of names that the models were not taught: the pairs are split by genus into folds, and each fold is
heard by models learned from the others (`tests.learn`). The first run learns all folds, about eight minutes.
"""

from __future__ import annotations

from collections import defaultdict

import numpy as np
import numpy.typing as npt
from rich.console import Console
from rich.table import Table

from earwitness.pipeline.mention.heard import ACCEPTED
from earwitness.pipeline.mention.span_model import NAME, bounded
from earwitness.taxonomy.heard_names import Weights
from tests.bench.places import SHARED
from tests.learn.hearing import Example, examples
from tests.learn.pairs import FOLDS
from tests.learn.spans import Sentence, Windows, calibration, cross_weights, held_out, learned_windows, picked

_NOT_HEARD = 10**6
NAMELESS = ("none", "prose", "talk")


def main(console: Console) -> None:
    """Print ranks by kind and voice, finds in running text, and the reliability of nameScore."""
    if not (SHARED / "misheard" / "dev.csv").exists():
        console.print("The development pairs of misheard names do not lie beside the checkout: nothing measured.")
        return
    console.print(ranks())
    console.print(span_reliability())
    said, heard, _, _ = learned_windows()
    odds = held_out(heard)
    scored = {size: np.zeros(len(places.of)) for size, places in heard.items()}
    for fold in range(FOLDS):
        slope, shift = calibration(heard, odds, without=fold)
        for size, places in heard.items():
            some = places.folds == fold
            raised = bounded(slope * odds[size][some] + shift, places.name[some][:, NAME.index("share")])
            scored[size][some] = 1 / (1 + np.exp(-raised))
    for size, places in heard.items():
        console.print(finds(size, said[size], places, scored[size]))
    console.print(reliability(heard, scored))


def ranks() -> Table:
    """The right span given: how often the right taxon is first, among five, among twenty."""
    of = examples()
    weights = cross_weights()
    found: dict[str, list[int]] = defaultdict(list)
    for example in of:
        fits = example.features @ weights[example.pair.fold].features
        rows = list(dict.fromkeys(example.rows[np.argsort(-fits, kind="stable")].tolist()))
        rank = rows.index(example.right) if example.right in rows else _NOT_HEARD
        for group in (example.pair.kind, f"voice {example.pair.voice}", "all"):
            found[group].append(rank)
    table = Table(title="Span given, large checklist, names not learned from: right taxon among the first")
    for column in ("pairs of", "number", "1", "5", "20"):
        table.add_column(column, justify="right")
    for group in sorted(found, key=lambda name: (name == "all", name.startswith("voice"), name)):
        places = np.array(found[group])
        table.add_row(group, str(len(places)), *(f"{(places < limit).mean():.3f}" for limit in (1, 5, 20)))
    return table


def span_reliability() -> Table:
    """The right span given: what the first suggestion's nameScore says against how often it was right."""
    weights = cross_weights()
    said, right = [], []
    for example in examples():
        of = shares(example, weights[example.pair.fold])
        if of:
            best = max(of, key=lambda row: of[row])
            said.append(of[best])
            right.append(best == example.right)
    return _reliability("nameScore of first suggestions, span given", np.array(said), np.array(right))


def shares(example: Example, weights: Weights) -> dict[int, float]:
    """How likely each taxon is meant, as `earwitness checklist ask` says it."""
    fits = example.features @ weights.features
    top = max(float(fits.max(initial=-np.inf)), weights.none)
    odds = np.exp(fits - top)
    whole = float(odds.sum()) + float(np.exp(weights.none - top))
    result: dict[int, float] = defaultdict(float)
    for row, odd in zip(example.rows.tolist(), odds.tolist(), strict=True):
        result[row] += odd / whole
    return result


def taken(places: Windows, score: npt.NDArray[np.float64]) -> list[int]:
    """The windows that the mention stage would weigh up to the end, by their scores."""
    return picked(places, np.where(score > 0, score, -np.inf))


def finds(size: str, said: list[Sentence], places: Windows, score: npt.NDArray[np.float64]) -> Table:
    """In running text: how many of the names spoken are found, how many of those found are right, false alarms."""
    named = sum(sentence.kind not in NAMELESS for sentence in said)
    nameless = {kind: sum(len(sentence.words) for sentence in said if sentence.kind == kind) for kind in NAMELESS}
    exact = {n for n, s in enumerate(said) if _exactly(s)}
    chosen = taken(places, score)
    table = Table(title=f"Running text, {size} list, names not learned from")
    columns = (
        "nameScore from",
        "names found",
        "precision",
        "false per 1,000 words of talk without a name",
        "of prose",
        "of dives' talk",
    )
    for column in columns:
        table.add_column(column, justify="right")
    for least in (0.3, ACCEPTED, 0.6, 0.7, 0.8, 0.9):
        kept = [at for at in chosen if score[at] >= least]
        right = {places.of[at][0] for at in kept if places.right[at]} | exact
        wrong = sum(not places.right[at] and said[places.of[at][0]].kind not in ("prose", "talk") for at in kept)
        alarms = {kind: sum(said[places.of[at][0]].kind == kind for at in kept) for kind in NAMELESS}
        table.add_row(
            f"{least}",
            f"{len(right) / named:.3f}",
            f"{len(right) / max(len(right) + wrong, 1):.3f}",
            *(f"{1000 * alarms[kind] / nameless[kind]:.1f}" for kind in NAMELESS),
        )
    return table


def _exactly(sentence: Sentence) -> bool:
    """Whether the spoken name came through as it is written."""
    return any((span.first, span.last) == sentence.truth for span in sentence.found if span.candidates)


def reliability(heard: dict[str, Windows], scored: dict[str, npt.NDArray[np.float64]]) -> Table:
    """What nameScore says against how often it was right."""
    chosen = {size: taken(places, scored[size]) for size, places in heard.items()}
    score = np.concatenate([scored[size][some] for size, some in chosen.items()])
    right = np.concatenate([heard[size].right[some] for size, some in chosen.items()])
    return _reliability("nameScore of windows taken, both lists", score, right)


def _reliability(title: str, score: npt.NDArray[np.float64], right: npt.NDArray[np.bool_]) -> Table:
    table = Table(title=f"{title}: Brier score {float(np.mean((score - right) ** 2)):.3f}")
    for column in ("said", "number", "mean said", "right"):
        table.add_column(column, justify="right")
    for low in np.arange(0, 1, 0.1):
        here = (score >= low) & (score < low + 0.1)
        if here.any():
            table.add_row(f"{low:.1f}", str(here.sum()), f"{score[here].mean():.2f}", f"{right[here].mean():.2f}")
    return table
