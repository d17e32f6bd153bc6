"""Names as heard: how often the right one is found on the development pairs, how well nameScore holds, and how its
weights are learned.

The weights are cross-validated by sentence for the figures, and learned on all sentences for the file:
`python -m tests.bench names`, with `--learn` to write `taxonomy/data/name_scores.csv`.
"""

from __future__ import annotations

import csv
import gzip
import random
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
from rich.console import Console
from rich.table import Table
from sklearn.linear_model import LogisticRegression

from earwitness.pipeline.mention.exact import ExactNames
from earwitness.pipeline.mention.similar import ACCEPTED, SimilarNames, likenesses
from earwitness.pipeline.mention.spans import covered, key_of
from earwitness.pipeline.mention.spoken_words import spoken_words
from earwitness.pipeline.segment import build_language
from earwitness.taxonomy import Likeness, NameIndex, load_checklist
from earwitness.taxonomy.fold import spoken_key
from tests.bench.places import HERE, SHARED

FOLDS = 5
SMALL_LIST = 1500
FEATURES = tuple(Likeness(0, 0, 0, 0, 0).features())
Scorer = Callable[[npt.NDArray[np.float64]], npt.NDArray[np.float64]]


@dataclass(frozen=True)
class Offer:
    """Words [first, last) of a sentence, the features of the name most like them, and whether it is the right one."""

    first: int
    last: int
    features: npt.NDArray[np.float64]
    right: bool


@dataclass(frozen=True)
class Sentence:
    """A sentence as heard: whether it holds a name, whether that name came through exactly, and all offers."""

    fold: int
    named: bool
    exact: bool
    size: int
    offers: tuple[Offer, ...]


def main(console: Console) -> None:
    """Print ranks, finds in running text and the reliability of nameScore; learn the weights with --learn."""
    dev = SHARED / "misheard" / "dev.csv"
    large = SHARED / "checklists" / "marine_ncbi.csv.gz"
    if not dev.exists():
        console.print("The development pairs of misheard names do not lie beside the checkout: nothing measured.")
        return
    pairs = list(csv.DictReader(dev.read_text(encoding="utf-8").splitlines()))
    index = NameIndex(load_checklist(large))
    console.print(_ranks(pairs, index))
    with tempfile.TemporaryDirectory() as folder:
        small = NameIndex(load_checklist(_small_list(large, pairs, Path(folder) / "small.csv")))
    sets = {"large": sentences(pairs, index), "small": sentences(pairs, small)}
    folds = [_learn([s for of in sets.values() for s in of if s.fold != fold]) for fold in range(FOLDS)]
    for name, held in sets.items():
        console.print(_finds(name, held, folds))
    console.print(_reliability([s for of in sets.values() for s in of], folds))
    if "--learn" in sys.argv:
        _write(_learn([s for of in sets.values() for s in of]))


def _ranks(pairs: list[dict[str, str]], index: NameIndex) -> Table:
    """The right span given: how often the right taxon is first, among five, among twenty."""
    table = Table(title=f"Span given, {len(index.checklist):,} taxa: right taxon among the first")
    for column in ("kind", "pairs", "1", "5", "20"):
        table.add_column(column, justify="right")
    ranks: dict[str, list[int]] = {}
    for pair in pairs:
        if pair["heard_span"]:
            found = [
                index.checklist.taxon(e.row).taxon_id for e, _ in index.similar(spoken_key(pair["heard_span"]), 20)
            ]
            rank = found.index(pair["taxonID"]) if pair["taxonID"] in found else 99
            ranks.setdefault(pair["name_kind"], []).append(rank)
    ranks["all"] = [rank for of in list(ranks.values()) for rank in of]
    for kind, of in ranks.items():
        shares = (sum(rank < limit for rank in of) / len(of) for limit in (1, 5, 20))
        table.add_row(kind, str(len(of)), *(f"{share:.3f}" for share in shares))
    return table


def _small_list(large: Path, pairs: list[dict[str, str]], to: Path) -> Path:
    """A local checklist: the taxa of the pairs and some others, drawn with a fixed seed."""
    with gzip.open(large, "rt", encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    wanted = {pair["taxonID"] for pair in pairs} | set(
        random.Random(3).sample([r["taxonID"] for r in rows], SMALL_LIST)
    )
    with to.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, fieldnames=list(rows[0]))
        writer.writeheader()
        writer.writerows(row for row in rows if row["taxonID"] in wanted)
    return to


def sentences(pairs: list[dict[str, str]], index: NameIndex) -> list[Sentence]:
    """Every sentence with the offers the mention stage would weigh."""
    nlp = build_language()
    exact, similar = ExactNames(index), SimilarNames(index)
    checklist = index.checklist
    result = []
    for number, pair in enumerate(pairs):
        words = spoken_words(nlp(pair["heard_sentence"]))
        found = exact.find(words, [])
        right = {checklist.accepted(row) for row in checklist.find(pair["scientificName"])}
        offers = []
        for first, last in similar.spans(words, covered(found, len(words))):
            for entry, likeness in likenesses(index, key_of(words, first, last), 1):
                features = np.array([likeness.features()[name] for name in FEATURES])
                offers.append(Offer(first, last, features, checklist.accepted(entry.row) in right))
        hit = any(candidate.row in right for span in found for candidate in span.candidates)
        result.append(Sentence(number % FOLDS, pair["name_kind"] != "none", hit, len(words), tuple(offers)))
    return result


def _picked(sentence: Sentence, score: Scorer) -> Iterator[tuple[Offer, float]]:
    """The offers that do not overlap, best first, with their scores: as the mention stage takes them."""
    if not sentence.offers:
        return
    scores = score(np.array([offer.features for offer in sentence.offers]))
    taken = [False] * sentence.size
    for place in sorted(range(len(scores)), key=lambda i: -scores[i]):
        offer = sentence.offers[place]
        if not any(taken[offer.first : offer.last]):
            taken[offer.first : offer.last] = [True] * (offer.last - offer.first)
            yield offer, float(scores[place])


def _learn(of: list[Sentence]) -> LogisticRegression:
    """Logistic regression on the offers that would be picked, picked again with what was learned until it settles."""
    score: Scorer = lambda features: features[:, 0] + 0.1 * features[:, 2]  # noqa: E731
    model = LogisticRegression(C=10)
    for _ in range(4):
        offers = [offer for sentence in of for offer, _ in _picked(sentence, score)]
        model = LogisticRegression(C=10).fit([o.features for o in offers], [o.right for o in offers])
        score = model.decision_function
    return model


def _finds(name: str, held: list[Sentence], folds: list[LogisticRegression]) -> Table:
    """In running text, cross-validated: names found, wrong names, and false alarms in sentences without a name."""
    table = Table(title=f"Running text, {name} list, cross-validated by sentence")
    for column in (
        "nameScore from",
        "names found",
        "wrong per sentence",
        "false alarms per nameless sentence",
    ):
        table.add_column(column, justify="right")
    named = sum(s.named for s in held)
    for least in (0.3, ACCEPTED, 0.7, 0.9):
        found = wrong = alarms = 0
        for sentence in held:
            kept = [o for o, p in _picked(sentence, _probability(folds[sentence.fold])) if p >= least]
            if sentence.named:
                found += sentence.exact or any(o.right for o in kept)
                wrong += sum(not o.right for o in kept)
            else:
                alarms += len(kept)
        table.add_row(f"{least}", f"{found / named:.3f}", f"{wrong / named:.3f}", f"{alarms / (len(held) - named):.3f}")
    return table


def _probability(model: LogisticRegression) -> Scorer:
    return lambda features: model.predict_proba(features)[:, 1]


def _reliability(held: list[Sentence], folds: list[LogisticRegression]) -> Table:
    """What nameScore says against how often it was right, held out."""
    scored = [(p, o.right) for s in held for o, p in _picked(s, _probability(folds[s.fold]))]
    said, right = np.array([p for p, _ in scored]), np.array([r for _, r in scored])
    table = Table(title=f"nameScore, held out: Brier score {float(np.mean((said - right) ** 2)):.3f}")
    for column in ("said", "offers", "mean said", "right"):
        table.add_column(column, justify="right")
    for low in np.arange(0, 1, 0.1):
        here = (said >= low) & (said < low + 0.1)
        if here.any():
            table.add_row(f"{low:.1f}", str(here.sum()), f"{said[here].mean():.2f}", f"{right[here].mean():.2f}")
    return table


def _write(model: LogisticRegression) -> None:
    """Write the learned weights into the data file, leaving its other rows."""
    path = HERE / "taxonomy" / "data" / "name_scores.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        kept = [row for row in csv.DictReader(lines) if row["term"] not in ("bias", *FEATURES)]
    source = "logistic regression on the development pairs of misheard names: python -m tests.bench names --learn"
    values = {"bias": model.intercept_[0], **dict(zip(FEATURES, model.coef_[0], strict=True))}
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, fieldnames=["term", "value", "source"], lineterminator="\n")
        writer.writeheader()
        writer.writerows(kept)
        writer.writerows({"term": t, "value": f"{v:.4f}", "source": source} for t, v in values.items())
