"""Whether a log can be what its description says: values that can be, units, coordinates the right way round, order.

A value that cannot be is left out and told. Where most cannot be, the log is refused, with the first such row and what
may be wrong in the description.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import polars as pl

from earwitness.pipeline.place.description import Site
from earwitness.pipeline.place.geodesic import distances
from earwitness.pipeline.place.log import Log, quantities, unit_factors
from earwitness.pipeline.place.log_table import MOSTLY
from earwitness.pipeline.place.sea_water import depth_of

NEAR_KM = 100.0
"""How far a log may lie from the site where the description does not state it (a choice, no source)."""
ENOUGH = 3
"""Values from which it can be said what a column is (a choice, no source)."""
_CLOSE = 0.1
"""By how much (a share) two ways to the same depth may differ: formulas by 0.1 %, gauges by a percent (a choice)."""
_HINTS: Final = {
    "latitude": 'coordinates = "DDMM.MMM"?',
    "longitude": 'coordinates = "DDMM.MMM"?',
    "depth": 'units.depth (m, ft, fathom)? depth_is = "negative down"?',
    "altitude": "units.altitude (m, ft, fathom)?",
    "pressure": "units.pressure (dbar, bar, kPa, MPa, psi)?",
    "temperature": "units.temperature (degC, degF, K)?",
    "conductivity": "units.conductivity (mS/cm, S/m)?",
}


def check_values(log: Log) -> None:
    """Leave out values that cannot be.

    Raises:
        InputError: most values of a quantity cannot be.
    """
    for name in [column for column in log.rows.columns if column in quantities()]:
        quantity = quantities()[name]
        bad = log.rows.filter(~pl.col(name).is_between(quantity.low, quantity.high))
        if not bad.height:
            continue
        value, line = bad[name][0], int(bad["line"][0])
        limits = f"{quantity.low:g} to {quantity.high:g}" + (f" {quantity.unit}" if quantity.unit != "1" else "")
        # Among sentences of many kinds a kind may be heard once or twice; that tells nothing of the log.
        few = log.file.format == "nmea" and bad.height < ENOUGH
        if not few and bad.height > MOSTLY * (log.rows.height - log.rows[name].null_count()):
            hint = (
                "is the column swapped with longitude?" if name == "latitude" and _swappable(log) else _HINTS.get(name)
            )
            log.file.refuse(
                line, f"{name} {value:g} cannot be, as most of that column", "; ".join(filter(None, (limits, hint)))
            )
        log.note(bad, f"{name} {value:g} cannot be", limits)
        log.rows = log.rows.with_columns(
            pl.when(pl.col(name).is_between(quantity.low, quantity.high)).then(pl.col(name)).alias(name)
        )
    _drop_null_island(log)


def _swappable(log: Log) -> bool:
    share = (log.rows["longitude"].abs() <= 90).mean()
    return isinstance(share, float) and share > MOSTLY


def _drop_null_island(log: Log) -> None:
    """A position of exactly 0, 0 is how instruments write that they have none."""
    if "latitude" not in log.rows.columns:
        return
    none = (pl.col("latitude") == 0) & (pl.col("longitude") == 0)
    log.note(log.rows.filter(none), "latitude and longitude are both 0: taken for no fix")
    half = pl.col("latitude").is_null() | pl.col("longitude").is_null()
    log.rows = log.rows.with_columns(
        pl.when(~(none | half)).then(pl.col(name)).alias(name) for name in ("latitude", "longitude")
    )


def put_in_order(log: Log) -> None:
    """Sort by time; of rows with one time the first is kept (NMEA: several sentences have one time)."""
    rows = log.rows
    late = rows.filter(pl.col("time") < pl.col("time").cum_max().shift(1))
    log.note(late, "is out of order: an earlier row has a later time", "rows in order of time", "mended")
    rows = rows.sort("time", maintain_order=True)
    if log.file.format != "nmea":
        again = pl.col("time") == pl.col("time").shift(1)
        names = [name for name in rows.columns if name not in ("time", "line")]
        same = pl.all_horizontal(pl.col(name).eq_missing(pl.col(name).shift(1)) for name in names)
        log.note(rows.filter(again & same), "is there twice", "each row once", "mended")
        log.note(rows.filter(again & ~same), "has the time of another row but other values", "one row a moment")
        rows = rows.unique("time", keep="first", maintain_order=True)
    log.rows = rows


def check_site(log: Log, site: Site) -> None:
    """Refuse positions that lie away from the stated site, with a guess at what is the wrong way round.

    Raises:
        InputError: the log is elsewhere.
    """
    if site.latitude is None or site.longitude is None or "latitude" not in log.rows.columns:
        return
    fixes = log.rows.drop_nulls(["latitude", "longitude"])
    if not fixes.height:
        return
    within = (site.within_km or NEAR_KM) * 1000
    lat, lon = float(fixes["latitude"].median()), float(fixes["longitude"].median())  # type: ignore[arg-type]

    def away(latitude: float, longitude: float) -> float:
        if not -90 <= latitude <= 90:
            return float("inf")
        return float(distances(latitude, longitude, site.latitude or 0.0, site.longitude or 0.0))

    if away(lat, lon) <= within:
        return
    guesses = {
        "are latitude and longitude swapped in [logs.columns]?": (lon, lat),
        "is the longitude's sign wrong (west is negative)?": (lat, -lon),
        "is the latitude's sign wrong (south is negative)?": (-lat, lon),
    }
    hint = next((text for text, place in guesses.items() if away(*place) <= within), "is it another dive's log?")
    log.file.refuse(
        int(fixes["line"][0]),
        f"the log lies about {lat:.3f}, {lon:.3f}, {away(lat, lon) / 1000:,.0f} km from the site",
        f"within {within / 1000:g} km of it; {hint}",
    )


def check_depths(log: Log, latitude: float | None) -> None:
    """Refuse a log whose depth and pressure contradict each other.

    Raises:
        InputError: they do; names the unit that would fit, if one does.
    """
    if not {"depth", "pressure"} <= set(log.rows.columns) or latitude is None:
        return
    both = log.rows.drop_nulls(["depth", "pressure"]).filter((pl.col("depth") > 20) | (pl.col("pressure") > 20))
    if both.height < ENOUGH:
        return
    told = both["depth"].to_numpy()
    computed = np.asarray(depth_of(both["pressure"].to_numpy(), latitude))
    share = float(np.median(told / np.where(np.abs(computed) < 1e-3, 1e-3, computed)))
    if abs(share - 1) <= _CLOSE:
        return
    fits = [
        f"units.{quantity} = {unit!r}?"
        for (quantity, unit), (factor, _) in unit_factors().items()
        if (quantity == "depth" and abs(share * _relative(log, quantity, factor) - 1) <= _CLOSE)
        or (quantity == "pressure" and abs(share / _relative(log, quantity, factor) - 1) <= _CLOSE)
    ]
    line = int(both["line"][0])
    pressure = f"pressure {both['pressure'][0]:g} dbar ({computed[0]:.0f} m)"
    reason = f"depth {told[0]:g} m does not go with {pressure}, nor does that of most rows"
    log.file.refuse(line, reason, "; ".join(fits) or "depth and pressure in the stated units")


def _relative(log: Log, quantity: str, factor: float) -> float:
    """How much larger values would be if the unit were the one of this factor."""
    stated = unit_factors().get((quantity, log.file.units.get(quantity, "")), (1.0, 0.0))[0]
    return factor / stated
