"""Bytes to text. Byte order marks: The Unicode Standard, section 23.8."""

from __future__ import annotations

import codecs

import pytest

from earwitness.pipeline.read.decode import BinaryContentError, decode

from .samples import ReadAs, severities, texts

TALK = "WEBVTT\r\n\r\n00:01.000 --> 00:02.000\r\ncaf\u00e9 \u2013 crab\r\n"


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (TALK.encode("utf-8"), "utf-8"),
        (codecs.BOM_UTF8 + TALK.encode("utf-8"), "utf-8-sig"),
        (codecs.BOM_UTF16_LE + TALK.encode("utf-16-le"), "utf-16-le"),
        (codecs.BOM_UTF16_BE + TALK.encode("utf-16-be"), "utf-16-be"),
        (TALK.encode("utf-16-le"), "utf-16-le"),
        (TALK.encode("utf-16-be"), "utf-16-be"),
        (codecs.BOM_UTF32_LE + TALK.encode("utf-32-le"), "utf-32-le"),
        (TALK.encode("cp1252"), "cp1252"),
    ],
)
def test_encodings_are_told_apart(read_as: ReadAs, data: bytes, name: str) -> None:
    transcript = read_as(data, "d.vtt")
    assert transcript.encoding == name
    assert texts(transcript) == ["caf\u00e9 \u2013 crab"]
    assert transcript.problems == ()


def test_latin_1_where_windows_1252_has_no_character() -> None:
    decoded = decode(b"caf\xe9 \x81")
    assert (decoded.encoding, decoded.text) == ("latin-1", "caf\xe9 \x81")


def test_plain_ascii_is_utf_8() -> None:
    assert decode(b"[0:01] crab\r[0:02] fish").encoding == "utf-8"
    assert decode(b"a\rb\r\nc\n").text == "a\nb\nc\n"


def test_a_bad_byte_in_utf_8_does_not_spoil_the_rest(read_as: ReadAs) -> None:
    good = "\u00e9\u00e8\u00ea\u00eb\u00e0 ".encode()
    transcript = read_as(b"WEBVTT\n\n00:01.000 --> 00:02.000\n" + good + b"\xff crab\n", "d.vtt")
    assert transcript.encoding == "utf-8"
    assert texts(transcript) == ["\u00e9\u00e8\u00ea\u00eb\u00e0 \ufffd crab"]
    assert severities(transcript) == [(0, "noted")]


def test_a_replacement_character_of_the_text_itself_is_no_bad_byte() -> None:
    assert decode("\ufffd crab".encode()).replaced == 0


def test_an_odd_last_byte_of_utf_16_is_replaced() -> None:
    decoded = decode(codecs.BOM_UTF16_LE + "crab".encode("utf-16-le") + b"x")
    assert (decoded.text, decoded.replaced) == ("crab\ufffd", 1)


@pytest.mark.parametrize("data", [b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 8, b"\x00\x01\x02\x03" * 50, bytes(500)])
def test_binary_is_refused(data: bytes) -> None:
    with pytest.raises(BinaryContentError):
        decode(data)
