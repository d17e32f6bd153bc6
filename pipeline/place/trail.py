"""The vehicle's way through the dive, thinned for maps."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
import polars as pl

from earwitness.pipeline.place.clock import EPOCH
from earwitness.pipeline.place.lookup import EVER, GAP, NEVER, look_up
from earwitness.pipeline.place.recording import Recording
from earwitness.pipeline.place.tracks import Track


@dataclass(frozen=True, slots=True)
class TrackPoint:
    """Where the vehicle was: degrees (WGS84), depth in metres, positive down."""

    utc: datetime
    latitude: float
    longitude: float
    depth: float | None


def track_points(recording: Recording, every: float = 10.0) -> list[TrackPoint]:
    """The vehicle's way: a fix every so many seconds, spikes left out; of a further log only what fills a gap."""
    ways = [track for track in recording.tracks if track.quantity == "position"]
    parts = []
    for number, way in enumerate(ways):
        fixes = _thinned(way, every)
        for earlier in ways[:number]:
            fixes = fixes.filter(_told(earlier, fixes)["method"] == GAP)
        parts.append(fixes)
    if not parts:
        return []
    fixes = pl.concat(parts).sort("time")
    depths = pl.Series([None] * fixes.height, dtype=pl.Float64)
    for depth in (track for track in recording.tracks if track.quantity == "depth"):
        told = _told(depth, fixes)
        depths = depths.zip_with(depths.is_not_null(), pl.select(_where_told(told)).to_series())
    longitudes = (fixes["longitude"].to_numpy() + 180) % 360 - 180
    return [
        TrackPoint(
            EPOCH + timedelta(microseconds=time), round(lat, 7), round(lon, 7), None if d is None else round(d, 2)
        )
        for time, lat, lon, d in zip(
            fixes["time"].to_list(),
            fixes["latitude"].to_list(),
            np.asarray(longitudes).tolist(),
            depths.to_list(),
            strict=True,
        )
    ]


def _thinned(way: Track, every: float) -> pl.DataFrame:
    steps = way.fixes["time"] // round(every * 1e6)
    return way.fixes.filter(steps != steps.shift(1).fill_null(NEVER))


def _told(track: Track, fixes: pl.DataFrame) -> pl.DataFrame:
    """What a track tells at the moments of fixes; the way does not know of the video's cuts."""
    limits = [pl.lit(value, pl.Int64).alias(name) for name, value in (("low", NEVER), ("high", EVER))]
    return look_up(track, fixes.select("time", *limits))


def _where_told(told: pl.DataFrame) -> pl.Expr:
    return pl.when(told["method"] != GAP).then(told["value"])
