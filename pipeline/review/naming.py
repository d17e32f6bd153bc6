"""What a name gives an event: the checklist's columns, what became of the name before, and ranks above."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from earwitness.pipeline.review.decisions import RefusedError, Row
from earwitness.pipeline.table.taxa import taxon_columns
from earwitness.taxonomy import Checklist

BY_HAND = 1.0
"""nameScore of a name that a person chose."""
_OF_A_RANK = ("sp", "gen", "fam")
"""How signs of open nomenclature begin that tell how far the name goes: "sp.", "gen. indet."."""


def accepted_row(checklist: Checklist, taxon_id: str) -> int:
    """The accepted taxon of a taxonID.

    Raises:
        RefusedError: the checklist has no such taxon.
    """
    row = checklist.by_id(taxon_id) if taxon_id.isprintable() else None
    if row is None:
        raise RefusedError("unknown", f"the checklist has no taxon {taxon_id!r}", "choose a name of the checklist")
    return checklist.accepted(row)


def name_columns(checklist: Checklist, row: int) -> Row:
    """The columns of an event that say which taxon it is."""
    taxon = checklist.taxon(row)
    return {
        **taxon_columns(checklist, row),
        "scientificNameAuthorship": taxon.authorship or None,
        "acceptedNameUsageID": taxon.taxon_id,
        "vernacularName": taxon.vernaculars[0] if taxon.vernaculars else None,
    }


def renamed(checklist: Checklist, event: Mapping[str, Any], taxon_id: str) -> Row:
    """The columns that change where an event gets another name; none where it bears it already."""
    new = name_columns(checklist, accepted_row(checklist, taxon_id))
    if new["taxonID"] == event["taxonID"]:
        return {}
    old = event["scientificName"]
    choices = [c for c in event["alternatives"] if c["taxonID"] not in (new["taxonID"], event["taxonID"])]
    if old is not None:
        score = event["nameScore"] or 0.0
        first = {"scientificName": old, "taxonID": event["taxonID"], "taxonRank": event["taxonRank"]}
        choices.insert(0, first | {"nameScore": score})
        who = "machine draft" if event["reviewStatus"] == "draft" else event["reviewedBy"]
        told = event["previousIdentifications"]
        new["previousIdentifications"] = " | ".join(filter(None, (told, f"{old} ({who}, corrected in review)")))
    sign = event["identificationQualifier"]
    if sign and sign.startswith(_OF_A_RANK) and new["taxonRank"] != event["taxonRank"]:
        new["identificationQualifier"] = None
    return new | {"nameScore": BY_HAND, "alternatives": choices}


def raised(checklist: Checklist, event: Mapping[str, Any], rank: str) -> str:
    """The taxonID of the rank above that an event's name belongs to.

    Raises:
        RefusedError: the checklist has none of that rank above it.
    """
    row = accepted_row(checklist, event["taxonID"]) if event["taxonID"] else None
    ranks = []
    for above in (row, *checklist.lineage(row)) if row is not None else ():
        taxon = checklist.taxon(above)
        if taxon.rank == rank:
            return taxon.taxon_id
        ranks.append(taxon.rank)
    raise RefusedError(
        "invalid", f"{event['scientificName']} has no {rank!r} above it", f"one of {', '.join(filter(None, ranks))}"
    )


def lineage(checklist: Checklist, taxon_id: str | None) -> list[dict[str, str]]:
    """Rank, name and taxonID of the taxa above and the taxon itself, the highest first; empty: not in the checklist."""
    row = checklist.by_id(taxon_id) if taxon_id else None
    if row is None:
        return []
    taxa = [checklist.taxon(above) for above in (checklist.accepted(row), *checklist.lineage(row))]
    return [{"rank": taxon.rank, "name": taxon.scientific_name, "taxonID": taxon.taxon_id} for taxon in reversed(taxa)]
