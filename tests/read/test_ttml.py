"""TTML and IMSC. Times follow W3C TTML2, section "Timing" (time expressions, dur, par and seq containers)."""

from __future__ import annotations

import logging

import pytest

from earwitness.schemas.problems import InputError

from .samples import ReadAs, rows, severities, texts

TT = (
    '<tt xmlns="http://www.w3.org/ns/ttml" xmlns:ttm="http://www.w3.org/ns/ttml#metadata" '
    'xmlns:ttp="http://www.w3.org/ns/ttml#parameter" ttp:frameRate="25" ttp:tickRate="1000" xml:lang="en">\n'
)


def _document(body: str, head: str = "") -> str:
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{TT}<head>{head}</head>\n<body>\n{body}\n</body></tt>\n'


@pytest.mark.parametrize(
    ("times", "start", "end"),
    [
        # W3C TTML2, "Time value expressions": clock time with fraction or frames, and each offset metric.
        ('begin="00:00:01.500" end="00:00:03.000"', 1.5, 3.0),
        ('begin="00:00:07:05" end="00:00:08:00"', 7.2, 8.0),
        ('begin="75f" dur="25f"', 3.0, 4.0),
        ('begin="5000t" end="6500t"', 5.0, 6.5),
        ('begin="1.5s" end="2500ms"', 1.5, 2.5),
        ('begin="1m" end="0.05h"', 60.0, 180.0),
    ],
)
def test_time_expressions(read_as: ReadAs, times: str, start: float, end: float) -> None:
    transcript = read_as(_document(f"<div><p {times}>a crab</p></div>"), "d.ttml")
    assert (transcript.format, rows(transcript)) == ("ttml", [(start, end, None, "a crab")])
    assert transcript.cues[0].line == 5


def test_nested_and_sequential_containers(read_as: ReadAs) -> None:
    transcript = read_as(
        _document(
            '<div begin="10s"><p begin="1s" end="2s">one</p></div>'
            '<div begin="20s" timeContainer="seq"><p dur="2s">two</p><p dur="3s">three</p></div>'
            '<div><p begin="30s" end="34s"><span end="1s">four</span><span begin="2s">five</span></p></div>'
        ),
        "d.ttml",
    )
    assert rows(transcript) == [
        (11.0, 12.0, None, "one"),
        (20.0, 22.0, None, "two"),
        (22.0, 25.0, None, "three"),
        (30.0, 31.0, None, "four"),
        (32.0, 34.0, None, "five"),
    ]


def test_agents_are_speakers(read_as: ReadAs) -> None:
    head = (
        '<metadata><ttm:agent xml:id="m" type="person"><ttm:name>Maud  Ferrow</ttm:name></ttm:agent>'
        '<ttm:agent xml:id="i" type="person"/></metadata>'
    )
    body = (
        '<div ttm:agent="m"><p begin="1s" end="2s">one</p><p begin="2s" end="3s" ttm:agent="i">two</p>'
        '<p begin="4s" end="6s"><span ttm:agent="i">abc</span> <span>def</span></p></div>'
    )
    transcript = read_as(_document(body, head), "d.ttml")
    assert rows(transcript) == [
        (1.0, 2.0, "Maud Ferrow", "one"),
        (2.0, 3.0, "i", "two"),
        (4.0, 5.0, "i", "abc"),
        (5.0, 6.0, "Maud Ferrow", "def"),
    ]
    assert [cue.uncertainty for cue in transcript.cues] == [0.0, 0.0, 1.0, 1.0]


def test_line_breaks_white_space_and_ruby(read_as: ReadAs) -> None:
    body = (
        '<div><p begin="1s" end="2s">\n  a <span>white</span><br/>\n  crab &amp; &#x2014; fish </p>'
        '<p begin="3s" end="4s"><span tts:ruby="container"><span tts:ruby="base">base</span>'
        '<span tts:ruby="text">gloss</span></span></p></div>'
    )
    document = _document(body).replace("<tt ", '<tt xmlns:tts="http://www.w3.org/ns/ttml#styling" ')
    assert texts(read_as(document, "d.ttml")) == ["a white crab & \u2014 fish", "base"]


def test_bad_zero_and_missing_times_are_reported(read_as: ReadAs, caplog: pytest.LogCaptureFixture) -> None:
    body = (
        '<div>\n<p begin="x" end="3s">lost</p>\n<p begin="8s" end="8s">zero length here</p>\n'
        '<p begin="9s" end="8s">backwards</p>\n<p>no time</p>\n<p begin="20s" end="21s">fine</p>\n'
        "<p> </p></div>"
    )
    with caplog.at_level(logging.ERROR):
        transcript = read_as(_document(body), "d.ttml")
    assert [(cue.start, cue.text) for cue in transcript.cues] == [
        (8.0, "zero length here"),
        (9.0, "backwards"),
        (20.0, "fine"),
    ]
    assert severities(transcript) == [(6, "skipped"), (7, "mended"), (8, "mended"), (9, "skipped")]
    assert transcript.cues_read == 5
    assert caplog.records == []


def test_zero_length_does_not_borrow_the_end_of_its_container(read_as: ReadAs) -> None:
    transcript = read_as(_document('<div end="900s"><p begin="8s" end="8s">one two</p></div>'), "d.ttml")
    assert rows(transcript) == [(8.0, 8.8, None, "one two")]


def test_draft_namespace_and_none_are_taken_as_ttml(read_as: ReadAs) -> None:
    for space in (' xmlns="http://www.w3.org/2006/10/ttaf1"', ""):
        content = f'<tt{space}><body><div><p begin="1s" end="2s">old</p></div></body></tt>'
        assert rows(read_as(content, "old.xml")) == [(1.0, 2.0, None, "old")]


@pytest.mark.parametrize(
    ("content", "line", "reason"),
    [
        (_document("<div><p>open</div>"), 5, "not well-formed"),
        ('<!DOCTYPE tt [<!ENTITY a "b">]>\n<tt><body/></tt>', 1, "entities"),
        ("<tt>" + "<div>" * 200, 1, "nested deeper"),
        (_document("<div/>"), 1, "no usable cue"),
        ("<html>\n<body/></html>", 1, "root element is not tt"),
        (
            _document('<div><p begin="1s" end="2s">x</p></div>').replace('ttp:frameRate="25"', 'ttp:frameRate="0"'),
            0,
            "",
        ),
    ],
)
def test_unusable_documents(read_as: ReadAs, content: str, line: int, reason: str) -> None:
    if not reason:
        # A zero frame rate harms only times in frames.
        assert texts(read_as(content, "d.ttml")) == ["x"]
        return
    with pytest.raises(InputError) as caught:
        read_as(content, "d.ttml")
    assert caught.value.problem.line == line
    assert reason in caught.value.problem.reason
