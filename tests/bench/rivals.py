"""General-purpose matchers beside our own in one run: how often each finds the right name, and how long it takes.

`python -m tests.bench rivals`. To show another matcher, give `compare` an object with `name`, `build` and `nearest`.
`sparse_dot_topn` and `symspellpy` are no dependencies of the project: their rows stand in the table where installed.
"""

from __future__ import annotations

import csv
import importlib.util
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt
from rapidfuzz import fuzz, process
from rapidfuzz.distance import Levenshtein
from rich.console import Console
from rich.table import Table

from earwitness.taxonomy import Checklist, NameIndex, load_checklist
from earwitness.taxonomy.fold import letters_of, spoken_key
from tests.bench.places import SHARED

PLACES = (1, 5, 20)
"""The right name among the first one, five, twenty."""
ASKED = 60
"""Names asked of a matcher for the twenty best taxa: a taxon may stand in the list under several names."""
BATCH = 64
"""Queries compared at a time: a block of likenesses with 140,000 names takes 36 MB."""

Pair = tuple[str, int, str]
"""The heard key, the row of the accepted taxon it should find, its kind."""


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
    """Our own index. The names it was given are those of its entries, so that their numbers are the same."""

    name = "earwitness NameIndex"

    def __init__(self, checklist: Checklist):
        self._checklist = checklist

    def build(self, names: Sequence[str]) -> None:
        self._index = NameIndex(self._checklist)
        self._numbers = {entry: number for number, entry in enumerate(self._index.entries)}
        self._index.similar("a")  # what is made on first use belongs to the building

    def nearest(self, queries: Sequence[str], limit: int) -> list[list[int]]:
        return [[self._numbers[entry] for entry, _ in self._index.similar(query, limit)] for query in queries]


@dataclass(frozen=True)
class Result:
    """Of one matcher: the place of the right taxon for each pair (0 is first, a large number for none), and times."""

    places: tuple[int, ...]
    build_seconds: float
    milliseconds: float
    """A query, in one batch."""


NOWHERE = 1_000_000


def measure(pairs: Sequence[Pair], names: Sequence[str], rows: Sequence[int], matcher: Matcher) -> Result:
    """Build one matcher and ask it for every pair.

    Args:
        pairs: what was heard, as spoken keys, and what is right.
        names: every name as a spoken key.
        rows: for each name, the row of its accepted taxon.
        matcher: what to measure.
    """
    began = time.perf_counter()
    matcher.build(names)
    built = time.perf_counter()
    found = matcher.nearest([heard for heard, _, _ in pairs], ASKED)
    asked = time.perf_counter()
    places = []
    for (_, right, _), numbers in zip(pairs, found, strict=True):
        taxa = list(dict.fromkeys(rows[number] for number in numbers))
        places.append(taxa.index(right) if right in taxa else NOWHERE)
    return Result(tuple(places), built - began, (asked - built) / max(len(pairs), 1) * 1e3)


def compare(pairs: Sequence[Pair], names: Sequence[str], rows: Sequence[int], matchers: Iterable[Matcher]) -> Table:
    """Each matcher's share of pairs whose taxon is first, among five, among twenty, by kind; and its times."""
    kinds = list(dict.fromkeys(kind for _, _, kind in pairs))
    table = Table(title=f"{len(pairs)} names as heard, {len(names):,} names: right taxon among the first 1 / 5 / 20")
    table.add_column("matcher")
    for kind in kinds:
        table.add_column(f"{kind} ({sum(k == kind for _, _, k in pairs)})", justify="right")
    for column in ("all", "build s", "ms a query"):
        table.add_column(column, justify="right")
    for matcher in matchers:
        result = measure(pairs, names, rows, matcher)
        by_kind = [[p for p, (_, _, k) in zip(result.places, pairs, strict=True) if k == kind] for kind in kinds]
        cells = [_shares(places) for places in (*by_kind, result.places)]
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


def development_pairs(checklist: Checklist) -> list[Pair]:
    """The development pairs whose name could be aligned; none where they do not lie beside the checkout."""
    file = SHARED / "misheard" / "dev.csv"
    if not file.exists():
        return []
    pairs = []
    for pair in csv.DictReader(file.read_text(encoding="utf-8").splitlines()):
        row = checklist.by_id(pair["taxonID"])
        if pair["heard_span"] and row is not None:
            pairs.append((spoken_key(pair["heard_span"]), checklist.accepted(row), pair["name_kind"]))
    return pairs


def main(console: Console) -> None:
    """Print the table on the development pairs."""
    large = SHARED / "checklists" / "marine_ncbi.csv.gz"
    if not large.exists():
        console.print("The large checklist does not lie beside the checkout: no matchers compared.")
        return
    checklist = load_checklist(large)
    entries = NameIndex(checklist).entries
    names, rows = [entry.key for entry in entries], [checklist.accepted(entry.row) for entry in entries]
    matchers = (*general_purpose(), OwnIndex(checklist))
    console.print(compare(development_pairs(checklist), names, rows, matchers))


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
