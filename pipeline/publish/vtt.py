"""WebVTT: a metadata track for programs (a cue a row, its JSON as text) and captions that play beside the video.

Both of every recording, in order of time. Written after the W3C's grammar: spaces around the arrow, three decimals,
starts that never go back, no arrow and no empty line in a cue.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

from earwitness.pipeline.publish.columns import told_row
from earwitness.pipeline.publish.publisher import Edition, Publisher, Row
from earwitness.pipeline.publish.statements import CAUTION, DRAFT_STATEMENT, is_reviewed

READING = 3.0
"""Seconds a caption stays at least; a choice: long enough to read a name."""
_LEAST = 0.001
_UNSAFE = re.compile(r"[^\w.-]+")
_SIGNS = {"individuals, approximate": "about ", "individuals, at least": "at least "}


def write_webvtt(edition: Edition, target: Path) -> None:
    """Write `RECORDING.metadata.vtt` and `RECORDING.captions.vtt` into a folder."""
    target.mkdir()
    taken: set[str] = set()
    together = sorted(edition.rows, key=lambda row: str(row["recordingID"]))
    for name, rows in groupby(together, lambda row: str(row["recordingID"])):
        stem = _file_name(name, taken)
        ordered = sorted(rows, key=lambda row: (row["startTime"], row["endTime"], row["eventID"]))
        head = ["WEBVTT", f"NOTE {DRAFT_STATEMENT}, except rows that a person has reviewed\n{CAUTION}"]
        style = "STYLE\n::cue(.draft) { font-style: italic }"
        metadata = [_cue(row, _json(row, edition)) for row in ordered]
        captions = [_cue(row, _caption(row), READING) for row in ordered]
        for kind, blocks in (("metadata", [*head, *metadata]), ("captions", [*head, style, *captions])):
            text = "\n\n".join(blocks) + "\n"
            (target / f"{stem}.{kind}.vtt").write_text(text, encoding="utf-8", errors="replace", newline="\n")


def _file_name(name: str, taken: set[str]) -> str:
    """A file name for a recording: without what file systems and addresses do not like, each once."""
    stem = _UNSAFE.sub("_", name).strip("._") or "recording"
    unlike = next(s for s in (stem, *(f"{stem}_{n}" for n in range(2, len(taken) + 3))) if s.lower() not in taken)
    taken.add(unlike.lower())
    return unlike


def timestamp(seconds: float) -> str:
    """Hours, minutes, seconds and three decimals, as WebVTT has it."""
    milliseconds = round(seconds * 1000)
    minutes, rest = divmod(milliseconds, 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}.{rest % 1000:03d}"


def _cue(row: Row, text: str, least: float = _LEAST) -> str:
    end = max(row["endTime"], row["startTime"] + least)
    name = " ".join(row["eventID"].replace("-->", "->").split())
    return f"{name}\n{timestamp(row['startTime'])} --> {timestamp(end)}\n{text}"


def _json(row: Row, edition: Edition) -> str:
    """One line of JSON without the signs that mean something in WebVTT."""
    told = {key: value for key, value in told_row(row, edition).items() if value not in (None, [])}
    text = json.dumps(told, ensure_ascii=False)
    for sign in "&<>\u2028\u2029\x85\x0b\x0c\x1c\x1d\x1e":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def _caption(row: Row) -> str:
    lines = [_escaped(line) for line in _shown(row) if line]
    tag = "reviewed" if is_reviewed(row) else "draft"
    return "\n".join(f"<c.{tag}>{line}</c>" for line in lines)


def _shown(row: Row) -> Iterator[str]:
    if row["recordKind"] == "occurrence":
        name = " ".join(part for part in (row["scientificName"], row["identificationQualifier"]) if part)
        yield f"{name} ({row['vernacularName']})" if row["vernacularName"] else name
        yield ", ".join(part for part in (_quantity(row), row["certaintyTerm"], _standing(row)) if part)
        return
    if row["recordKind"] == "marker":
        rank = f" {row['markerRank']}" if row["markerRank"] is not None else ""
        yield f"{row['markerType'].replace('_', ' ')}{rank}, {_standing(row)}"
    elif row["recordKind"] == "measurement":
        parts = (row["measurementType"], row["measurementValue"], row["measurementUnit"])
        yield f"{' '.join(part for part in parts if part)}, {_standing(row)}"
    else:
        yield f"ground: {row['habitat']}, {_standing(row)}"


def _quantity(row: Row) -> str:
    if row["individualCount"] is not None:
        return str(row["individualCount"])
    return f"{_SIGNS.get(row['organismQuantityType'] or '', '')}{row['organismQuantity'] or ''}"


def _standing(row: Row) -> str:
    return row["reviewStatus"] if is_reviewed(row) else "machine draft"


def _escaped(line: str) -> str:
    folded = " ".join(line.split())
    return folded.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


WEBVTT = Publisher("webvtt", "captions and a metadata track to play beside the video", "webvtt", write_webvtt)
