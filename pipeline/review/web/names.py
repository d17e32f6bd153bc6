"""Names of the checklist that begin like what was typed: those of the event and of the dive first.

Stands in until the search as you type (`earwitness.taxonomy.lookup`) is there.
"""

from __future__ import annotations

import time
from typing import Any

from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.naming import lineage


def names(desk: Desk, q: str, recording_id: str | None, event_id: str | None, limit: int) -> dict[str, Any]:
    """At most `limit` names that a word of begins with what was typed."""
    began = time.perf_counter()
    sought = " ".join(q.casefold().split())
    row = desk.rows.get(event_id or "")
    near = {choice["taxonID"] for choice in row["alternatives"]} if row else set()
    dive = {
        other["taxonID"]
        for other in desk.rows.values()
        if other["taxonID"] and recording_id in (None, other["recordingID"])
    }
    found: dict[int, tuple[tuple[bool, bool, bool, str], str, str]] = {}
    for taxon in desk.checklist:
        for text, how in ((taxon.scientific_name, "name"), *((name, "vernacular") for name in taxon.vernaculars)):
            folded = text.casefold()
            if sought and not (folded.startswith(sought) or f" {sought}" in folded):
                continue
            accepted = desk.checklist.accepted(taxon.index)
            taxon_id = desk.checklist.taxon(accepted).taxon_id
            rank = (taxon_id not in near, taxon_id not in dive, not folded.startswith(sought), folded)
            if accepted not in found or rank < found[accepted][0]:
                found[accepted] = (rank, text, how)
    best = sorted(found.items(), key=lambda item: item[1][0])[:limit]
    return {
        "names": [_name(desk, row, text, how) for row, (_, text, how) in best],
        "ms": round((time.perf_counter() - began) * 1000, 2),
    }


def _name(desk: Desk, row: int, matched: str, how: str) -> dict[str, Any]:
    taxon = desk.checklist.taxon(row)
    return {
        "scientificName": taxon.scientific_name,
        "taxonID": taxon.taxon_id,
        "taxonRank": taxon.rank or None,
        "authorship": taxon.authorship or None,
        "lineage": " > ".join(step["name"] for step in lineage(desk.checklist, taxon.taxon_id)[:-1]),
        "vernacularName": taxon.vernaculars[0] if taxon.vernaculars else None,
        "matched": matched,
        "how": how,
        "marks": [],
    }
