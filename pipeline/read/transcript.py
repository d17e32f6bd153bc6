"""The types of the read stage: what every transcript format is turned into."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from earwitness.schemas.problems import Problem

CueMark = Literal["", "stutter", "repeat"]


@dataclass(frozen=True, slots=True)
class Word:
    """A word with its own times (seconds into the recording), as a recogniser gives them.

    `text` has no surrounding blanks. `probability` (0-1) is the recogniser's own, or None.
    """

    text: str
    start: float
    end: float
    probability: float | None = None


@dataclass(frozen=True, slots=True)
class Cue:
    """A stretch of talk of one speaker between two times.

    Args:
        start, end: seconds into the recording, 0 <= start < end.
        text: plain text on one line: markup removed, entities resolved, runs of white space folded to one
            blank.
        line: 1-based line of the file where the cue begins (0 where the format has no lines).
        speaker: the label the transcript gives, or None.
        words: word times if the source has them, in order; their texts joined by blanks say what `text` says.
        uncertainty: how far start and end themselves may be off (seconds): 0.0 as stated by a timed format,
            more where the reader had to share one time among several speakers or only a block's start is
            known.
        mark: "stutter" (one word or phrase over and over inside the cue) or "repeat" (a line said again and
            again): a recogniser's artefact, kept in the transcript and never mined for names; else "".
    """

    start: float
    end: float
    text: str
    line: int = 0
    speaker: str | None = None
    words: tuple[Word, ...] = ()
    uncertainty: float = 0.0
    mark: CueMark = ""


@dataclass(frozen=True, slots=True)
class Transcript:
    """A whole recording's talk: cues in time order, and what could not be used.

    Args:
        recording_id: name of the recording, the file's stem unless the caller says otherwise.
        path: as the caller gave it.
        format: one of `earwitness.pipeline.read.FORMATS`.
        encoding: the text encoding that was found.
        sha256: of the file's bytes, hex.
        cues: sorted by start.
        problems: skipped, mended and noted cues.
        cues_read: how many cues the file held, skipped ones included.
    """

    recording_id: str
    path: str
    format: str
    encoding: str
    sha256: str
    cues: tuple[Cue, ...]
    problems: tuple[Problem, ...] = field(default=())
    cues_read: int = 0
