"""Open nomenclature of the name that stands, for identifications from images (Horton et al. 2021, key figure).

What was said with the name is kept as said (sp., cf., aff., indet. ...). Else: stet. where the speakers chose to go no
lower, indet. with the next rank below where they could not, and inc. with the name that was doubted.
"""

from __future__ import annotations

from earwitness.pipeline.settle.open import SURE, Open
from earwitness.taxonomy import Checklist

_BELOW = {
    "genus": "sp.", "subgenus": "sp.", "family": "gen.", "subfamily": "gen.", "superfamily": "fam.", "order": "fam.",
    "suborder": "fam.", "infraorder": "fam.", "class": "ord.", "subclass": "ord.",
}  # fmt: skip
"""The rank that is not determined, by the rank that is."""
_SHORT = {"species": "sp.", "genus": "gen.", "family": "fam.", "order": "ord."}


def name_and_sign(checklist: Checklist, sighting: Open) -> tuple[int, str | None]:
    """The row to be written and its identificationQualifier.

    A species that is no more than possible is written as its genus, the doubted name in the qualifier.
    """
    rank = checklist.taxon(sighting.row).rank
    said = sighting.qualifier
    if said == "sp." and sighting.stop:
        return sighting.row, f"sp. {sighting.stop}"
    if said:
        return sighting.row, said
    if rank == "species":
        genus = _above(checklist, sighting.row, "genus")
        if sighting.certainty < SURE and genus is not None:
            return genus, _doubted(checklist, sighting.row)
        return sighting.row, None
    if sighting.stop == "indet.":
        return sighting.row, f"{_BELOW[rank]} indet." if rank in _BELOW else "indet."
    if sighting.stop:
        return sighting.row, sighting.stop
    offered = _only_offer(checklist, sighting)
    if offered is not None:
        return sighting.row, _doubted(checklist, offered)
    if rank in _SHORT and sighting.certainty < SURE:
        return sighting.row, f"{_SHORT[rank]} inc."
    return sighting.row, None


def _doubted(checklist: Checklist, row: int) -> str:
    taxon = checklist.taxon(row)
    return f"{taxon.scientific_name} {_SHORT.get(taxon.rank, '')} inc.".replace("  ", " ")


def _above(checklist: Checklist, row: int, rank: str) -> int | None:
    return next((above for above in checklist.lineage(row) if checklist.taxon(above).rank == rank), None)


def _only_offer(checklist: Checklist, sighting: Open) -> int | None:
    """The one species or genus that was said with doubt for the name just above it, and neither taken nor refused."""
    rank = checklist.taxon(sighting.row).rank
    if rank not in ("genus", "family"):
        return None
    below = {
        step.row
        for step in sighting.steps
        if step.step == "offered"
        and step.row is not None
        and step.row not in sighting.refused
        and step.row in sighting.doubted
        and checklist.is_same_or_ancestor(sighting.row, step.row)
    }
    (only,) = below if len(below) == 1 else (None,)
    return only
