"""Files that cannot be used, and strict mode."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from earwitness.pipeline.read import FORMATS, detect_format, read_transcript
from earwitness.pipeline.read import reader as reader_module
from earwitness.schemas.problems import InputError

from .samples import ReadAs, texts


@pytest.mark.parametrize("strict", [False, True])
@pytest.mark.parametrize(
    ("content", "name"),
    [
        (b"", "empty.vtt"),
        (b" \n\n", "blank.srt"),
        (b"WEBVTT\n", "none.vtt"),
        (b"WEBVTT\n\nNOTE only a comment\n", "comment.vtt"),
        (b"no times at all\n", "talk.txt"),
        (b"no times at all\n", "talk"),
        (b"%PDF-1.7 something\n", "talk.pdf"),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 8, "picture.vtt"),
        (b"WEBVTT\n\n00:xx --> 00:02.000\nlost\n", "lost.vtt"),
        (b"1\n00:00:01,000 --> 00:00:02,000\n\n", "untold.srt"),
        (b"start,end,text\n", "header.csv"),
        (b"start,end,text\nx,y,z\n", "rows.csv"),
        (b"[]", "list.json"),
        (b"{", "broken.json"),
        (b"<tt/>", "none.ttml"),
        (b"<p>", "broken.ttml"),
    ],
)
def test_files_without_a_usable_cue(read_as: ReadAs, content: bytes, name: str, strict: bool) -> None:
    with pytest.raises(InputError) as caught:
        read_as(content, name, strict=strict)
    problem = caught.value.problem
    assert problem.file.endswith(name)
    assert problem.reason
    assert problem.expected


def test_no_file_folder_and_impossible_names(tmp_path: Path) -> None:
    for path, reason in ((tmp_path / "no.vtt", "no such file"), (tmp_path, "folder"), ("a\0b.vtt", "")):
        with pytest.raises(InputError) as caught:
            read_transcript(path)
        assert caught.value.problem.file == str(path)
        assert reason in caught.value.problem.reason
        assert "WebVTT" in caught.value.problem.expected


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.vtt")
    with pytest.raises(InputError, match="no regular file"):
        read_transcript(tmp_path / "pipe.vtt")


def test_too_large_a_file(read_as: ReadAs, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reader_module, "MAX_BYTES", 20)
    with pytest.raises(InputError, match="larger than 20 bytes"):
        read_as("WEBVTT\n\n00:01.000 --> 00:02.000\ncrab\n", "d.vtt")


def test_strict_stops_at_the_first_skipped_cue_only(read_as: ReadAs) -> None:
    mended = "WEBVTT\n\n00:03.000 --> 00:03.000\none\n\n00:01,000 --> 00:02.000\ntwo\n"
    assert texts(read_as(mended, "d.vtt", strict=True)) == ["two", "one"]
    skipped = mended + "\n00:0x.000 --> 00:05.000\nthree\n\n00:0y.000 --> 00:06.000\nfour\n"
    with pytest.raises(InputError) as caught:
        read_as(skipped, "d.vtt", strict=True)
    assert caught.value.problem.line == 9
    assert caught.value.problem.severity == "skipped"
    assert [p.line for p in read_as(skipped, "d.vtt").problems if p.severity == "skipped"] == [9, 12]


def test_names(read_as: ReadAs) -> None:
    content = "WEBVTT\n\n00:01.000 --> 00:02.000\ncrab\n"
    assert read_as(content, "bank_01.heard.vtt").recording_id == "bank_01.heard"
    assert read_as(content, "bank_01").recording_id == "bank_01"
    assert read_as(content, "x.vtt", recording_id="dive 7").recording_id == "dive 7"
    again = read_as(content, "x.vtt")
    assert again == read_as(content, "x.vtt")
    # sha256 of these bytes by coreutils' sha256sum.
    assert again.sha256 == "4451b1a6f6c7c020b5ec27d3f3a6d3b6455950e922c0c6a2c144679620edc45b"


@pytest.mark.parametrize(
    ("text", "name", "expected"),
    [
        ("WEBVTT\n", "x.srt", "webvtt"),
        ("\n\nWEBVTT - title", "", "webvtt"),
        ("WEBVTTX", "", None),
        ("1\n00:00:01,000 --> 00:00:02,000\nx", "x.txt", "subrip"),
        ("0:00:01.000,0:00:02.000\nx", "x.csv", "sbv"),
        ('<?xml version="1.0"?><tt:tt xmlns:tt="http://www.w3.org/ns/ttml"/>', "x.txt", "ttml"),
        ('{"segments": []}', "x.txt", "json"),
        ('[{"start": 1}]', "", "json"),
        ("[0:01] crab", "x.json", "text"),
        ("start;text\n1;x", "x.txt", "csv"),
        ("start\ttext\n1\tx", "x.csv", "tsv"),
        ("a --> b", "", None),
        ("hello", "x.dfxp", "ttml"),
        ("hello", "x.doc", None),
    ],
)
def test_content_decides_then_the_ending(text: str, name: str, expected: str | None) -> None:
    found = detect_format(text, name)
    assert found == expected
    assert found is None or found in FORMATS


@pytest.mark.parametrize(
    "content",
    [
        "WEBVTT\n\n00:01.000 --> 00:02.000\n" + "<" * 300_000,
        "WEBVTT\n\n00:01.000 --> 00:02.000\n<v " + " " * 300_000 + "x>y",
        "WEBVTT\n\n00:01.000 --> 00:02.000\n" + "&#" * 150_000,
        "WEBVTT\n\n00:01.000 --> 00:02.000\n" + "<v a>x<v b>y" * 20_000,
        "1\n00:00:01,000 --> 00:00:02,000\n" + "{\\" * 150_000,
        " " * 300_000 + "\n0:00:01.000,0:00:02.000\nx",
        "[0:01]" * 50_000,
        "[0:01] " + "A " * 150_000 + ":",
        "start,text\n1," + "a" * 300_000,
        '{"segments": [{"start": 1, "end": 2, "text": "' + "so " * 100_000 + '"}]}',
    ],
)
def test_very_long_lines_are_read(read_as: ReadAs, content: str) -> None:
    """Each of these makes a careless pattern take quadratic time or worse; a hang is what fails here."""
    transcript = read_as(content, "long")
    assert transcript.cues
