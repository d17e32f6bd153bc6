"""Stage read: transcript files to `Transcript`; see `read_transcript`."""

from earwitness.pipeline.read.detect import detect_format
from earwitness.pipeline.read.reader import FORMATS, read_transcript
from earwitness.pipeline.read.transcript import Cue, CueMark, Transcript, Word

__all__ = ["FORMATS", "Cue", "CueMark", "Transcript", "Word", "detect_format", "read_transcript"]
