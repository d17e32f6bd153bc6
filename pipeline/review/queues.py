"""How doubtful a drafted event is, for the order in which people look at the pile: a figure from 0 to 1.

The doubt of an event is that of its weakest point, not a product: a clear caption of a guess and a shaky caption of a
sure statement are both worth a look, and either alone is reason enough.

| point | doubt |
| --- | --- |
| the words may not mean this name | 1 - nameScore |
| another name fits nearly as well | the rival's share of the two scores, times 2 (1: they fit alike), at most 0.9 |
| the speaker was not sure | 1 - certainty |
| people named it differently and did not agree | 0.6; 0.4 where the one that stands was confirmed |
| somebody asked about it at the desk | 1 |

Own choice, to be measured against what people change: on three development dives as heard, a wrong row has more doubt
than a right one in 61 of 100 pairs (by nameScore alone 57, by certainty alone 54; 82 rows, 29 of them wrong).
Markers, measurements and grounds have no name: 0.2.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

_WITHOUT_NAME = 0.2
_ALIKE = 0.9
_DISAGREED, _CONFIRMED = 0.6, 0.4
_DISSENT = ("corrected", "alternative", "offered", "retracted")
"""Steps of a chain of determinations in which people did not simply go on from one name to a narrower one."""


def doubt(row: Mapping[str, Any], asked: bool = False) -> float:
    """How doubtful an event is (0-1), whoever has decided on it already."""
    if asked:
        return 1.0
    if row["recordKind"] != "occurrence":
        return _WITHOUT_NAME
    score, certainty = row["nameScore"] or 0.0, row["certainty"] or 0.0
    return round(max(1 - score, 1 - certainty, _rivalry(score, row), _dissent(row)), 3)


def _rivalry(score: float, row: Mapping[str, Any]) -> float:
    best = max((choice["nameScore"] for choice in row["alternatives"]), default=0.0)
    return min(_ALIKE, 2 * best / (best + score)) if best > 0 else 0.0


def _dissent(row: Mapping[str, Any]) -> float:
    steps = [step["step"] for step in row["determinations"]]
    if not any(step in _DISSENT for step in steps):
        return 0.0
    return _CONFIRMED if steps[-1] == "confirmed" else _DISAGREED
