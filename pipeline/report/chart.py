"""The dive's map, drawn without tiles. In: rows and track. Out: a Chart in metres east and north of its middle.

Distances are those of the WGS 84 ellipsoid near the middle, so it holds for a dive, not for an ocean. Where positions
were blurred, the squares of the grid are drawn and no track.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from earwitness.pipeline.publish.publisher import Fix
from earwitness.pipeline.report.axes import Point, straightened
from earwitness.pipeline.report.depths import longest_gap
from earwitness.pipeline.report.groups import Group, Groups
from earwitness.pipeline.report.timeline import LETTERS
from earwitness.pipeline.report.wording import clean, count, number

EQUATORIAL = 6_378_137.0
ECCENTRICITY_SQUARED = 0.006_694_379_990_141
"""Of the WGS 84 ellipsoid: f (2 - f) with f = 1 / 298.257223563."""
SMALLEST = 60.0
"""Least extent (m) of a map."""
CELLS, FEW_CELLS = 45, 15
"""Sightings of one group that lie closer than a part in so many of the map are drawn as one spot: on a wide map, and on
one as wide as a hand."""
NAMED = 3
DETAIL = 900
Located = tuple[dict[str, Any], Point]
"""A row and where it lies (m)."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Sightings of one group close together: where (m), how many, and a few of the names."""

    x: float
    y: float
    group: Group
    events: int
    names: str


@dataclass(frozen=True, slots=True)
class Signs:
    """Spots, and (x, y, letter) of samples, images, highlights and targets."""

    spots: tuple[Spot, ...] = ()
    flags: tuple[tuple[float, float, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Square:
    """One square of the grid that positions were moved to: its middle and half its sides (m), and how many rows."""

    x: float
    y: float
    half_width: float
    half_height: float
    events: int


@dataclass(frozen=True, slots=True)
class Chart:
    """Everything the map shows, in metres east (x) and north (y) of its middle.

    Args:
        latitude: of the middle.
        longitude: of the middle.
        per_degree: metres in a degree of longitude and of latitude there.
        width: from west to east.
        height: from south to north.
        track: stretches of the vehicle's way.
        ends: where the track begins and ends.
        fine: what lies on a wide map.
        coarse: what lies on a narrow one.
        squares: of the grid, where positions were blurred.
        bar: length (m) of the scale bar.
        uncertainty: middle coordinateUncertaintyInMeters of the rows.
        without: rows without a position.
    """

    latitude: float
    longitude: float
    per_degree: Point
    width: float
    height: float
    track: tuple[tuple[Point, ...], ...]
    ends: tuple[Point, ...]
    fine: Signs
    coarse: Signs
    squares: tuple[Square, ...]
    bar: float
    uncertainty: float | None
    without: int


def metres_per_degree(latitude: float) -> Point:
    """Metres in a degree of longitude and in one of latitude, on the WGS 84 ellipsoid."""
    sine = math.sin(math.radians(latitude))
    curve = 1 - ECCENTRICITY_SQUARED * sine * sine
    east = EQUATORIAL / math.sqrt(curve) * math.cos(math.radians(latitude))
    north = EQUATORIAL * (1 - ECCENTRICITY_SQUARED) / curve**1.5
    return math.radians(1) * east, math.radians(1) * north


def chart(
    rows: Sequence[dict[str, Any]], groups: Groups, track: Sequence[Fix], grid: float | None = None
) -> Chart | None:
    """The map of a report; None where nothing has a position.

    Args:
        rows: event rows.
        groups: their higher groups.
        track: the vehicle's way.
        grid: degrees between the lines of the grid that positions were moved to; None where they were not.
    """
    shown = [row for row in rows if row["recordKind"] in ("occurrence", "marker")]
    needed = ("decimalLatitude", "decimalLongitude")
    placed = [row for row in shown if all(row.get(name) is not None for name in needed)]
    fixes = [] if grid else list(track)
    where = [(row["decimalLongitude"], row["decimalLatitude"]) for row in placed]
    where += [(fix.longitude, fix.latitude) for fix in fixes]
    if not where:
        return None
    anchor = where[0][0]
    # Longitudes are taken as steps from the first one, so that a dive over the date line stays in one piece.
    east = [anchor + (longitude - anchor + 180) % 360 - 180 for longitude, _ in where]
    north = [latitude for _, latitude in where]
    longitude, latitude = (min(east) + max(east)) / 2, (min(north) + max(north)) / 2
    per_degree = metres_per_degree(latitude)
    points = [
        ((e - longitude) * per_degree[0], (n - latitude) * per_degree[1]) for e, n in zip(east, north, strict=True)
    ]
    half = (grid / 2 * per_degree[0], grid / 2 * per_degree[1]) if grid else (0.0, 0.0)
    width, height = _extent(points, half)
    located = list(zip(placed, points, strict=False))
    way = _way(fixes, points[len(placed) :], max(width, height) / DETAIL)
    radii = [row["coordinateUncertaintyInMeters"] for row in placed if row.get("coordinateUncertaintyInMeters")]
    squares = Counter((round(x, 3), round(y, 3)) for _, (x, y) in _sightings(located)) if grid else Counter()
    return Chart(
        latitude,
        (longitude + 180) % 360 - 180,
        per_degree,
        width,
        height,
        tuple(tuple(part) for part in way),
        (points[len(placed)], points[-1]) if fixes else (),
        Signs() if grid else _signs(located, groups, max(width, height) / CELLS),
        Signs() if grid else _signs(located, groups, max(width, height) / FEW_CELLS),
        tuple(Square(x, y, *half, events) for (x, y), events in sorted(squares.items())),
        bar_length(width),
        median(radii) if radii else None,
        len(shown) - len(placed),
    )


def _extent(points: Sequence[Point], half: Point) -> Point:
    """Width and height with a margin all round, neither a thread nor a column."""
    across = (max(x for x, _ in points) - min(x for x, _ in points)) + 2 * half[0]
    along = (max(y for _, y in points) - min(y for _, y in points)) + 2 * half[1]
    margin = 0.16 * max(across, along, SMALLEST)
    width, height = across + margin, along + margin
    return max(width, 0.9 * height, SMALLEST), max(height, 0.5 * width, SMALLEST / 2)


def _way(fixes: Sequence[Fix], points: Sequence[Point], tolerance: float) -> list[list[Point]]:
    """The track cut at silences of the log and between recordings, with no more points than can be seen."""
    longest = longest_gap([fix.time for fix in fixes])
    parts: list[list[Point]] = []
    before: Fix | None = None
    for fix, point in zip(fixes, points, strict=True):
        if before and fix.recording_id == before.recording_id and 0 <= fix.time - before.time <= longest:
            parts[-1].append(point)
        else:
            parts.append([point])
        before = fix
    return [straightened(part, tolerance) for part in parts]


def _sightings(located: Sequence[Located]) -> list[Located]:
    return [one for one in located if one[0]["recordKind"] == "occurrence"]


def _signs(located: Sequence[Located], groups: Groups, cell: float) -> Signs:
    return Signs(_spots(_sightings(located), groups, cell), _flags(located, 2 * cell))


def _spots(sightings: Sequence[Located], groups: Groups, cell: float) -> tuple[Spot, ...]:
    """Sightings joined by group and cell, the largest first so that the small ones lie on top."""
    cells: dict[tuple[int, int, int], list[Located]] = {}
    for row, (x, y) in sightings:
        cells.setdefault((groups.of(row).slot, math.floor(x / cell), math.floor(y / cell)), []).append((row, (x, y)))
    spots = []
    for members in cells.values():
        names = Counter(clean(row["scientificName"]) for row, _ in members).most_common()
        more = count(len(names) - NAMED, "more taxon", "more taxa")
        text = ", ".join(name for name, _ in names[:NAMED]) + (f" and {more}" if len(names) > NAMED else "")
        middle = [sum(point[axis] for _, point in members) / len(members) for axis in (0, 1)]
        spots.append(Spot(middle[0], middle[1], groups.of(members[0][0]), len(members), text))
    return tuple(sorted(spots, key=lambda spot: (-spot.events, spot.x, spot.y, spot.group.slot)))


def _flags(located: Sequence[Located], cell: float) -> tuple[tuple[float, float, str], ...]:
    """Markers worth a look, one of a kind in each cell."""
    flags: dict[tuple[str, int, int], tuple[float, float, str]] = {}
    for row, (x, y) in located:
        letter = LETTERS.get(row["markerType"], "")
        if letter:
            flags.setdefault((letter, math.floor(x / cell), math.floor(y / cell)), (x, y, letter))
    return tuple(flags.values())


def bar_length(width: float) -> float:
    """A round length (1, 2 or 5 times a power of ten) of about a quarter of the width."""
    power = 10.0 ** math.floor(math.log10(width / 3))
    return max(power * factor for factor in (1, 2, 5) if power * factor <= width / 3)


def bar_text(length: float) -> str:
    """The length of the scale bar as it is written beside it."""
    return f"{number(length / 1000, 3)} km" if length >= 1000 else f"{number(length, 2)} m"
