"""Depths that were said aloud against the depths of the log.

A depth may differ by what the description states, and by the rounding of what was said: half of the last place that is
not zero, at most 50 m ("eleven hundred metres" is 1,050 to 1,150). What differs more is flagged and told. Where several
depths all differ by the factor of a unit, the log is refused: it is in another unit than stated.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from earwitness.pipeline.place.log import LogFile, unit_factors
from earwitness.schemas import InputError, Problem

MOST_ROUNDING = 50.0
ENOUGH = 3
"""Spoken depths that have to agree on a unit before a log is refused (a choice, no source)."""
_ALIKE = 0.03
_SHALLOW = 20.0
"""Metres above which the share of two depths tells nothing (a choice)."""


def compare_spoken(
    rows: Sequence[Mapping[str, Any]], within: float, log: LogFile, file: str
) -> tuple[dict[int, str], list[Problem]]:
    """Flags by row, and problems, of spoken depths that differ from the log's.

    Args:
        rows: event rows with their depths.
        within: by how much they may differ, m.
        log: where the depths come from.
        file: the recording's description, for problems.

    Raises:
        InputError: the log's depths are in another unit than stated.
    """
    spoken = [(number, depth) for number, row in enumerate(rows) if (depth := _said(row)) is not None]
    _refuse_other_unit([(depth, _middle(rows[number])) for number, depth in spoken], log)
    flags: dict[int, str] = {}
    problems = []
    for number, depth in spoken:
        row = rows[number]
        low, high = row["minimumDepthInMeters"], row["maximumDepthInMeters"]
        apart = depth - min(max(depth, low), high)
        if abs(apart) <= within + rounding(depth):
            continue
        flags[number] = f"spoken depth differs by {abs(apart):.0f} m"
        reason = f"at {_clock(row['startTime'])} somebody says {depth:g} m, and the log says {_middle(row):.0f} m"
        problems.append(Problem(file, 0, f"{reason} ({row['eventID']})", f"within {within:g} m", "noted"))
    return flags, problems


def rounding(depth: float) -> float:
    """By how much a depth may have been rounded when it was said: 0.5 m for 1184, 5 for 640, 50 for 1100."""
    if depth != round(depth):
        return 0.05
    step, whole = 1, int(depth)
    while whole and whole % (step * 10) == 0:
        step *= 10
    return min(step / 2, MOST_ROUNDING)


def _said(row: Mapping[str, Any]) -> float | None:
    """The spoken depth of a row in metres, where the log has one for it, too."""
    if row.get("measurementType") != "depth" or row.get("minimumDepthInMeters") is None:
        return None
    factor = unit_factors().get(("depth", row.get("measurementUnit") or ""))
    try:
        value = float(row["measurementValue"])
    except (TypeError, ValueError):
        return None
    return value * factor[0] if factor and math.isfinite(value) else None


def _middle(row: Mapping[str, Any]) -> float:
    return float(row["minimumDepthInMeters"] + row["maximumDepthInMeters"]) / 2


def _refuse_other_unit(pairs: Sequence[tuple[float, float]], log: LogFile) -> None:
    shares = [said / logged for said, logged in pairs if said > _SHALLOW and logged > _SHALLOW]
    if len(shares) < ENOUGH:
        return
    stated = unit_factors()["depth", log.units.get("depth", "m")][0]
    units = {unit: factor / stated for (name, unit), (factor, _) in unit_factors().items() if name == "depth"}
    for unit, factor in units.items():
        if factor != 1 and all(abs(share / factor - 1) <= _ALIKE for share in shares):
            said, logged = next(pair for pair in pairs if pair[0] > _SHALLOW)
            reason = f"all {len(shares)} depths that are said differ alike: {said:g} m where the log has {logged:.0f} m"
            raise InputError(Problem(log.file, 0, reason, f"units.depth = {unit!r} in [[logs]]?"))


def _clock(seconds: float) -> str:
    whole = int(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"
