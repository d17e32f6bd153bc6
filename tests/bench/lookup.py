"""Search as one types on the large list: milliseconds a keystroke, and how soon the name that is meant is shown.

500 names (accepted species, genera, families and vernaculars, drawn with a fixed seed) are typed letter by letter, as
spelt and with one letter wrong. Favoured: the name itself among 30 others of the list, as a dive has them.
"""

from __future__ import annotations

import random
import time
import tracemalloc
from collections.abc import Iterator

import numpy as np
from rich.console import Console
from rich.table import Table

from earwitness.taxonomy import NameEntry, NameIndex, open_index, search, warm_up
from earwitness.taxonomy.entries import KINDS
from earwitness.taxonomy.lookup_words import NameWords
from tests.bench.speed import LARGE

NAMES = 500
LETTERS = (2, 3, 4, 6)
AMONG = (1, 5, 12)
_OTHERS = 30


def main(console: Console) -> None:
    """Print both tables."""
    if not LARGE.exists():
        console.print("The large list does not lie beside the checkout: nothing measured.")
        return
    index = open_index(LARGE)
    tracemalloc.start()
    began = time.perf_counter()
    NameWords.of(index.tables.keys)
    built = time.perf_counter() - began
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    warm_up(index)
    drawn = random.Random(6)
    named = list(_drawn(index, drawn))
    console.print(
        f"{len(index.entries):,} names; made on opening in {built:.1f} s (traced), {_kept(index):.1f} MB kept, "
        f"{peak / 1e6:.0f} MB at the peak while it is made"
    )
    console.print(_times(index, named, drawn))
    console.print(_finds(index, named, drawn))


def _kept(index: NameIndex) -> float:
    words = NameWords.of(index.tables.keys)
    own = (words.begin, words.entries, words.ordinals, words.words, words.letters)
    return (sum(array.nbytes for array in own) + 16 * len(index.entries)) / 1e6


def _drawn(index: NameIndex, drawn: random.Random) -> Iterator[NameEntry]:
    tables = index.tables
    scientific = np.asarray(tables.kinds) == KINDS.index("scientific")
    accepted = np.asarray(tables.rows) == np.asarray(tables.accepted)
    shares = (("species", 250), ("genus", 125), ("family", 25))
    for rank, count in shares:
        of_rank = np.asarray(tables.ranks) == tables.rank_names.index(rank)
        entries = np.flatnonzero(scientific & accepted & of_rank).tolist()
        yield from map(index.entry, drawn.sample(entries, count))
    spoken = np.flatnonzero(np.asarray(tables.kinds) == KINDS.index("vernacular")).tolist()
    yield from map(index.entry, drawn.sample(spoken, NAMES - sum(count for _, count in shares)))


def _misspelt(key: str, drawn: random.Random) -> str:
    at = drawn.choice([place for place, char in enumerate(key) if char.isalpha()])
    return key[:at] + drawn.choice("abcdefghijklmnopqrstuvwxyz".replace(key[at], "")) + key[at + 1 :]


def _times(index: NameIndex, named: list[NameEntry], drawn: random.Random) -> Table:
    table = Table(title="Milliseconds a keystroke: by the clock, and of the processor, which others disturb less")
    for heading in ("typed", "keystrokes", "p50", "p95", "max", "processor p50", "p95", "max"):
        table.add_column(heading, justify="right" if heading != "typed" else "left")
    for what in ("as spelt", "one letter wrong"):
        clock, processor = [], []
        for entry in named[:: 1 if what == "as spelt" else 2]:
            key = entry.key if what == "as spelt" else _misspelt(entry.key, drawn)
            for end in range(1, len(key) + 1):
                began, worked = time.perf_counter(), time.process_time()
                search(index, key[:end])
                clock.append(time.perf_counter() - began)
                processor.append(time.process_time() - worked)
        figures = [f"{value * 1000:.1f}" for of in (clock, processor) for value in np.percentile(of, [50, 95, 100])]
        table.add_row(what, str(len(clock)), *figures)
    return table


def _finds(index: NameIndex, named: list[NameEntry], drawn: random.Random) -> Table:
    table = Table(title="The taxon meant is first, among five, among twelve")
    table.add_column("typed")
    for heading in ("not favoured", "favoured"):
        table.add_column(heading)
    kinds: list[tuple[str, list[str]]] = [
        (f"{letters} letters", [entry.key[:letters] for entry in named]) for letters in LETTERS
    ]
    kinds.append(("the whole name", [entry.key for entry in named]))
    kinds.append(("the whole name, one letter wrong", [_misspelt(entry.key, drawn) for entry in named]))
    for what, typed in kinds:
        cells = []
        for is_favoured in (False, True):
            ranks = []
            for entry, text in zip(named, typed, strict=True):
                row = index.checklist.accepted(entry.row)
                others = [drawn.randrange(len(index.checklist)) for _ in range(_OTHERS)]
                favoured = drawn.sample([row, *others], _OTHERS + 1) if is_favoured else ()
                rows = [hit.row for hit in search(index, text, favoured=favoured)]
                ranks.append(rows.index(row) if row in rows else _OTHERS)
            cells.append(" / ".join(f"{np.mean(np.array(ranks) < among):.2f}" for among in AMONG))
        table.add_row(what, *cells)
    return table
