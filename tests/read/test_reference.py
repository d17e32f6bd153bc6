"""Plain cases against ttconv's own WebVTT, SubRip and TTML readers, which this project did not write."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import ttconv.imsc.reader
import ttconv.srt.reader
import ttconv.vtt.reader
from ttconv import model

from .samples import ReadAs, narrations, needs_narrations


def _reference(document: Any) -> list[tuple[float, float, str]]:
    """Start, end and text of every paragraph of a ttconv document."""
    found: list[tuple[float, float, str]] = []
    for div in document.get_body():
        for paragraph in div:
            pieces = [
                "\n" if isinstance(one, model.Br) else one.get_text()
                for one in paragraph.dfs_iterator()
                if isinstance(one, model.Br | model.Text)
            ]
            start, end = (round(float(one), 3) for one in (paragraph.get_begin() or 0, paragraph.get_end()))
            found.append((start, end, " ".join("".join(pieces).split())))
    return found


def _ours(read_as: ReadAs, content: str, name: str) -> list[tuple[float, float, str]]:
    return [(cue.start, cue.end, cue.text) for cue in read_as(content, name).cues]


CUES = [
    (1.0, 2.5, "A white <b>crab</b> on the <i>left</i>"),
    (3.25, 4.0, "two\nlines"),
    (59.999, 61.001, "caf\u00e9 \u2013 42 \u00b0N"),
    (3599.5, 3661.75, "an hour in"),
]


def _clock(seconds: float, mark: str) -> str:
    whole = round(seconds * 1000)
    minutes, rest = divmod(whole, 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}{mark}{rest % 1000:03d}"


def test_webvtt(read_as: ReadAs) -> None:
    blocks = [f"{_clock(s, '.')} --> {_clock(e, '.')} align:start\n{text}\n" for s, e, text in CUES]
    content = "WEBVTT title\n\nNOTE aside\n\n" + "\n".join(blocks)
    assert _ours(read_as, content, "d.vtt") == _reference(ttconv.vtt.reader.to_model(io.StringIO(content)))


def test_subrip(read_as: ReadAs) -> None:
    blocks = [f"{n}\n{_clock(s, ',')} --> {_clock(e, ',')}\n{text}\n" for n, (s, e, text) in enumerate(CUES, 1)]
    content = "\n".join(blocks)
    assert _ours(read_as, content, "d.srt") == _reference(ttconv.srt.reader.to_model(io.StringIO(content)))


@pytest.mark.parametrize("unit", ["clock", "s", "ms", "f", "t"])
def test_ttml(read_as: ReadAs, unit: str) -> None:
    write = {
        "clock": lambda time: _clock(time, "."),
        "s": lambda time: f"{time}s",
        "ms": lambda time: f"{round(time * 1000)}ms",
        "f": lambda time: f"{round(time * 30)}f",
        "t": lambda time: f"{round(time * 1000)}t",
    }[unit]
    paragraphs = "".join(
        f'<p begin="{write(s)}" end="{write(e)}">{text.split("<")[0]}<span>x</span></p>' for s, e, text in CUES
    )
    content = (
        '<tt xmlns="http://www.w3.org/ns/ttml" xmlns:ttp="http://www.w3.org/ns/ttml#parameter" '
        'ttp:tickRate="1000" ttp:frameRate="30" ttp:frameRateMultiplier="1000 1001" xml:lang="en">'
        f"<body><div>{paragraphs}</div></body></tt>"
    )
    tree = ElementTree.ElementTree(ElementTree.fromstring(content))
    assert _ours(read_as, content, "d.ttml") == _reference(ttconv.imsc.reader.to_model(tree))


@needs_narrations
def test_heard_captions_of_the_development_narrations(read_as: ReadAs) -> None:
    paths: list[Path] = narrations("*/heard.vtt")
    assert len(paths) == 3
    for path in paths:
        content = path.read_text(encoding="utf-8")
        assert _ours(read_as, content, "d.vtt") == _reference(ttconv.vtt.reader.to_model(io.StringIO(content)))
