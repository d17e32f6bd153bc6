"""When events were: their recording times come in, stretches of UTC on their own side of every cut go out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl

from earwitness.pipeline.place.clock import Clock
from earwitness.pipeline.place.lookup import EVER, NEVER, Ints


@dataclass(frozen=True, slots=True)
class Timeline:
    """Events in UTC.

    Args:
        starts, ends: moments (`time`, `low`, `high`; see `look_up`) at which events begin and end.
        cut, corrected: whether an event runs across a cut; whether clock pairs moved it.
        rows, lows, highs: the stretches of video that events cover: the event's number, from and to (µs since 1970). An
            event that runs across a cut has one on either side, so that what was cut out is in none.
    """

    starts: pl.DataFrame
    ends: pl.DataFrame
    cut: tuple[bool, ...]
    corrected: tuple[bool, ...]
    rows: Ints
    lows: Ints
    highs: Ints


def lay_out(rows: Sequence[Mapping[str, Any]], clock: Clock) -> Timeline:
    """Where events lie in UTC."""
    moments: tuple[list[tuple[int, int, int]], list[tuple[int, int, int]]] = ([], [])
    stretches: list[tuple[int, int, int]] = []
    cut, corrected = [], []
    limits = [_limits(clock, number) for number in range(len(clock.pieces))]
    for row, event in enumerate(rows):
        begin, end = float(event["startTime"]), float(event["endTime"])
        first = clock.number(begin)
        last = max(clock.number(end, "before"), first)
        moments[0].append((_micros(clock.pieces[first].utc(begin)), *limits[first]))
        moments[1].append((_micros(clock.pieces[last].utc(end)), *limits[last]))
        for number in range(first, last + 1):
            piece = clock.pieces[number]
            low, high = max(begin, piece.begin), min(end, piece.end)
            stretches.append((row, _micros(piece.utc(low)), _micros(piece.utc(max(low, high)))))
        cut.append(last > first)
        corrected.append(abs(clock.pieces[first].correction(begin)) >= 0.0005)
    schema = {"time": pl.Int64, "low": pl.Int64, "high": pl.Int64}
    starts, ends = (pl.DataFrame(side, schema=schema, orient="row") for side in moments)
    covered = np.array(stretches, dtype=np.int64).reshape(-1, 3)
    return Timeline(starts, ends, tuple(cut), tuple(corrected), covered[:, 0], covered[:, 1], covered[:, 2])


def _micros(seconds: float) -> int:
    return round(seconds * 1e6)


def _limits(clock: Clock, number: int) -> tuple[int, int]:
    low, high = clock.limits(number)
    return (
        NEVER if low == float("-inf") else _micros(low),
        EVER if high == float("inf") else _micros(high),
    )
