"""General-purpose matchers beside our own in one run: how often each finds the right name, and how long it takes.

`python -m tests.bench rivals`. To show another matcher, give `compare` an object with `name`, `build` and `nearest`.
`sparse_dot_topn` and `symspellpy` are no dependencies of the project: their rows stand in the table where installed.
Our own models were learned from these very pairs. What they find is therefore measured with models and weights that
never saw a name of the pair's genus (`tests.learn`), and the shipped ones are only timed.
"""

from __future__ import annotations

import importlib.util
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt
from rapidfuzz import fuzz, process
from rapidfuzz.distance import Levenshtein
from rich.console import Console
from rich.table import Table

from earwitness.taxonomy import Checklist, NameIndex
from earwitness.taxonomy.fold import letters_of
from earwitness.taxonomy.heard_names import NameEar
from tests.bench.places import SHARED
from tests.learn.hearing import LARGE, fold_index, large_index
from tests.learn.pairs import pairs as learned_pairs
from tests.learn.spans import cross_weights

PLACES = (1, 5, 20)
"""The right name among the first one, five, twenty."""
ASKED = 60
"""Names asked of a matcher for the twenty best taxa: a taxon may stand in the list under several names."""
BATCH = 64
"""Queries compared at a time: a block of likenesses with 140,000 names takes 36 MB."""


@dataclass(frozen=True)
class Asked:
    """A name as heard.

    Args:
        heard: as a spoken key.
        right: the row of the accepted taxon it should find.
        kind: of name.
        fold: the fold whose models never saw this name's genus.
    """

    heard: str
    right: int
    kind: str
    fold: int


class Matcher(Protocol):
    """Anything that finds the nearest of a list of names.

    `build` is given all names as spoken keys, once; `nearest` gives numbers into that list, best first, at most
    `limit` for each query.
    """

    name: str

    def build(self, names: Sequence[str]) -> None: ...

    def nearest(self, queries: Sequence[str], limit: int) -> list[list[int]]: ...


class Scan:
    """A RapidFuzz scorer of the bare letters with every name, on one core."""

    def __init__(self, name: str, scorer: Callable[..., float]):
        self.name, self._scorer = name, scorer

    def build(self, names: Sequence[str]) -> None:
        self._letters = [letters_of(name) for name in names]

    def nearest(self, queries: Sequence[str], limit: int) -> list[list[int]]:
        letters = [letters_of(query) for query in queries]
        found = []
        for first in range(0, len(letters), BATCH):
            likeness = process.cdist(
                letters[first : first + BATCH], self._letters, scorer=self._scorer, dtype=np.float32, workers=1
            )
            found += [_best(row, limit) for row in likeness]
        return found


class LetterGrams:
    """Cosine of the bare letters' n-grams of `least` to `most` letters, weighted by TF-IDF or only counted.

    Neighbours by scikit-learn alone: brute force over sparse rows.
    """

    def __init__(self, name: str, least: int, most: int, idf: bool = True):
        self.name, self._lengths, self._idf = name, (least, most), idf

    def build(self, names: Sequence[str]) -> None:
        from sklearn.neighbors import NearestNeighbors

        self._index = NearestNeighbors(metric="cosine", algorithm="brute", n_jobs=1)
        self._index.fit(self._weights(names))

    def nearest(self, queries: Sequence[str], limit: int) -> list[list[int]]:
        found: list[list[int]] = []
        for first in range(0, len(queries), BATCH):
            rows = self._grams.transform(queries[first : first + BATCH])
            found += self._index.kneighbors(rows, limit, return_distance=False).tolist()
        return found

    def _weights(self, names: Sequence[str]) -> Any:
        from sklearn.feature_extraction.text import TfidfVectorizer

        self._grams = TfidfVectorizer(
            analyzer="char", ngram_range=self._lengths, preprocessor=_padded, use_idf=self._idf, dtype=np.float32
        )
        return self._grams.fit_transform(names)


class LetterGramsTopN(LetterGrams):
    """The same weights, multiplied by sparse_dot_topn, which keeps only the best of each row."""

    def build(self, names: Sequence[str]) -> None:
        self._columns = self._weights(names).T.tocsr()

    def nearest(self, queries: Sequence[str], limit: int) -> list[list[int]]:
        from sparse_dot_topn import sp_matmul_topn

        product = sp_matmul_topn(self._grams.transform(queries), self._columns, top_n=limit, sort=True, n_threads=1)
        return [product.indices[a:b].tolist() for a, b in pairwise(product.indptr.tolist())]


class SymSpellDeletes:
    """symspellpy over the bare letters: names within three edits, by edits, then by number in the list."""

    name = "SymSpell (3 edits, prefix 7)"

    def build(self, names: Sequence[str]) -> None:
        from symspellpy import SymSpell

        self._numbers: dict[str, list[int]] = {}
        for number, name in enumerate(names):
            self._numbers.setdefault(letters_of(name), []).append(number)
        self._spell = SymSpell(max_dictionary_edit_distance=3, prefix_length=7)
        for letters in self._numbers:
            self._spell.create_dictionary_entry(letters, 1)

    def nearest(self, queries: Sequence[str], limit: int) -> list[list[int]]:
        from symspellpy import Verbosity

        found = []
        for query in queries:
            near = self._spell.lookup(letters_of(query), Verbosity.ALL, max_edit_distance=3)
            ranked = sorted((of.distance, number) for of in near for number in self._numbers[of.term])
            found.append([number for _, number in ranked[:limit]])
        return found


class OwnIndex:
    """Our own index as shipped. The names it was given are those of its entries, so that their numbers are the same."""

    name = "earwitness"

    def __init__(self, checklist: Checklist):
        self._checklist = checklist

    def build(self, names: Sequence[str]) -> None:
        index = NameIndex(self._checklist)
        if list(names) != list(index.tables.keys):
            raise ValueError("the names are not those of the index")
        self._ear = index.ear

    def nearest(self, queries: Sequence[str], limit: int) -> list[list[int]]:
        return numbers_of(self._ear, queries, limit)


def numbers_of(ear: NameEar, queries: Sequence[str], limit: int) -> list[list[int]]:
    """Numbers of the names an ear hears, best first."""
    return [[name.entry for name in names[:limit]] for names in ear.hear(queries)]


def unseen(pairs: Sequence[Asked], limit: int) -> list[list[int]]:
    """What our own hearing finds for each pair with the models and the weights that never saw its name."""
    weights = cross_weights()
    found: list[list[int]] = [[] for _ in pairs]
    for fold in sorted({pair.fold for pair in pairs}):
        index, models = fold_index(fold)
        some = [at for at, pair in enumerate(pairs) if pair.fold == fold]
        ear = NameEar(index, models, weights[fold])
        for at, numbers in zip(some, numbers_of(ear, [pairs[at].heard for at in some], limit), strict=True):
            found[at] = numbers
    return found


@dataclass(frozen=True)
class Result:
    """Of one matcher: the place of the right taxon for each pair (0 is first, a large number for none), and times."""

    places: tuple[int, ...]
    build_seconds: float
    milliseconds: float
    """A query, in one batch."""


NOWHERE = 1_000_000


def measure(pairs: Sequence[Asked], names: Sequence[str], rows: Sequence[int], matcher: Matcher) -> Result:
    """Build one matcher and ask it for every pair.

    Args:
        pairs: what was heard and what is right.
        names: every name as a spoken key.
        rows: for each name, the row of its accepted taxon.
        matcher: what to measure.
    """
    began = time.perf_counter()
    matcher.build(names)
    matcher.nearest(["a"], 1)  # what is made on first use belongs to the building
    built = time.perf_counter()
    found = matcher.nearest([pair.heard for pair in pairs], ASKED)
    asked = time.perf_counter()
    return Result(places_of(pairs, rows, found), built - began, (asked - built) / max(len(pairs), 1) * 1e3)


def places_of(pairs: Sequence[Asked], rows: Sequence[int], found: Sequence[Sequence[int]]) -> tuple[int, ...]:
    """The place of each pair's right taxon among the taxa of the names found for it."""
    places = []
    for pair, numbers in zip(pairs, found, strict=True):
        taxa = list(dict.fromkeys(rows[number] for number in numbers))
        places.append(taxa.index(pair.right) if pair.right in taxa else NOWHERE)
    return tuple(places)


def compare(
    pairs: Sequence[Asked],
    names: Sequence[str],
    rows: Sequence[int],
    matchers: Iterable[Matcher],
    unseen_places: Mapping[str, tuple[int, ...]] | None = None,
) -> Table:
    """Each matcher's share of pairs whose taxon is first, among five, among twenty, by kind; and its times.

    `unseen_places`, by matcher's name: what a matcher that was learned from these pairs finds when it was not.
    """
    kinds = list(dict.fromkeys(pair.kind for pair in pairs))
    table = Table(title=f"{len(pairs)} names as heard, {len(names):,} names: right taxon among the first 1 / 5 / 20")
    table.add_column("matcher")
    for kind in kinds:
        table.add_column(f"{kind} ({sum(pair.kind == kind for pair in pairs)})", justify="right")
    for column in ("all", "build s", "ms a query"):
        table.add_column(column, justify="right")
    for matcher in matchers:
        result = measure(pairs, names, rows, matcher)
        of = (unseen_places or {}).get(matcher.name, result.places)
        by_kind = [[place for place, pair in zip(of, pairs, strict=True) if pair.kind == kind] for kind in kinds]
        cells = [_shares(places) for places in (*by_kind, of)]
        table.add_row(matcher.name, *cells, f"{result.build_seconds:.1f}", f"{result.milliseconds:.2f}")
    return table


def general_purpose() -> Iterator[Matcher]:
    """The matchers of general-purpose libraries that are installed here."""
    yield Scan("RapidFuzz: indel ratio", fuzz.ratio)
    yield Scan("RapidFuzz: Levenshtein", Levenshtein.normalized_similarity)
    if _installed("sklearn"):
        yield LetterGrams("2-4-grams, TF-IDF (scikit-learn)", 2, 4)
    if _installed("sklearn", "sparse_dot_topn"):
        yield LetterGramsTopN("2-4-grams, TF-IDF (sparse_dot_topn)", 2, 4)
        # Most often first and among five, of nine choices of lengths and weights tried on the development pairs.
        yield LetterGramsTopN("1-3-grams, counted (sparse_dot_topn)", 1, 3, idf=False)
    if _installed("symspellpy"):
        yield SymSpellDeletes()


def development_pairs(checklist: Checklist) -> list[Asked]:
    """The development pairs whose name could be aligned; none where they do not lie beside the checkout."""
    if not (SHARED / "misheard" / "dev.csv").exists():
        return []
    found = [(pair, checklist.by_id(pair.taxon_id)) for pair in learned_pairs()]
    return [Asked(pair.heard, checklist.accepted(row), pair.kind, pair.fold) for pair, row in found if row is not None]


def main(console: Console) -> None:
    """Print the table on the development pairs."""
    if not LARGE.exists():
        console.print("The large checklist does not lie beside the checkout: no matchers compared.")
        return
    index = large_index()
    pairs = development_pairs(index.checklist)
    names, rows = list(index.tables.keys), index.accepted_rows.tolist()
    own = OwnIndex(index.checklist)
    places = {own.name: places_of(pairs, rows, unseen(pairs, ASKED))}
    console.print(compare(pairs, names, rows, (*general_purpose(), own), places))
    console.print(
        f"{own.name}: found by models not taught these names; built and timed as shipped, queries in one batch"
    )


def _installed(*modules: str) -> bool:
    return all(importlib.util.find_spec(module) is not None for module in modules)


def _shares(places: Sequence[int]) -> str:
    return " / ".join(f"{sum(p < limit for p in places) / max(len(places), 1):.3f}" for limit in PLACES)


def _best(likeness: npt.NDArray[np.float32], limit: int) -> list[int]:
    """Numbers of the highest values, best first, ties by number."""
    limit = min(limit, len(likeness))
    floor = np.partition(likeness, len(likeness) - limit)[len(likeness) - limit] if limit else 0
    top = np.flatnonzero(likeness >= floor)
    ranked: list[int] = top[np.lexsort((top, -likeness[top]))].tolist()
    return ranked[:limit]


def _padded(name: str) -> str:
    """Bare letters between blanks, so that beginnings and ends are grams of their own."""
    return f" {letters_of(name)} "
