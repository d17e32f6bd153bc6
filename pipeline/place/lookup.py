"""Values of a track at moments: between two fixes, or of the nearest one, never from both sides of a cut. By Polars.

Interpolated where the fixes before and after are no further apart than the log states and on the moment's own side of
every cut; else the nearest fix within the stated time, first of the own side; else nothing ("gap").
"""

from __future__ import annotations

import numpy as np
import polars as pl
from numpy.typing import NDArray

from earwitness.pipeline.place.geodesic import distances
from earwitness.pipeline.place.tracks import Track

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
INTERPOLATED, NEAREST, GAP = "interpolated", "nearest fix", "gap"
NEVER, EVER = -(2**62), 2**62
"""Limits where there is no cut."""


def look_up(track: Track, moments: pl.DataFrame) -> pl.DataFrame:
    """What a track says at moments.

    Args:
        moments: `time`, and `low` and `high`, from and to which the moment's own side of cuts goes (µs since 1970).

    Returns:
        A row a moment, in their order: the track's values, `method`, `gap` (s to the nearest fix used), `crossed` (a
        fix from beyond a cut was used), `first` and `last` (fixes used); for a position also `speed` (m/s) there.
    """
    names = [name for name in track.fixes.columns if name != "time"]
    fixes = track.fixes.with_columns(pl.col("time").alias("fix"))
    asked = moments.select("time", "low", "high").with_row_index("row").sort("time")
    joined = asked.join_asof(fixes, on="time", strategy="backward").join_asof(
        fixes, on="time", strategy="forward", suffix="_after"
    )
    found = joined.with_columns(_how(track)).with_columns(
        pl.when(pl.col("method") == INTERPOLATED)
        .then(pl.min_horizontal(_ago(), _ahead()))
        .when(pl.col("method") == NEAREST)
        .then(pl.when(pl.col("earlier")).then(_ago()).otherwise(_ahead()))
        .truediv(1e6)
        .alias("gap")
    )
    speed = [_speed(track, found)] if track.quantity == "position" else []
    values = [_worst(name) if name == "uncertainty" else _value(name) for name in names]
    used = [
        pl.when(pl.col("method") == GAP).then(None).otherwise(which).alias(name)
        for name, which in (
            (
                "first",
                pl.when(pl.col("earlier") | (pl.col("method") == INTERPOLATED)).then("fix").otherwise("fix_after"),
            ),
            ("last", pl.when(pl.col("earlier")).then("fix").otherwise("fix_after")),
        )
    ]
    kept = ["row", "method", "gap", "crossed"]
    return found.select(*kept, *values, *used, *speed).sort("row").drop("row")


def _ago() -> pl.Expr:
    return pl.col("time") - pl.col("fix")


def _ahead() -> pl.Expr:
    return pl.col("fix_after") - pl.col("time")


def _how(track: Track) -> list[pl.Expr]:
    """method; whether the nearest fix is the earlier one; whether it lies beyond a cut."""
    within, nearest = round(track.log.within * 1e6), round(track.log.nearest * 1e6)
    own_before = (pl.col("fix") >= pl.col("low")).fill_null(False)
    own_after = (pl.col("fix_after") <= pl.col("high")).fill_null(False)
    between = own_before & own_after & (pl.col("fix_after") - pl.col("fix") <= within)
    before, after = (_ago() <= nearest).fill_null(False), (_ahead() <= nearest).fill_null(False)
    own = (own_before & before) | (own_after & after)
    usable_before = before & (own_before | ~own)
    usable_after = after & (own_after | ~own)
    method = (
        pl.when(between).then(pl.lit(INTERPOLATED)).when(before | after).then(pl.lit(NEAREST)).otherwise(pl.lit(GAP))
    )
    earlier = usable_before & (~usable_after | (_ago() <= _ahead()).fill_null(True))
    return [
        method.alias("method"),
        (earlier & ~between).alias("earlier"),
        ((before | after) & ~own & ~between).alias("crossed"),
    ]


def _value(name: str) -> pl.Expr:
    one, two = pl.col(name), pl.col(f"{name}_after")
    span = pl.col("fix_after") - pl.col("fix")
    share = pl.when(span > 0).then(_ago() / span).otherwise(0.0)
    return (
        pl.when(pl.col("method") == INTERPOLATED)
        .then(one + (two - one) * share)
        .when(pl.col("method") == NEAREST)
        .then(pl.when(pl.col("earlier")).then(one).otherwise(two))
        .alias(name)
    )


def _worst(name: str) -> pl.Expr:
    one, two = pl.col(name), pl.col(f"{name}_after")
    return (
        pl.when(pl.col("method") == INTERPOLATED)
        .then(pl.max_horizontal(one, two))
        .when(pl.col("method") == NEAREST)
        .then(pl.when(pl.col("earlier")).then(one).otherwise(two))
        .alias(name)
    )


def _speed(track: Track, found: pl.DataFrame) -> pl.Series:
    """Of the vehicle about a moment: between the two fixes, or else the fastest that is thought possible."""
    names = ("latitude", "longitude", "latitude_after", "longitude_after")
    metres = distances(*(found[name].cast(pl.Float64).fill_null(np.nan).to_numpy() for name in names))
    seconds = (found["fix_after"] - found["fix"]).cast(pl.Float64).fill_null(np.nan).to_numpy() / 1e6
    speed = np.divide(metres, seconds, out=np.full(len(metres), track.fastest), where=seconds > 0)
    between = (found["method"] == INTERPOLATED).to_numpy()
    return pl.Series("speed", np.where(between & ~np.isnan(speed), speed, track.fastest))


def extremes(times: Ints, values: Floats, low: Ints, high: Ints) -> tuple[Floats, Floats]:
    """Least and largest value of the fixes from `low` to `high` (both included), not-a-number where there is none."""
    first, after = np.searchsorted(times, low, "left"), np.searchsorted(times, high, "right")
    least, largest = np.full(len(low), np.nan), np.full(len(low), np.nan)
    some = after > first
    if some.any():
        bounds = np.column_stack([first[some], after[some]]).ravel()
        padded = np.append(values, values[-1])
        least[some] = np.minimum.reduceat(padded, bounds)[::2]
        largest[some] = np.maximum.reduceat(padded, bounds)[::2]
    return least, largest


def any_between(times: Ints, low: Ints, high: Ints) -> NDArray[np.bool_]:
    """Whether any of these times lies from `low` to `high`."""
    return np.asarray(np.searchsorted(times, high, "right") > np.searchsorted(times, low, "left"), dtype=np.bool_)
