"""What a format reader hands on, and where it says what it could not use.

In: nothing. Out: `Draft` and `Part`, the cues as a file states them, and `Findings`, the list of problems.
Refuses: in strict mode, the first cue that would be left out (InputError).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from earwitness.pipeline.read.transcript import Word
from earwitness.schemas.problems import InputError, Problem

FORMATS = ("webvtt", "subrip", "sbv", "ttml", "text", "csv", "tsv", "json")
"""The names of the formats that can be read."""

EXPECTED_FORMATS = (
    "WebVTT, SubRip, SBV, TTML, plain text with a time like [m:ss] at the head of each block, "
    "CSV or TSV with start and text columns, or a recogniser's JSON with segments"
)
"""Said in every error about a file that holds no cue."""

_EXCERPT = 60


@dataclass(frozen=True, slots=True)
class Part:
    """What one speaker says in a cue.

    Args:
        lines: text lines as shown, markup removed.
        speaker: label, or None.
        words: word times, or empty.
        begins: seconds at which this part is stated to begin inside its cue, or None when the file does not
            say.
    """

    lines: tuple[str, ...]
    speaker: str | None = None
    words: tuple[Word, ...] = ()
    begins: float | None = None

    @property
    def text(self) -> str:
        """The lines on one line."""
        return " ".join(self.lines)


@dataclass(frozen=True, slots=True)
class Draft:
    """A cue as its file states it, before any mending.

    Args:
        start: seconds, as read; may still be negative, infinite or out of order.
        end: seconds, or None when the file does not say.
        parts: one, or several when a cue holds several voices.
        line: 1-based line (record number in JSON) for problems.
        uncertainty: seconds, from the resolution of the written time.
        open_ended: the format states starts only, so the end is the next start and its absence is no fault.
    """

    start: float
    end: float | None
    parts: tuple[Part, ...]
    line: int = 0
    uncertainty: float = 0.0
    open_ended: bool = False


@dataclass(slots=True)
class Findings:
    """Collects the problems of one file; in strict mode stops at the first that leaves something out."""

    file: str
    strict: bool = False
    problems: list[Problem] = field(default_factory=list)

    def skip(self, line: int, reason: str, expected: str = "") -> None:
        """Report something left out.

        Raises:
            InputError: in strict mode.
        """
        problem = Problem(self.file, line, reason, expected, "skipped")
        if self.strict:
            raise InputError(problem)
        self.problems.append(problem)

    def mend(self, line: int, reason: str, expected: str = "") -> None:
        """Report something used after a repair."""
        self.problems.append(Problem(self.file, line, reason, expected, "mended"))

    def note(self, line: int, reason: str, expected: str = "") -> None:
        """Report something used as it is and worth a look."""
        self.problems.append(Problem(self.file, line, reason, expected, "noted"))

    def refuse(self, line: int, reason: str, expected: str = EXPECTED_FORMATS) -> InputError:
        """The error for a file that cannot be used at all; the caller raises it."""
        return InputError(Problem(self.file, line, reason, expected, "skipped"))

    def skipped(self) -> list[Problem]:
        """The problems that left something out, in the order found."""
        return [problem for problem in self.problems if problem.severity == "skipped"]


def excerpt(text: str) -> str:
    """A short printable quotation of untrusted text for a problem's reason."""
    folded = " ".join(text[: 4 * _EXCERPT].split())
    short = folded if len(folded) <= _EXCERPT else folded[: _EXCERPT - 3] + "..."
    return ascii(short) if not short.isprintable() else f"'{short}'"
