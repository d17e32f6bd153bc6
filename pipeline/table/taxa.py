"""A taxon of the checklist as columns of the event and mention tables."""

from __future__ import annotations

from typing import Any

from earwitness.taxonomy import Checklist


def taxon_columns(checklist: Checklist, row: int) -> dict[str, Any]:
    """Name, ID, rank and higher classification of an accepted taxon; None where the checklist says nothing."""
    taxon = checklist.taxon(row)
    return {
        "scientificName": taxon.scientific_name,
        "taxonID": taxon.taxon_id,
        "taxonRank": taxon.rank or None,
        "kingdom": taxon.kingdom or None,
        "phylum": taxon.phylum or None,
        "class": taxon.class_ or None,
        "order": taxon.order or None,
        "family": taxon.family or None,
        "genus": taxon.genus or None,
    }
