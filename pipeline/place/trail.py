"""The vehicle's way through the dive, thinned for maps."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
import polars as pl

from earwitness.pipeline.place.clock import EPOCH
from earwitness.pipeline.place.lookup import EVER, GAP, NEVER, look_up
from earwitness.pipeline.place.recording import Recording


@dataclass(frozen=True, slots=True)
class TrackPoint:
    """Where the vehicle was: degrees (WGS84), depth in metres, positive down."""

    utc: datetime
    latitude: float
    longitude: float
    depth: float | None


def track_points(recording: Recording, every: float = 10.0) -> list[TrackPoint]:
    """The vehicle's way by the first log that has positions: a fix every so many seconds, spikes left out."""
    track = next((track for track in recording.tracks if track.quantity == "position"), None)
    if track is None:
        return []
    steps = track.fixes["time"] // round(every * 1e6)
    fixes = track.fixes.filter(steps != steps.shift(1).fill_null(NEVER))
    depths = [None] * fixes.height
    if depth := next((track for track in recording.tracks if track.quantity == "depth"), None):
        limits = [pl.lit(value, pl.Int64).alias(name) for name, value in (("low", NEVER), ("high", EVER))]
        told = look_up(depth, fixes.select("time", *limits))
        depths = pl.select(pl.when(told["method"] != GAP).then(told["value"])).to_series().to_list()
    longitudes = (fixes["longitude"].to_numpy() + 180) % 360 - 180
    return [
        TrackPoint(
            EPOCH + timedelta(microseconds=time), round(lat, 7), round(lon, 7), None if d is None else round(d, 2)
        )
        for time, lat, lon, d in zip(
            fixes["time"].to_list(), fixes["latitude"].to_list(), np.asarray(longitudes).tolist(), depths, strict=True
        )
    ]
