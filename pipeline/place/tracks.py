"""Tracks: rows of logs come in, one series of fixes a quantity goes out, in order, derived where need be, unspiked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import polars as pl
from numpy.typing import NDArray

from earwitness.pipeline.place.clock import Clock
from earwitness.pipeline.place.description import Site
from earwitness.pipeline.place.log import Log, LogFile, quantities
from earwitness.pipeline.place.log_checks import check_depths, check_site, check_values, put_in_order
from earwitness.pipeline.place.log_table import MOSTLY, read_table
from earwitness.pipeline.place.nmea import read_nmea
from earwitness.pipeline.place.sea_water import depth_of, practical_salinity, pressure_of
from earwitness.pipeline.place.spikes import find_spikes, plane
from earwitness.schemas import Problem

SINGLE = ("depth", "heading", "altitude", "temperature", "salinity", "oxygen")
"""Quantities of one value each; "position" has latitude and longitude."""
FRESH = 5.0
"""Practical salinity below which conductivity was more likely S/m than the sea that fresh (a choice, no source)."""


@dataclass(frozen=True, slots=True)
class Track:
    """One quantity of one log.

    Args:
        quantity: "position" or one of SINGLE.
        fixes: `time` (µs since 1970, each once, in order) and `value`, or `latitude`, `longitude` (which runs on across
            180 degrees) and `uncertainty` (m, may be null). Without spikes.
        spikes: times of the fixes left out.
        derived: how the values were had if not read as they are.
        fastest: most that it can change a second, from the rule for spikes.
    """

    quantity: str
    log: LogFile
    fixes: pl.DataFrame = field(repr=False)
    spikes: NDArray[np.int64] = field(repr=False)
    derived: str | None = None
    fastest: float = 0.0


def read_tracks(
    files: Sequence[LogFile], clock: Clock | None, site: Site, limits: Mapping[str, Sequence[float]]
) -> tuple[tuple[Track, ...], tuple[LogFile, ...], tuple[Problem, ...]]:
    """Read logs and make their tracks.

    Args:
        limits: {quantity: [jump, rate]} for spikes, where stated.

    Raises:
        InputError: a log cannot be used.
    """
    start = clock.seconds(0.0) if clock else None
    logs = [read_nmea(file, start) if file.format == "nmea" else read_table(file) for file in files]
    for log in logs:
        check_values(log)
        put_in_order(log)
        check_site(log, site)
    latitude = _latitude(logs, site)
    tracks: list[Track] = []
    for log in logs:
        check_depths(log, latitude)
        derived = _derive(log, latitude)
        tracks += [track for name in ("position", *SINGLE) if (track := _track(log, name, derived, limits))]
    read = []
    for log in logs:
        times = log.rows["time"]
        first, last = (int(times[0]), int(times[-1])) if len(times) else (None, None)
        read.append(replace(log.file, rows=log.rows.height, first=first, last=last))
    by_path = {file.file: file for file in read}
    tracks = [replace(track, log=by_path[track.log.file]) for track in tracks]
    return tuple(tracks), tuple(read), tuple(problem for log in logs for problem in log.problems)


def _latitude(logs: Sequence[Log], site: Site) -> float | None:
    """One latitude for all, where a row has none: that of the logs, else of the site."""
    known = [log.rows["latitude"].drop_nulls() for log in logs if "latitude" in log.rows.columns]
    values = pl.concat(known) if known else pl.Series(dtype=pl.Float64)
    return float(values.median()) if len(values) else site.latitude  # type: ignore[arg-type]


def _derive(log: Log, latitude: float | None) -> dict[str, str]:
    """Add depth from pressure and salinity from conductivity where they are not there; {quantity: how}.

    Raises:
        InputError: what the computation needs is not there, or the result cannot be.
    """
    derived: dict[str, str] = {}
    have = set(log.rows.columns)
    wanted = {"pressure"} <= have and "depth" not in have, "conductivity" in have and "salinity" not in have
    if not any(wanted):
        return derived
    if latitude is None:
        log.file.refuse(0, "depth and pressure need a latitude", "a log with positions, or [site] with latitude")
    here = log.rows["latitude"].fill_null(latitude).to_numpy() if "latitude" in have else latitude
    if wanted[0]:
        depth = depth_of(log.rows["pressure"].to_numpy(), here)
        log.rows = log.rows.with_columns(pl.Series("depth", depth).fill_nan(None))
        derived["depth"] = "depth from pressure"
    if wanted[1]:
        if not {"depth", "pressure"} & have:
            log.file.refuse(0, "salinity from conductivity needs pressure or depth", "one of them in [logs.columns]")
        rows = log.rows
        pressure = rows["pressure"].to_numpy() if "pressure" in have else pressure_of(rows["depth"].to_numpy(), here)
        salinity = practical_salinity(rows["conductivity"].to_numpy(), rows["temperature"].to_numpy(), pressure)
        log.rows = rows.with_columns(pl.Series("salinity", salinity).fill_nan(None))
        _check_salinity(log)
        derived["salinity"] = "salinity from conductivity"
    return derived


def _check_salinity(log: Log) -> None:
    known = log.rows.drop_nulls("salinity")
    if not known.height:
        return
    high = quantities()["salinity"].high
    salty = known.filter(pl.col("salinity") > high)
    hint = "units.conductivity (mS/cm, S/m)? units.temperature?"
    if salty.height > MOSTLY * known.height:
        log.file.refuse(
            int(salty["line"][0]), f"conductivity {salty['conductivity'][0]:g} mS/cm makes no sea water", hint
        )
    log.note(salty, f"conductivity {salty['conductivity'][0]:g} mS/cm makes no sea water" if salty.height else "", hint)
    log.rows = log.rows.with_columns(pl.when(pl.col("salinity") <= high).then(pl.col("salinity")).alias("salinity"))
    if float(known["salinity"].median()) < FRESH:  # type: ignore[arg-type]
        log.note(known, f"salinity from conductivity is {known['salinity'][0]:.2f}", hint, "noted")


def _track(log: Log, name: str, derived: Mapping[str, str], limits: Mapping[str, Sequence[float]]) -> Track | None:
    columns = ["latitude", "longitude"] if name == "position" else [name]
    if not set(columns) <= set(log.rows.columns):
        return None
    also = ["uncertainty"] if name == "position" and "uncertainty" in log.rows.columns else []
    rows = log.rows.select("time", "line", *columns, *also).drop_nulls(columns)
    rows = rows.unique("time", keep="first", maintain_order=True)
    if not rows.height:
        return None
    rows = _unwrapped(rows, name)
    quantity = quantities()[name]
    jump, rate = limits.get(name, (quantity.jump, quantity.rate))
    spikes = np.zeros(rows.height, dtype=np.bool_)
    if jump is not None and rate is not None:
        points = [rows[column].to_numpy() for column in columns]
        spikes = find_spikes(
            rows["time"].to_numpy() / 1e6, plane(*points) if len(points) == 2 else points[0], jump, rate
        )
        unit = "m" if name == "position" else quantity.unit
        log.note(
            rows.filter(spikes),
            f"{name} is a spike",
            f"within {jump:g} {unit} and {rate:g} {unit}/s of its neighbours' median".replace(" 1 ", " ").replace(
                " 1/", "/"
            ),
        )
    times = rows["time"].to_numpy()[spikes]
    rows = _unwrapped(rows.filter(~spikes), name)
    if name != "position":
        rows = rows.rename({name: "value"})
    elif not also:
        rows = rows.with_columns(pl.lit(None, pl.Float64).alias("uncertainty"))
    return Track(name, log.file, rows.drop("line"), times, derived.get(name), float(rate or 0.0))


def _unwrapped(rows: pl.DataFrame, name: str) -> pl.DataFrame:
    """Angles that run on across 180 degrees (longitude) or north (heading)."""
    turning = {"position": "longitude", "heading": "heading"}.get(name)
    if turning is None:
        return rows
    return rows.with_columns(pl.Series(turning, np.unwrap(rows[turning].to_numpy(), period=360.0)))
