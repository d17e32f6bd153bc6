"""A checklist of a dozen taxa, and rows in the shape of a run's files: tests need no real checklist."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from earwitness.pipeline.score import GoldEvent, GoldMention


@dataclass(frozen=True)
class FakeTaxon:
    index: int
    scientific_name: str
    rank: str
    parent: int | None
    genus: str = ""
    family: str = ""


TREE = (
    ("Animalia", "kingdom", None),
    ("Cnidaria", "phylum", "Animalia"),
    ("Anthozoa", "class", "Cnidaria"),
    ("Scleractinia", "order", "Anthozoa"),
    ("Caryophylliidae", "family", "Scleractinia"),
    ("Desmophyllum", "genus", "Caryophylliidae"),
    ("Desmophyllum pertusum", "species", "Desmophyllum"),
    ("Desmophyllum dianthus", "species", "Desmophyllum"),
    ("Solenosmilia", "genus", "Caryophylliidae"),
    ("Solenosmilia variabilis", "species", "Solenosmilia"),
    ("Porifera", "phylum", "Animalia"),
    ("Farrea", "genus", "Porifera"),
)
SYNONYMS = {"Lophelia pertusa": "Desmophyllum pertusum"}


class FakeChecklist:
    """Meets the `Lineages` protocol."""

    def __init__(self) -> None:
        self.names = [name for name, _, _ in TREE] + list(SYNONYMS)
        self.taxa = [
            FakeTaxon(i, name, rank, self.names.index(parent) if parent else None)
            for i, (name, rank, parent) in enumerate(TREE)
        ]
        self.taxa += [FakeTaxon(len(TREE) + i, name, "species", None) for i, name in enumerate(SYNONYMS)]

    def find(self, name: str) -> tuple[int, ...]:
        return tuple(i for i, known in enumerate(self.names) if known.casefold() == name.casefold())

    def accepted(self, index: int) -> int:
        return self.names.index(SYNONYMS.get(self.names[index], self.names[index]))

    def lineage(self, index: int) -> tuple[int, ...]:
        above = self.taxa[index].parent
        return () if above is None else (above, *self.lineage(above))

    def is_same_or_ancestor(self, above: int, below: int) -> bool:
        return above == below or above in self.lineage(below)

    def taxon(self, index: int) -> FakeTaxon:
        return self.taxa[index]


def gold_event(event: str, start: float, end: float, name: str | None, **more: Any) -> GoldEvent:
    return GoldEvent(event, start, end, name, **{"certainty": "certain", **more})


def event_row(start: float, end: float | None, name: str | None, **more: Any) -> dict[str, Any]:
    row = {
        "eventID": f"r{start:g}",
        "recordingID": "dive",
        "recordKind": "occurrence",
        "startTime": start,
        "endTime": end,
        "scientificName": name,
        "certaintyTerm": "certain",
    }
    return row | more


def row_of(gold: GoldEvent, recording: str = "dive") -> dict[str, Any]:
    """The event row that says exactly what a gold event says, counts as the event table writes them."""
    row = event_row(gold.start, gold.end, gold.name, recordingID=recording, taxonRank=gold.rank)
    row |= {
        "eventID": gold.event,
        "certaintyTerm": gold.certainty,
        "identificationQualifier": gold.qualifier,
    }
    if gold.count and gold.count.isdigit():
        row["individualCount"] = int(gold.count)
    elif gold.count and gold.count.startswith("~"):
        row |= {
            "organismQuantity": gold.count[1:],
            "organismQuantityType": "individuals, approximate",
        }
    elif gold.count:
        row |= {"organismQuantity": gold.count, "organismQuantityType": "abundance as spoken"}
    return row


def gold_mention(start: float, end: float, verbatim: str, name: str | None, **more: Any) -> GoldMention:
    settings = {"status": "observed", "certainty": "certain", "line": round(start) + 2} | more
    return GoldMention("1", start, end, "sighting", verbatim, name, **settings)


def mention_row(start: float, end: float, verbatim: str, name: str | None, **more: Any) -> dict[str, Any]:
    row = {
        "mentionID": f"m{start:g}",
        "recordingID": "dive",
        "startTime": start,
        "endTime": end,
        "utteranceStart": start,
        "utteranceEnd": end,
        "verbatimIdentification": verbatim,
        "scientificName": name,
        "status": "observed",
        "certaintyTerm": "certain",
    }
    return row | more


def row_of_mention(gold: GoldMention, recording: str = "dive") -> dict[str, Any]:
    row = mention_row(gold.start, gold.end, gold.verbatim, gold.name, recordingID=recording)
    row |= {"mentionID": f"m{gold.line}", "status": gold.status, "certaintyTerm": gold.certainty}
    return row | {"taxonRank": gold.rank}
