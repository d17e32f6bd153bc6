"""The clock of a recording: seconds of video come in, UTC goes out, as far as the description tells.

A recording is one or more pieces, parted by cuts and by gaps between files. Within a piece a second of video is a
second of the recorder's clock; pairs of video time and UTC correct that clock, in straight lines between them. No line
runs across a cut: a piece without pairs of its own goes on with the correction next to it.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Literal

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MOST_DRIFT = 0.01
"""Seconds a second. A clock that is further off is rather a cut that nobody wrote down (a choice, no source)."""
BACK = 1.0
"""Seconds by which a piece may begin before the last one ended: files are often rounded to whole seconds (a choice)."""
Side = Literal["after", "before"]


@dataclass(frozen=True, slots=True)
class Pair:
    """A moment of the video (s) whose UTC (seconds since 1970) is known."""

    video: float
    utc: float


@dataclass(frozen=True, slots=True)
class Piece:
    """Video from `begin` to `end` (s) without a cut in it.

    Args:
        nominal: UTC (seconds since 1970) of `begin` by the recorder's clock.
        knots: video times at which the correction is known, and the corrections (s), in order.
    """

    begin: float
    end: float
    nominal: float
    knots: tuple[tuple[float, float], ...] = ()

    def utc(self, video: float) -> float:
        """UTC (seconds since 1970) of a moment of the video."""
        return self.nominal + (video - self.begin) + self.correction(video)

    def correction(self, video: float) -> float:
        """What the pairs add to the recorder's clock.

        The outermost lines go on beyond the outermost pairs, at no more than MOST_DRIFT: two pairs that are near each
        other, each read to the second, would else make hours of it.
        """
        if not self.knots:
            return 0.0
        if len(self.knots) == 1:
            return self.knots[0][1]
        after = min(max(bisect_right(self.knots, (video, float("inf"))), 1), len(self.knots) - 1)
        (v0, c0), (v1, c1) = self.knots[after - 1 : after + 1]
        drift = (c1 - c0) / (v1 - v0)
        if v0 <= video <= v1:
            return c0 + drift * (video - v0)
        drift = min(max(drift, -MOST_DRIFT), MOST_DRIFT)
        return c0 + drift * (video - v0) if video < v0 else c1 + drift * (video - v1)


@dataclass(frozen=True, slots=True)
class Clock:
    """All pieces of a recording, in order; the last may have no end."""

    pieces: tuple[Piece, ...]

    @property
    def corrected(self) -> bool:
        """Whether pairs correct the recorder's clock."""
        return any(correction for piece in self.pieces for _, correction in piece.knots)

    def number(self, video: float, side: Side = "after") -> int:
        """Which piece a moment lies in; a moment at a cut belongs to the piece after it, or before it."""
        begins = [piece.begin for piece in self.pieces]
        place = bisect_right(begins, video) if side == "after" else bisect_left(begins, video)
        return max(place - 1, 0)

    def seconds(self, video: float, side: Side = "after") -> float:
        """Seconds since 1970 of a moment of the video."""
        return self.pieces[self.number(video, side)].utc(video)

    def utc(self, video: float, side: Side = "after") -> datetime:
        """UTC of a moment of the video."""
        return EPOCH + timedelta(microseconds=round(self.seconds(video, side) * 1e6))

    def limits(self, number: int) -> tuple[float, float]:
        """UTC (seconds since 1970) from which and to which a piece goes; without end where no cut is."""
        piece = self.pieces[number]
        low = piece.utc(piece.begin) if number else float("-inf")
        high = piece.utc(piece.end) if number < len(self.pieces) - 1 else float("inf")
        return low, high


@dataclass(frozen=True, slots=True)
class Seam:
    """A place (s of video) at which the recording was cut or a new file begins.

    Either `removed` (s that are missing) or `resumes` (seconds since 1970, by the recorder's clock) is known.
    """

    at: float
    removed: float = 0.0
    resumes: float | None = None


def build_clock(start: float | None, pairs: Sequence[Pair], seams: Sequence[Seam] = ()) -> Clock | None:
    """The clock from a start (seconds since 1970), pairs and seams; None where neither start nor pairs are known.

    Raises:
        ValueError: pairs or seams that contradict each other; says which and why.
    """
    pairs, seams = sorted(pairs, key=lambda pair: pair.video), sorted(seams, key=lambda seam: seam.at)
    for one, two in pairwise(pairs):
        if one.video == two.video:
            raise ValueError(f"two clock pairs for one moment, {one.video:g} s")
    for seam, later in pairwise(seams):
        if seam.at == later.at:
            raise ValueError(f"two cuts (or ends of a file) at one moment, {seam.at:g} s")
    if start is None and not pairs:
        return None
    pieces = _nominal(start, pairs, seams)
    clock = Clock(_corrected(pieces, pairs))
    _refuse_backwards(clock)
    return clock


def _nominal(start: float | None, pairs: Sequence[Pair], seams: Sequence[Seam]) -> list[Piece]:
    """The pieces by the recorder's clock."""
    begins = [0.0, *(seam.at for seam in seams)]
    ends = [*begins[1:], float("inf")]
    nominals = [0.0 if start is None else start]
    for seam, begin in zip(seams, begins, strict=False):
        nominals.append(seam.resumes if seam.resumes is not None else nominals[-1] + seam.at - begin + seam.removed)
    pieces = [Piece(*three) for three in zip(begins, ends, nominals, strict=True)]
    if start is not None:
        return pieces
    return _anchored(pieces, pairs[0], seams)


def _anchored(pieces: list[Piece], pair: Pair, seams: Sequence[Seam]) -> list[Piece]:
    """The pieces where no start was told: the first pair says what the recorder's clock was."""
    known = Clock(tuple(pieces)).number(pair.video)
    fixed = [number for number, seam in enumerate(seams, start=1) if seam.resumes is not None]
    since = max((number for number in fixed if number <= known), default=0)
    until = min((number for number in fixed if number > known), default=len(pieces))
    if since:  # the piece's own moment is told, so the pair is a correction and the pieces before stay unknown
        raise ValueError(
            "the recording has no start, and no clock pair before the first file or cut with a moment of its own"
        )
    shift = pair.utc - pieces[known].utc(pair.video)
    return [
        Piece(piece.begin, piece.end, piece.nominal + shift) if number < until else piece
        for number, piece in enumerate(pieces)
    ]


def _corrected(pieces: Sequence[Piece], pairs: Sequence[Pair]) -> tuple[Piece, ...]:
    plain = Clock(tuple(pieces))
    knots: list[list[tuple[float, float]]] = [[] for _ in pieces]
    for pair in pairs:
        number = plain.number(pair.video)
        knots[number].append((pair.video, pair.utc - pieces[number].utc(pair.video)))
    for own in knots:
        for (v0, c0), (v1, c1) in pairwise(own):
            if abs(c1 - c0) > MOST_DRIFT * (v1 - v0) + BACK:
                raise ValueError(
                    f"between the clock pairs at {v0:g} s and {v1:g} s the clock would drift by {c1 - c0:+.1f} s; "
                    "more than 1 s in 100 is rather a cut between them"
                )
    carried = _carried(pieces, knots)
    return tuple(
        Piece(piece.begin, piece.end, piece.nominal, tuple(own)) for piece, own in zip(pieces, carried, strict=True)
    )


def _carried(pieces: Sequence[Piece], knots: list[list[tuple[float, float]]]) -> list[list[tuple[float, float]]]:
    """Pieces without pairs take the correction at the border of the piece before, else of the next one with pairs."""
    filled: list[list[tuple[float, float]]] = []
    for number, (piece, own) in enumerate(zip(pieces, knots, strict=True)):
        if own or not any(knots):
            filled.append(own)
            continue
        if filled and filled[-1]:
            before = pieces[number - 1]
            last = Piece(before.begin, before.end, before.nominal, tuple(filled[-1]))
            filled.append([(piece.begin, last.correction(before.end))])
            continue
        later = next(n for n in range(number, len(pieces)) if knots[n])
        after = pieces[later]
        first = Piece(after.begin, after.end, after.nominal, tuple(knots[later]))
        filled.append([(piece.begin, first.correction(after.begin))])
    return filled


def _refuse_backwards(clock: Clock) -> None:
    for one, two in pairwise(clock.pieces):
        lost = one.utc(one.end) - two.utc(two.begin)
        if lost > BACK:
            raise ValueError(
                f"at {two.begin:g} s of the recording the time would go back by {lost:.1f} s; "
                "a later file or piece cannot begin before the last one ended"
            )
