"""A speech recogniser's JSON: segments with times, words optional.

In: the text of a file. Out: drafts with word times.
Refuses: segments without a readable start or without text, each reported by its number; what is no JSON or
holds no segments (InputError).

Read is `{"segments": [...]}` or the list alone; a segment has `start`, `end`, `text`, and may have `speaker`
and `words`, each with `word` (or `text`), `start`, `end` and `probability` (or `score`, `confidence`). Other
keys are ignored. A word written without its leading blank, where others have one, continues the word before
it.
"""

from __future__ import annotations

import json
import math
from itertools import pairwise

from earwitness.pipeline.read.clock import read_time
from earwitness.pipeline.read.findings import Draft, Findings, Part, excerpt
from earwitness.pipeline.read.transcript import Word

SEGMENT_FORM = 'an object with "start", "end" (seconds) and "text"'
FILE_FORM = f'{{"segments": [...]}} or a list, each segment {SEGMENT_FORM}'


def read_recogniser(text: str, findings: Findings) -> list[Draft]:
    """Read a recogniser's JSON into drafts; what cannot be used goes to `findings`.

    Raises:
        InputError: not JSON, or no list of segments.
    """
    try:
        content = json.loads(text)
    except json.JSONDecodeError as error:
        raise findings.refuse(error.lineno, f"not valid JSON: {error.msg}", FILE_FORM) from error
    except (ValueError, RecursionError) as error:
        raise findings.refuse(0, "JSON with numbers too long or nested too deeply to read", FILE_FORM) from error
    segments = content.get("segments") if isinstance(content, dict) else content
    if not isinstance(segments, list):
        raise findings.refuse(0, "JSON without a list of segments", FILE_FORM)
    drafts = [_read_segment(segment, number, findings) for number, segment in enumerate(segments, 1)]
    return [draft for draft in drafts if draft]


def _read_segment(segment: object, number: int, findings: Findings) -> Draft | None:
    if not isinstance(segment, dict):
        findings.skip(number, f"segment {number} is no object", SEGMENT_FORM)
        return None
    start, end = _seconds(segment.get("start")), _seconds(segment.get("end"))
    if start is None:
        findings.skip(number, f"segment {number}: start cannot be read: {_shown(segment.get('start'))}", SEGMENT_FORM)
        return None
    words, fault = _read_words(segment.get("words"))
    text = segment.get("text")
    if not isinstance(text, str):
        text = " ".join(word.text for word in words)
    elif words and _letters(text) != _letters("".join(word.text for word in words)):
        words, fault = (), "the words do not spell the text"
    if fault:
        findings.note(number, f"segment {number}: word times not used, {fault}")
    speaker = segment.get("speaker")
    label = str(speaker).strip() if isinstance(speaker, str | int) and not isinstance(speaker, bool) else ""
    return Draft(start, end, (Part(tuple(text.split("\n")), label or None, words),), number)


def _read_words(entries: object) -> tuple[tuple[Word, ...], str]:
    """The words, or none and what is wrong with them."""
    if entries is None:
        return (), ""
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        return (), "not a list of objects"
    spaced = any(_spelling(entry)[:1].isspace() for entry in entries)
    words: list[Word] = []
    for entry in entries:
        spelling = _spelling(entry)
        start, end = _seconds(entry.get("start")), _seconds(entry.get("end"))
        if not spelling.strip():
            continue
        if start is None or end is None or not 0 <= start <= end < math.inf:
            return (), f"no readable time for {excerpt(spelling)}"
        word = Word(" ".join(spelling.split()), start, end, _probability(entry))
        if spaced and words and not spelling[0].isspace():
            words[-1] = _joined(words[-1], word)
        else:
            words.append(word)
    if any(later.start < earlier.start for earlier, later in pairwise(words)):
        return (), "not in time order"
    return tuple(words), ""


def _joined(first: Word, second: Word) -> Word:
    """Two pieces of one word; its probability is that of the shakier piece."""
    known = [piece.probability for piece in (first, second) if piece.probability is not None]
    end = max(first.end, second.end)
    return Word(first.text + second.text, first.start, end, min(known) if known else None)


def _spelling(entry: dict[str, object]) -> str:
    spelling = entry.get("word", entry.get("text"))
    return spelling if isinstance(spelling, str) else ""


def _probability(entry: dict[str, object]) -> float | None:
    for key in ("probability", "score", "confidence"):
        value = entry.get(key)
        if isinstance(value, int | float) and not isinstance(value, bool) and 0.0 <= value <= 1.0:
            return float(value)
    return None


def _seconds(value: object) -> float | None:
    """A JSON value as seconds, not yet checked for range; None when it is no number or clock time."""
    if isinstance(value, str):
        return read_time(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        return float(value)
    except OverflowError:
        return math.inf


def _letters(text: str) -> str:
    return "".join(text.split())


def _shown(value: object) -> str:
    return excerpt(json.dumps(value)[:200])
