"""Tracks as lines on the globe: broken where the vehicle's way is not known, cut at the date line (RFC 7946, 3.1.9)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby, pairwise

from earwitness.pipeline.publish.publisher import Fix

Position = tuple[float, float]
"""Longitude, latitude."""
LONGEST_GAP = 600.0
"""Seconds without a fix after which no line is drawn; a choice: nobody knows the way in between."""
DIGITS = 7
"""Decimal places of degrees: a centimetre."""


def track_pieces(track: Iterable[Fix]) -> Iterator[list[Fix]]:
    """Stretches of one recording without a long gap; a fix that stands alone is a stretch of one."""
    for _, fixes in groupby(track, lambda fix: fix.recording_id):
        piece: list[Fix] = []
        for fix in fixes:
            if piece and not 0 <= fix.time - piece[-1].time <= LONGEST_GAP:
                yield piece
                piece = []
            piece.append(fix)
        yield piece


def cut_at_date_line(line: Sequence[Position]) -> list[list[Position]]:
    """The line in pieces of which none crosses the date line; the way over it is the shorter one."""
    if not line:
        return []
    pieces: list[list[Position]] = [[line[0]]]
    for (lon, lat), (next_lon, next_lat) in pairwise(line):
        if abs(next_lon - lon) > 180:
            side = 180.0 if lon > 0 else -180.0
            ahead = next_lon + 2 * side
            share = (side - lon) / (ahead - lon) if ahead != lon else 0.0
            crossing = round(lat + share * (next_lat - lat), DIGITS)
            pieces[-1].append((side, crossing))
            pieces.append([(-side, crossing)])
        pieces[-1].append((next_lon, next_lat))
    moving = [[place for place, _ in groupby(piece)] for piece in pieces]
    return [piece for piece in moving if len(piece) > 1]


def bounds(places: Sequence[Position]) -> tuple[float, float, float, float]:
    """West, south, east, north of the narrowest box; west is greater than east across the date line (RFC 7946, 5.2)."""
    latitudes = [lat for _, lat in places]
    around = sorted({lon for lon, _ in places})
    gaps = [(after - before, before, after) for before, after in pairwise(around)]
    over = around[0] + 360 - around[-1]
    widest = max(gaps, default=(0.0, 0.0, 0.0))
    west, east = (widest[2], widest[1]) if widest[0] > over else (around[0], around[-1])
    return west, min(latitudes), east, max(latitudes)
