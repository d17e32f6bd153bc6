"""Tallies of what was seen: by taxon, by rank, by how sure. In: occurrence rows. Out: rows of the report's tables."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from earwitness.pipeline.report.groups import Group, Groups
from earwitness.pipeline.report.wording import clean, metres, number

Row = dict[str, Any]
TERMS = ("certain", "probable", "possible", "doubtful")
SCORES = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95)
"""Lower ends of the classes of nameScore; most drafts score high, so the classes are finer there."""
UNSAID = "not said"
ITALIC_RANKS = frozenset({"genus", "subgenus", "species", "subspecies", "variety", "form"})
"""Ranks whose names are set in italics."""


@dataclass(frozen=True, slots=True)
class TaxonTally:
    """All sightings of one taxon.

    Args:
        name: scientific name.
        rank: of the taxon, "" where the checklist has none.
        vernacular: first vernacular name.
        group: higher group.
        events: occurrence rows.
        individuals: sum of the exact counts.
        counted: rows with an exact count.
        spoken: quantities that are no exact count, as said, with how often.
        terms: rows of each certainty term.
        scores: lowest and highest nameScore.
        depth: range of depths as text.
        first: number of the first row among the report's rows.
    """

    name: str
    rank: str
    vernacular: str
    group: Group
    events: int
    individuals: int
    counted: int
    spoken: tuple[tuple[str, int], ...]
    terms: tuple[tuple[str, int], ...]
    scores: tuple[float, float] | None
    depth: str
    first: int

    @property
    def italic(self) -> bool:
        """Whether the name is set in italics."""
        return self.rank.casefold() in ITALIC_RANKS


def by_taxon(numbered: Sequence[tuple[int, Row]], groups: Groups) -> tuple[TaxonTally, ...]:
    """Tally occurrence rows by taxon: larger groups first, then more often seen taxa, then by name."""
    taxa: dict[tuple[str, str], list[tuple[int, Row]]] = {}
    for place, row in numbered:
        taxa.setdefault((clean(row.get("scientificName")), clean(row.get("taxonRank"))), []).append((place, row))
    tallies = [_taxon(*key, rows, groups) for key, rows in taxa.items()]
    order = {group.name: place for place, group in enumerate(groups.groups)}
    return tuple(sorted(tallies, key=lambda t: (order[t.group.name], -t.events, t.name, t.rank)))


def _taxon(name: str, rank: str, numbered: Sequence[tuple[int, Row]], groups: Groups) -> TaxonTally:
    rows = [row for _, row in numbered]
    counts = [row["individualCount"] for row in rows if row.get("individualCount") is not None]
    spoken = Counter(quantity(row) for row in rows if row.get("organismQuantity"))
    terms = Counter(clean(row.get("certaintyTerm")) or UNSAID for row in rows)
    scores = [row["nameScore"] for row in rows if row.get("nameScore") is not None]
    shallow = [row["minimumDepthInMeters"] for row in rows if row.get("minimumDepthInMeters") is not None]
    deep = [row["maximumDepthInMeters"] for row in rows if row.get("maximumDepthInMeters") is not None]
    return TaxonTally(
        name,
        rank,
        next((clean(row["vernacularName"]) for row in rows if row.get("vernacularName")), ""),
        groups.of(rows[0]),
        len(rows),
        sum(counts),
        len(counts),
        tuple(spoken.items()),
        tuple((term, terms[term]) for term in (*TERMS, UNSAID) if terms[term]),
        (min(scores), max(scores)) if scores else None,
        metres(min(shallow, default=None), max(deep, default=None)),
        numbered[0][0],
    )


def quantity(row: Row) -> str:
    """How many, as spoken: "3", "about 100", "at least 5", "dozens"; "" where nobody said."""
    if row.get("individualCount") is not None:
        return number(row["individualCount"])
    amount = clean(row.get("organismQuantity"))
    sign = {"individuals, approximate": "about ", "individuals, at least": "at least "}
    return sign.get(str(row.get("organismQuantityType")), "") + amount if amount else ""


def by_rank(occurrences: Sequence[Row]) -> tuple[tuple[str, int], ...]:
    """How many rows are named at each rank, most first."""
    tally = Counter(clean(row.get("taxonRank")) or "no rank given" for row in occurrences)
    return tuple(sorted(tally.items(), key=lambda item: (-item[1], item[0])))


@dataclass(frozen=True, slots=True)
class Confidence:
    """The two confidences laid across each other, never mixed.

    Args:
        classes: labels of the classes of nameScore.
        lines: (certainty term, rows of each class of nameScore, all of them).
        total: all rows of each class of nameScore.
    """

    classes: tuple[str, ...]
    lines: tuple[tuple[str, tuple[int, ...], int], ...]
    total: tuple[int, ...]

    @property
    def largest(self) -> int:
        """The largest cell."""
        return max((max(cells) for _, cells, _ in self.lines), default=0)


def confidence(occurrences: Sequence[Row]) -> Confidence:
    """Count rows by how sure the speaker was and by how well the words fit the name."""
    ends = [f"{score:g}" for score in SCORES[1:]]
    classes = [f"under {ends[0]}", *(f"{low} to {high}" for low, high in pairwise(ends))]
    classes.append(f"{ends[-1]} and up")
    cells: Counter[tuple[str, int]] = Counter()
    unscored = any(row.get("nameScore") is None for row in occurrences)
    for row in occurrences:
        cells[clean(row.get("certaintyTerm")) or UNSAID, _score_class(row)] += 1
    wide = range(len(classes) + unscored)
    terms = [*TERMS, *([UNSAID] if any(term == UNSAID for term, _ in cells) else [])]
    lines = tuple((t, tuple(cells[t, n] for n in wide), sum(cells[t, n] for n in wide)) for t in terms)
    total = tuple(sum(line[1][n] for line in lines) for n in wide)
    return Confidence((*classes, *(["no score"] if unscored else [])), lines, total)


def _score_class(row: Mapping[str, Any]) -> int:
    score = row.get("nameScore")
    return len(SCORES) if score is None else max(n for n, low in enumerate(SCORES) if score >= low)
