"""What the tests of the read stage share: writing a sample to a file and reading it back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from earwitness.pipeline.read import Transcript, read_transcript

ReadAs = Callable[..., Transcript]

SHARED = Path(__file__).resolve().parents[3] / "shared" / "narrations"


def reader(folder: Path) -> ReadAs:
    """A function that writes content into `folder` under a name and reads it."""

    def read(content: str | bytes, name: str, **options: object) -> Transcript:
        path = folder / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        return read_transcript(path, **options)  # type: ignore[arg-type]

    return read


def rows(transcript: Transcript) -> list[tuple[float, float, str | None, str]]:
    """Start, end, speaker and text of every cue."""
    return [(cue.start, cue.end, cue.speaker, cue.text) for cue in transcript.cues]


def texts(transcript: Transcript) -> list[str]:
    return [cue.text for cue in transcript.cues]


def severities(transcript: Transcript) -> list[tuple[int, str]]:
    """Line and severity of every problem."""
    return [(problem.line, problem.severity) for problem in transcript.problems]


def narrations(pattern: str) -> list[Path]:
    """Files of the development narrations, which are not part of the checkout."""
    return sorted(SHARED.glob(pattern))


needs_narrations = pytest.mark.skipif(
    not SHARED.is_dir(), reason="the development narrations (shared/narrations) are not beside the checkout"
)
