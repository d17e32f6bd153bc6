"""Stage read: a transcript file becomes a `Transcript`.

In: a file in one of `FORMATS`. Out: cues in time order with 0 <= start < end, speakers, words where given,
marks, and every problem met. Refuses: files that are missing, no text, in no known format, or without a
usable cue (InputError); in strict mode also the first cue that would be left out.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from itertools import accumulate, pairwise
from pathlib import Path

from earwitness.pipeline.read.artefact import mark_artefacts
from earwitness.pipeline.read.clock import to_milliseconds
from earwitness.pipeline.read.decode import BinaryContentError, Decoded, decode
from earwitness.pipeline.read.detect import detect_format
from earwitness.pipeline.read.findings import FORMATS, Draft, Findings, Part, excerpt
from earwitness.pipeline.read.mend import mend_times, round_words, tidy_text
from earwitness.pipeline.read.recogniser import read_recogniser
from earwitness.pipeline.read.rolling import unroll
from earwitness.pipeline.read.sbv import read_sbv
from earwitness.pipeline.read.speakers import name_speakers
from earwitness.pipeline.read.subrip import read_subrip
from earwitness.pipeline.read.table import read_table
from earwitness.pipeline.read.text import read_text
from earwitness.pipeline.read.transcript import Cue, Transcript
from earwitness.pipeline.read.ttml import read_ttml
from earwitness.pipeline.read.webvtt import read_webvtt
from earwitness.schemas.problems import InputError

MAX_BYTES = 256 * 1024 * 1024
"""Largest file read. A day of talk with word times is about 20 MB of JSON; past this it is no transcript."""

_READERS: dict[str, Callable[[str, Findings], list[Draft]]] = {
    "webvtt": read_webvtt,
    "subrip": read_subrip,
    "sbv": read_sbv,
    "ttml": read_ttml,
    "text": read_text,
    "csv": read_table,
    "tsv": read_table,
    "json": read_recogniser,
}
_WITH_SPEAKERS = ("csv", "tsv", "json")


def read_transcript(path: str | Path, *, recording_id: str | None = None, strict: bool = False) -> Transcript:
    """Read a transcript file.

    Args:
        path: the file. Its format is told by its content, then by its ending.
        recording_id: name of the recording; by default the file's name without its last ending
            (`dive7.heard.vtt` gives `dive7.heard`).
        strict: stop at the first cue that would be left out. Mended and noted cues do not stop it.

    Returns:
        The transcript. Times are seconds into the recording, rounded to the millisecond. `cues_read` counts
        what the file held: each cue once, however many voices it was split into, and each piece reported as
        skipped.

    Raises:
        InputError: no such file, a folder, larger than `MAX_BYTES`, not text, no known format, no usable cue;
            in strict mode the first skipped cue. Its problem names file, line and what was expected.
    """
    findings = Findings(str(path), strict)
    data = _read_bytes(path, findings)
    decoded = _decode(data, findings)
    name = Path(path).name
    found = detect_format(decoded.text, name)
    if found is None:
        raise findings.refuse(1, "the format cannot be told from content or file ending")
    drafts = _READERS[found](decoded.text, findings)
    cues_read = len(drafts) + len(findings.skipped())
    drafts = tidy_text(drafts, findings)
    if found not in _WITH_SPEAKERS:
        drafts = name_speakers(drafts)
    drafts = unroll(mend_times(drafts, findings), findings)
    cues = mark_artefacts([cue for draft in drafts for cue in share_time(draft, has_lines=found != "json")])
    if not cues:
        raise _no_cue(found, findings)
    for cue in cues:
        if cue.mark:
            findings.note(cue.line, f"a recogniser's {cue.mark}, kept and not mined: {excerpt(cue.text)}")
    return Transcript(
        recording_id=recording_id or Path(path).stem,
        path=str(path),
        format=found,
        encoding=decoded.encoding,
        sha256=hashlib.sha256(data).hexdigest(),
        cues=tuple(sorted(cues, key=lambda cue: cue.start)),
        problems=tuple(sorted(findings.problems, key=lambda problem: problem.line)),
        cues_read=cues_read,
    )


def _read_bytes(path: str | Path, findings: Findings) -> bytes:
    try:
        file = Path(path)
        if file.is_dir():
            raise findings.refuse(0, "is a folder, not a file")
        if not file.exists():
            raise findings.refuse(0, "no such file")
        if not file.is_file():
            raise findings.refuse(0, "is no regular file")
        if file.stat().st_size > MAX_BYTES:
            raise findings.refuse(0, f"larger than {MAX_BYTES:,} bytes, too large for a transcript")
        data = file.read_bytes()
    except (
        OSError,
        ValueError,
    ) as error:  # ValueError: a name no file can have, such as one with a zero byte
        raise findings.refuse(0, f"cannot be opened: {error}") from error
    if not data.strip():
        raise findings.refuse(0, "the file is empty")
    return data


def _decode(data: bytes, findings: Findings) -> Decoded:
    try:
        decoded = decode(data)
    except BinaryContentError as error:
        raise findings.refuse(0, f"not a text file: {error}") from error
    if decoded.replaced:
        findings.note(0, f"{decoded.replaced} bytes are not valid {decoded.encoding}; each shown as U+FFFD")
    return decoded


def _no_cue(found: str, findings: Findings) -> InputError:
    skipped = findings.skipped()
    why = f"; {len(skipped)} were left out, the first because: {skipped[0].reason}" if skipped else ""
    line = skipped[0].line if skipped else 1
    return findings.refuse(line, f"read as {found}, holds no usable cue{why}")


def share_time(draft: Draft, *, has_lines: bool = True) -> list[Cue]:
    """Cues of one draft, one for each voice.

    Voices of one cue come in their order. Where the file states when each begins, that is used. Else they
    share the cue's time by text length, and the uncertainty (seconds) of each grows by how far its shared
    edges could lie off: anywhere in the cue. A cue too short to share goes whole to each of its voices.

    Raises:
        ValueError: the draft has no end yet.
    """
    if draft.end is None:
        raise ValueError("a draft needs an end before its time can be shared")
    stated = all(part.begins is not None for part in draft.parts[1:])
    edges = _edges(draft.parts, draft.start, draft.end, stated)
    spans = list(pairwise(edges))
    shared_edges = set() if stated else set(edges[1:-1])
    if any(end <= start for start, end in spans):
        spans = [(draft.start, draft.end)] * len(draft.parts)
        shared_edges = {draft.start, draft.end}
    cues: list[Cue] = []
    for part, (start, end) in zip(draft.parts, spans, strict=True):
        guessed = [edge for edge in (start, end) if edge in shared_edges]
        off = max((max(edge - draft.start, draft.end - edge) for edge in guessed), default=0.0)
        uncertainty = to_milliseconds(draft.uncertainty + off)
        line = draft.line if has_lines else 0
        cues.append(Cue(start, end, part.text, line, part.speaker, round_words(part.words), uncertainty))
    return cues


def _edges(parts: tuple[Part, ...], start: float, end: float, stated: bool) -> list[float]:
    """Where each part begins, and the end of the last."""
    if stated:
        inner = [part.begins for part in parts[1:] if part.begins is not None]
    else:
        done = list(accumulate(len(part.text) for part in parts))
        inner = [start + (end - start) * share / done[-1] for share in done[:-1]]
    return [start, *(to_milliseconds(edge) for edge in inner), end]


__all__ = ["FORMATS", "MAX_BYTES", "read_transcript", "share_time"]
