"""Where the machine's names are right: drafted rows and people's decisions on them come in, shares and mix-ups go out.

A suggestion is right where a person let its taxon stand, wrong where they named another or rejected the row. Rows that
people added and rows put away by merging say nothing of it. Refuses nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from earwitness.pipeline.review.agreement_figures import share_interval
from earwitness.pipeline.review.agreement_views import Row

BY = ("class", "order", "family", "cue category", "cue words", "matchedHow", "nameScore", "certaintyTerm")
"""What the shares are told by."""
_UNTOLD = "(none)"
_BINS = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


@dataclass(frozen=True, slots=True)
class Share:
    """How often names were right in one group of reviewed rows.

    Args:
        by, group: one of BY ("all" for all rows), and its value.
        reviewed, right, renamed, rejected: rows.
        low, high: 95% interval of the share of right ones.
        expected: mean nameScore, which should be near the share; None where no row has one.
    """

    by: str
    group: str
    reviewed: int
    right: int
    renamed: int
    rejected: int
    low: float
    high: float
    expected: float | None

    @property
    def share(self) -> float:
        """The share of right names."""
        return self.right / self.reviewed if self.reviewed else 0.0


@dataclass(frozen=True, slots=True)
class MixUp:
    """A name that people replaced, and by which; decided is None where the row was rejected, for `reason`."""

    suggested: str
    suggested_rank: str | None
    decided: str | None
    decided_rank: str | None
    reason: str | None
    times: int


def compared(drafted: Mapping[str, Row], final: Mapping[str, Row]) -> list[tuple[Row, Row]]:
    """Suggested sightings beside what people made of them."""
    pairs = ((drafted[name], row) for name, row in final.items() if name in drafted)
    return [(was, row) for was, row in pairs if was.get("recordKind") == "occurrence" and was.get("scientificName")]


def verdict(was: Row, row: Row) -> str:
    """right, renamed or rejected."""
    if row["reviewStatus"] == "rejected":
        return "rejected"
    key = "taxonID" if was.get("taxonID") and row.get("taxonID") else "scientificName"
    return "right" if was.get(key) == row.get(key) else "renamed"


def shares(pairs: Sequence[tuple[Row, Row]], mentions: Iterable[Row]) -> list[Share]:
    """Shares of right names: of all rows, then by each of BY, the most rows first (bins in order)."""
    by_event: dict[str, list[Row]] = {}
    for mention in mentions:
        if mention.get("eventID"):
            by_event.setdefault(mention["eventID"], []).append(mention)
    groups: dict[tuple[str, str], list[tuple[Row, Row]]] = {}
    for was, row in pairs:
        for place in _groups(was, by_event.get(was.get("eventID", ""), [])):
            groups.setdefault(place, []).append((was, row))
    found = [_share(by, group, rows) for (by, group), rows in groups.items()]
    order = {by: place for place, by in enumerate(("all", *BY))}

    def standing(one: Share) -> tuple[int, int, str]:
        return order[one.by], 0 if one.by == "nameScore" else -one.reviewed, one.group

    return sorted(found, key=standing)


def _groups(was: Row, mentions: Sequence[Row]) -> Iterator[tuple[str, str]]:
    """The groups that a row is in, each once."""
    yield "all", "all"
    for rank in BY[:3]:
        yield rank, was.get(rank) or _UNTOLD
    cues = [cue for mention in mentions for cue in mention.get("cues") or ()]
    for by, column in zip(BY[3:5], ("category", "words"), strict=True):
        yield from ((by, group) for group in dict.fromkeys(str(cue[column]).lower() for cue in cues) or [_UNTOLD])
    said = [m for m in mentions if m.get("verbatimIdentification") == was.get("verbatimIdentification")]
    yield "matchedHow", said[0]["matchedHow"] if said else _UNTOLD
    score = was.get("nameScore")
    if score is not None:
        low = max(bound for bound in _BINS[:-1] if bound <= max(score, 0.0))
        yield "nameScore", f"{low:.1f} to {_BINS[_BINS.index(low) + 1]:.1f}"
    yield "certaintyTerm", was.get("certaintyTerm") or _UNTOLD


def _share(by: str, group: str, rows: Sequence[tuple[Row, Row]]) -> Share:
    told = Counter(verdict(was, row) for was, row in rows)
    scores = [was["nameScore"] for was, _ in rows if was.get("nameScore") is not None]
    expected = round(sum(scores) / len(scores), 4) if scores else None
    bounds = share_interval(told["right"], len(rows))
    return Share(by, group, len(rows), told["right"], told["renamed"], told["rejected"], *bounds, expected)


def mix_ups(pairs: Iterable[tuple[Row, Row]]) -> list[MixUp]:
    """Names that did not stand, the most frequent first."""
    found: Counter[MixUp] = Counter()
    for was, row in pairs:
        what, suggested = verdict(was, row), (was["scientificName"], was.get("taxonRank"))
        if what == "renamed":
            found[MixUp(*suggested, row["scientificName"], row.get("taxonRank"), None, 0)] += 1
        elif what == "rejected":
            found[MixUp(*suggested, None, None, row.get("rejectReason") or "other", 0)] += 1
    counted = [replace(one, times=times) for one, times in found.items()]
    return sorted(counted, key=lambda one: (-one.times, one.suggested, one.decided or "", one.reason or ""))
