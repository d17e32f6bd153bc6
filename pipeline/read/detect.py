"""Which format a text is in.

In: the text of a file and its name. Out: one of `FORMATS`, or None.
Refuses: to guess past what it sees: content decides, the name's ending only when the content does not.
"""

from __future__ import annotations

import re
from pathlib import PurePath

from earwitness.pipeline.read.sbv import is_sbv_timing
from earwitness.pipeline.read.table import find_layout
from earwitness.pipeline.read.text import text_style

_ENDINGS = {
    ".vtt": "webvtt",
    ".srt": "subrip",
    ".sbv": "sbv",
    ".ttml": "ttml",
    ".dfxp": "ttml",
    ".itt": "ttml",
    ".xml": "ttml",
    ".json": "json",
    ".csv": "csv",
    ".tsv": "tsv",
    ".tab": "tsv",
    ".txt": "text",
}
_TT_ROOT = re.compile(r"<(?:[A-Za-z_][\w.-]{0,40}:)?tt[\s>/]")
_JSON_LIST = re.compile(r"\[\s*(?:[\[{\]\"]|$)")
_SIGNATURE = re.compile(r"WEBVTT(?:[ \t\n]|$)")
_TIMING = re.compile(r"(?=[^\n]*[0-9])\s*[^\s\[(][^\n]*-->|-->[^\n]*[0-9]")
_HEAD = 8_192
_LINE_HEAD = 400


def detect_format(text: str, name: str = "") -> str | None:
    """The format of a transcript.

    Args:
        text: the decoded content.
        name: the file's name; its ending is asked only when the content does not tell.

    Returns:
        One of `FORMATS`, or None when neither content nor ending tells.
    """
    ending = _ENDINGS.get(PurePath(name).suffix.lower())
    return _by_content(text, ending) or ending


def _by_content(text: str, ending: str | None) -> str | None:
    opening = text[:_HEAD].lstrip("\ufeff \t\n")
    if _SIGNATURE.match(opening):
        return "webvtt"
    if opening.startswith("<") and _TT_ROOT.search(opening):
        return "ttml"
    if opening.startswith("{") or _JSON_LIST.match(opening):
        return "json"
    first_line = opening.partition("\n")[0]
    layout = find_layout(first_line)
    if layout:
        return "tsv" if layout.delimiter == "\t" else "csv"
    for line in text.split("\n"):
        if _TIMING.match(line[:_LINE_HEAD]):
            return "webvtt" if ending == "webvtt" else "subrip"
        if is_sbv_timing(line[:_LINE_HEAD]):
            return "sbv"
    return "text" if text_style(text) else None
