"""Search as one types: what was typed comes in, names go out; those of the event and of the dive first."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.naming import lineage
from earwitness.taxonomy import Found, search

_OF_EVENT = 1e6
"""Weight of the names that an event may bear, above all of the dive's."""
_DECIDED, _ELSEWHERE = 3.0, 0.5
"""What a row counts whose name a person decided on, and one of another recording; own choice."""


class Names:
    """The names of a desk's checklist."""

    def __init__(self, desk: Desk):
        self._desk = desk
        self._of_dive = lru_cache(maxsize=16)(self._weigh)

    def find(self, typed: str, recording_id: str | None, event_id: str | None, limit: int) -> dict[str, Any]:
        """At most `limit` names that what was typed may become."""
        began = time.perf_counter()
        favoured = dict(self._of_dive(self._desk.last, recording_id))
        row = self._desk.rows.get(event_id or "")
        choices = [row["taxonID"], *(choice["taxonID"] for choice in row["alternatives"])] if row else []
        for place, taxon_id in enumerate(choices):
            taxon = self._desk.checklist.by_id(taxon_id) if taxon_id else None
            if taxon is not None:
                favoured.setdefault(self._desk.checklist.accepted(taxon), 0.0)
                favoured[self._desk.checklist.accepted(taxon)] += _OF_EVENT - place
        found = search(self._desk.index, typed, limit=limit, favoured=favoured)
        return {
            "names": [self._name(one) for one in found],
            "ms": round((time.perf_counter() - began) * 1000, 2),
        }

    def _weigh(self, _: int, recording_id: str | None) -> Mapping[int, float]:
        """How often each taxon is on the dive, by the decisions so far."""
        weights: defaultdict[str, float] = defaultdict(float)
        for row in self._desk.rows.values():
            if row["taxonID"] and row["reviewStatus"] != "rejected":
                weight = 1.0 if row["reviewStatus"] == "draft" else _DECIDED
                near = recording_id in (None, row["recordingID"])
                weights[row["taxonID"]] += weight if near else weight * _ELSEWHERE
        checklist = self._desk.checklist
        rows = {taxon_id: checklist.by_id(taxon_id) for taxon_id in weights}
        return {checklist.accepted(row): weights[name] for name, row in rows.items() if row is not None}

    def _name(self, found: Found) -> dict[str, Any]:
        taxon = self._desk.checklist.taxon(found.row)
        return {
            "scientificName": taxon.scientific_name,
            "taxonID": taxon.taxon_id,
            "taxonRank": taxon.rank or None,
            "authorship": taxon.authorship or None,
            "lineage": " > ".join(step["name"] for step in lineage(self._desk.checklist, taxon.taxon_id)[:-1]),
            "vernacularName": taxon.vernaculars[0] if taxon.vernaculars else None,
            "matched": found.entry.text,
            "how": found.how,
            "marks": [list(mark) for mark in found.marks],
        }
