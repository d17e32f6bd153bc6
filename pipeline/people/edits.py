"""Replacements in a text, and where its characters are afterwards."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import accumulate


@dataclass(frozen=True, slots=True)
class Edit:
    """Characters [start, end) give way to `text`."""

    start: int
    end: int
    text: str


@dataclass(frozen=True)
class EditedText:
    """A text with edits made: the new text, and the new place of every old one.

    Args:
        old: the text.
        edits: in order, none empty, never overlapping.
    """

    old: str
    edits: Sequence[Edit]
    new: str = field(init=False)
    _starts: list[int] = field(init=False, repr=False)
    _shifts: list[int] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        parts, at = [], 0
        for edit in self.edits:
            if not at <= edit.start < edit.end <= len(self.old):
                raise ValueError(f"edits out of order, empty or past the end: {edit}")
            parts += [self.old[at : edit.start], edit.text]
            at = edit.end
        grown = (len(edit.text) - (edit.end - edit.start) for edit in self.edits)
        object.__setattr__(self, "new", "".join([*parts, self.old[at:]]))
        object.__setattr__(self, "_starts", [edit.start for edit in self.edits])
        object.__setattr__(self, "_shifts", [0, *accumulate(grown)])

    def begin(self, place: int) -> int:
        """New place of a span's first character; of one inside a replaced stretch, the stretch's first."""
        number = bisect_right(self._starts, place)
        if number and place < self.edits[number - 1].end:
            return self.edits[number - 1].start + self._shifts[number - 1]
        return place + self._shifts[number]

    def end(self, place: int) -> int:
        """New place of the character before which a span ends; inside a replaced stretch, the stretch's end."""
        number = bisect_right(self._starts, place - 1)
        if number and place < self.edits[number - 1].end:
            place = self.edits[number - 1].end
        return place + self._shifts[number]

    def cut(self, start: int, end: int) -> str:
        """What has become of characters [start, end)."""
        return self.new[self.begin(start) : self.end(end)]
