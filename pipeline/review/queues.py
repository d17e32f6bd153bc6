"""How doubtful a drafted event is, for the order in which people look at the pile: a figure from 0 to 1.

Each point below is a reason of its own to look: the doubt is what is left when none of them applies, taken from 1. So
any of them raises it, and none hides another.

| point | counts | where it is full |
| --- | --- | --- |
| it rests on few mentions: nobody said it again, went on to a narrower name or agreed | 0.6 / mentions | one mention |
| the heard words are short, as common words and misheard ones are | up to 0.5 | no letter; 16 and more: none |
| the speaker was not sure | up to 0.6 | certainty 0 |
| the words may not mean this name | up to 0.5 | nameScore 0 |
| another name fits nearly as well | up to 0.5 | the rival fits alike |
| people named it differently | 0.2 | corrected, offered, an alternative, taken back |

Own choice of points and weights, rounded: the order hardly depends on them. `tests/bench/doubt.py` measures in how many
of all pairs of a wrong and a right row the wrong one has more doubt. On eight scripted dives whose truth is known: 0.79
on clean captions, 0.83 on captions as heard or raw; on four that were not looked at for it: 0.76 and 0.72. The weakest
of the last four points alone, which doubt was before, had 0.49, 0.62, 0.51 and 0.57. That people named it differently
counts little, for what was talked over is mostly settled.

What somebody asked about at the desk has a doubt of 1. Markers, measurements and grounds have no name: 0.2.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import prod
from typing import Any

_WITHOUT_NAME = 0.2
_FEW, _SHORT, _UNSURE, _MISHEARD, _RIVAL, _DISSENT = 0.6, 0.5, 0.6, 0.5, 0.5, 0.2
_LONG = 16
"""Letters from which heard words are not short."""
_DIFFERENTLY = ("corrected", "alternative", "offered", "retracted")
"""Steps of a chain of determinations in which people did not simply go on from one name to a narrower one."""


def doubt(row: Mapping[str, Any], asked: bool = False, mentions: int = 0) -> float:
    """How doubtful an event is (0-1), whoever has decided on it already.

    Args:
        row: the event.
        asked: whether somebody asks about it.
        mentions: on how many it rests; 0: not known.
    """
    if asked:
        return 1.0
    if row["recordKind"] != "occurrence":
        return _WITHOUT_NAME
    score, certainty = row["nameScore"] or 0.0, row["certainty"] or 0.0
    points = (
        _FEW / mentions if mentions else 0.0,
        _SHORT * _shortness(row["verbatimIdentification"]),
        _UNSURE * (1 - certainty),
        _MISHEARD * (1 - score),
        _RIVAL * _rivalry(score, row),
        _DISSENT * any(step["step"] in _DIFFERENTLY for step in row["determinations"]),
    )
    return round(1 - prod(1 - point for point in points), 3)


def _shortness(heard: str | None) -> float:
    """1: no letter; 0: enough of them, or there are no heard words."""
    return max(0.0, 1 - sum(map(str.isalpha, heard)) / _LONG) if heard else 0.0


def _rivalry(score: float, row: Mapping[str, Any]) -> float:
    """1: another name fits alike, or better."""
    best = max((choice["nameScore"] for choice in row["alternatives"]), default=0.0)
    return min(1.0, 2 * best / (best + score)) if best > 0 else 0.0
