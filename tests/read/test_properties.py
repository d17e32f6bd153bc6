"""Properties: what is written is read back, and nothing but InputError ever comes out."""

from __future__ import annotations

import csv
import io
import json
import tempfile
from pathlib import Path
from xml.sax.saxutils import escape

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from earwitness.pipeline.read import FORMATS, Transcript, read_transcript
from earwitness.schemas.problems import InputError

from .samples import reader

Written = list[tuple[int, int, str]]

_WORDS = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "M")), min_size=1, max_size=8)


@st.composite
def cues(draw: st.DrawFn) -> Written:
    """Cues in order, times in milliseconds; each has words of its own, so that nothing rolls or repeats."""
    written: Written = []
    time = draw(st.integers(0, 3_600_000))
    for number in range(draw(st.integers(1, 8))):
        time += draw(st.integers(300, 100_000))
        end = time + draw(st.integers(1, 10_000))
        text = " ".join([f"w{number}q", *draw(st.lists(_WORDS, max_size=5)), f"z{number}q"])
        written.append((time, end, text))
        time = end
    return written


def _clock(milliseconds: int, mark: str = ".") -> str:
    hours, rest = divmod(milliseconds, 3_600_000)
    return f"{hours:02d}:{rest // 60_000:02d}:{rest // 1000 % 60:02d}{mark}{rest % 1000:03d}"


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def write_webvtt(written: Written) -> str:
    return "WEBVTT\n\n" + "\n".join(f"{_clock(s)} --> {_clock(e)}\n{_escaped(text)}\n" for s, e, text in written)


def write_subrip(written: Written) -> str:
    blocks = enumerate(written, 1)
    return "\n".join(f"{n}\n{_clock(s, ',')} --> {_clock(e, ',')}\n{_escaped(text)}\n" for n, (s, e, text) in blocks)


def write_sbv(written: Written) -> str:
    return "\n".join(f"{_clock(s)},{_clock(e)}\n{_escaped(text)}\n" for s, e, text in written)


def write_csv(written: Written, delimiter: str = ",") -> str:
    out = io.StringIO()
    table = csv.writer(out, delimiter=delimiter)
    table.writerow(["start", "end", "text"])
    table.writerows([f"{s / 1000:.3f}", f"{e / 1000:.3f}", text] for s, e, text in written)
    return out.getvalue()


def write_json(written: Written) -> str:
    return json.dumps(
        {"segments": [{"start": s / 1000, "end": e / 1000, "text": " " + text} for s, e, text in written]}
    )


def write_ttml(written: Written) -> str:
    rows = "".join(f'<p begin="{_clock(s)}" end="{_clock(e)}">{escape(text)}</p>\n' for s, e, text in written)
    return f'<tt xmlns="http://www.w3.org/ns/ttml" xml:lang="en"><body><div>{rows}</div></body></tt>'


def write_text(written: Written) -> str:
    return "\n".join(f"[{_clock(s)} - {_clock(e)}] {text}" for s, e, text in written)


WRITERS = {
    "webvtt": write_webvtt,
    "subrip": write_subrip,
    "sbv": write_sbv,
    "ttml": write_ttml,
    "text": write_text,
    "csv": write_csv,
    "tsv": lambda written: write_csv(written, "\t"),
    "json": write_json,
}


def _read(content: str | bytes, name: str) -> Transcript:
    with tempfile.TemporaryDirectory() as folder:
        return reader(Path(folder))(content, name)


def check_sound(transcript: Transcript) -> None:
    """What holds for every transcript, whatever it was read from."""
    assert transcript.format in FORMATS
    assert transcript.cues
    starts = [cue.start for cue in transcript.cues]
    assert starts == sorted(starts)
    for cue in transcript.cues:
        assert 0 <= cue.start < cue.end
        assert cue.uncertainty >= 0
        assert cue.text == " ".join(cue.text.split())
        assert cue.text
        assert not any(ord(char) < 32 or 0x7F <= ord(char) <= 0x9F for char in cue.text)
        cue.text.encode("utf-8")
        word_starts = [word.start for word in cue.words]
        assert word_starts == sorted(word_starts)
        assert all(word.text and word.start <= word.end for word in cue.words)
    assert all(problem.reason.isprintable() for problem in transcript.problems)
    skipped = sum(problem.severity == "skipped" for problem in transcript.problems)
    assert skipped <= transcript.cues_read


def test_every_format_has_a_writer_here() -> None:
    assert set(WRITERS) == set(FORMATS)


@pytest.mark.parametrize("format_name", FORMATS)
@given(written=cues())
@settings(max_examples=60, deadline=None)
def test_what_is_written_is_read_back(format_name: str, written: Written) -> None:
    transcript = _read(WRITERS[format_name](written), "dive")
    assert transcript.format == format_name
    assert [(round(cue.start * 1000), round(cue.end * 1000), cue.text) for cue in transcript.cues] == written
    assert transcript.problems == ()
    assert transcript.cues_read == len(written)
    check_sound(transcript)


_NAMES = st.sampled_from(["d", "d.vtt", "d.srt", "d.sbv", "d.ttml", "d.txt", "d.csv", "d.tsv", "d.json"])


def _only_input_error(content: bytes, name: str) -> None:
    transcript, error = None, None
    try:
        transcript = _read(content, name)
    except InputError as caught:
        error = caught
    if transcript:
        check_sound(transcript)
    else:
        assert error
        assert error.problem.file.endswith(name)
        assert error.problem.reason
        assert error.problem.expected


@given(content=st.binary(max_size=400), name=_NAMES)
@settings(max_examples=300, deadline=None)
def test_arbitrary_bytes(content: bytes, name: str) -> None:
    _only_input_error(content, name)


_PIECES = st.sampled_from(
    [
        *(
            "WEBVTT",
            "NOTE",
            "STYLE",
            "00:01.000 --> 00:02.000",
            "00:00:03,000 --> 00:00:02,000",
            "-->",
            "1",
            "2",
            "\n",
        ),
        *(
            "\n\n",
            "0:00:01.000,0:00:02.000",
            "[0:05]",
            "[0:03 - 0:04]",
            "(1:00)",
            "0:07",
            "[x:1]",
            "<v Maud>",
            "</v>",
        ),
        *(
            "<00:01.500>",
            "<b>",
            "<rt>",
            "<",
            ">",
            "&amp;",
            "&#0;",
            "&#55296;",
            "MAUD: ",
            "- ",
            "so so so so so so so",
        ),
        *(
            "start,end,text",
            "1,2,a",
            '"',
            ",",
            "\t",
            "a crab here",
            '{"segments":[',
            '{"start":1,"end":2,"text":"x"}',
        ),
        *(
            "]}",
            "[",
            "NaN",
            "-1",
            "1e999",
            '<tt><body><div><p begin="1s" end="2s">',
            "</p></div></body></tt>",
            "<p dur='1f'>",
        ),
        *(
            "timeContainer='seq'",
            "\x00",
            "\ufeff",
            "\u2028",
            "\x85",
            "\ud7ff",
            "{\\an8}",
            "X-TIMESTAMP-MAP=",
            "99999999:00:00.000",
        ),
    ]
)


@given(pieces=st.lists(st.tuples(_PIECES, st.sampled_from(["", " ", "\n"])), max_size=25), name=_NAMES)
@example(pieces=[("WEBVTT", "\n"), ("\n", ""), ("00:01.000 --> 00:02.000", "\n"), ("&#55296;", "")], name="d.vtt")
@settings(max_examples=500, deadline=None)
def test_scraps_of_every_format(pieces: list[tuple[str, str]], name: str) -> None:
    content = "".join(piece + joint for piece, joint in pieces)
    _only_input_error(content.encode("utf-8"), name)


@given(written=cues(), cut=st.integers(0, 400), junk=st.binary(max_size=6), name=st.sampled_from(FORMATS))
@settings(max_examples=300, deadline=None)
def test_damaged_files(written: Written, cut: int, junk: bytes, name: str) -> None:
    content = WRITERS[name](written).encode("utf-8")
    _only_input_error(content[:cut] + junk + content[cut + len(junk) :], "dive")


@given(written=cues())
@settings(max_examples=30, deadline=None)
def test_reading_twice_gives_the_same(written: Written) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "dive.vtt"
        path.write_text(write_webvtt(written), encoding="utf-8")
        assert read_transcript(path) == read_transcript(path)
