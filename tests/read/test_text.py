"""Plain text with times at the head of blocks (common practice, no source)."""

from __future__ import annotations

import pytest

from earwitness.pipeline.read.mend import MIN_LENGTH, WORDS_PER_SECOND

from .samples import ReadAs, rows, severities, texts


def test_blocks_end_at_the_next_and_say_how_unsure_they_are(read_as: ReadAs) -> None:
    transcript = read_as(
        "[0:12]\nso here we have\na white sponge\n\n[0:18] okay\n[1:02:03] one two three four five\n", "d.txt"
    )
    assert transcript.format == "text"
    assert rows(transcript) == [
        (12.0, 18.0, None, "so here we have a white sponge"),
        (18.0, 3723.0, None, "okay"),
        (3723.0, 3723.0 + 5 / WORDS_PER_SECOND, None, "one two three four five"),
    ]
    assert [cue.line for cue in transcript.cues] == [1, 5, 6]
    first, second, last = (cue.uncertainty for cue in transcript.cues)
    # A whole second for the written time, and what the words do not fill of the block.
    assert first == pytest.approx(1.0 + 6.0 - 7 / WORDS_PER_SECOND)
    assert second == pytest.approx(1.0 + 3705.0 - MIN_LENGTH)
    assert last == pytest.approx(1.0 + 5 / WORDS_PER_SECOND)
    assert transcript.problems == ()


@pytest.mark.parametrize(
    ("head", "start"),
    [
        ("[0:12]", 12.0),
        ("[00:12]", 12.0),
        ("[1:00:12]", 3612.0),
        ("[00:12.500]", 12.5),
        ("[75:10]", 4510.0),
        ("(0:12)", 12.0),
        ("(1:00:12):", 3612.0),
        ("0:12", 12.0),
        ("0:12 -", 12.0),
        ("  01:00:12.250", 3612.25),
        ("[ 0:12 ] \u2013", 12.0),
    ],
)
def test_heads(read_as: ReadAs, head: str, start: float) -> None:
    transcript = read_as(f"{head} a crab\n", "d.txt")
    assert [(cue.start, cue.text) for cue in transcript.cues] == [(start, "a crab")]
    assert transcript.problems == ()


def test_a_range_gives_the_end(read_as: ReadAs) -> None:
    transcript = read_as("[0:40.500 - 0:42.250] a crab\n[0:50.0 --> 0:51.0] two\n", "d.txt")
    assert rows(transcript) == [(40.5, 42.25, None, "a crab"), (50.0, 51.0, None, "two")]
    assert [cue.uncertainty for cue in transcript.cues] == [0.001, 0.1]


def test_one_style_a_file(read_as: ReadAs) -> None:
    transcript = read_as("[0:10] bottom at\n10:30 ship's time\n(0:12) he said\n[0:20] 3:1 ratio\n", "d.txt")
    assert texts(transcript) == ["bottom at 10:30 ship's time (0:12) he said", "3:1 ratio"]


def test_no_capitals_no_punctuation_and_no_ending(read_as: ReadAs) -> None:
    transcript = read_as("0:01 so\n0:03 a crab\n", "transcript")
    assert rows(transcript)[0] == (1.0, 3.0, None, "so")


def test_blocks_in_disorder_end_at_the_next_in_time(read_as: ReadAs) -> None:
    transcript = read_as("[0:10] one\n[0:30] three\n[0:20] two\n", "d.txt")
    assert [(cue.start, cue.end, cue.text) for cue in transcript.cues][:2] == [
        (10.0, 20.0, "one"),
        (20.0, 30.0, "two"),
    ]
    assert severities(transcript) == [(3, "mended")]


def test_unreadable_times_title_and_empty_blocks_are_reported(read_as: ReadAs) -> None:
    transcript = read_as("Dive five\n\n[0:10] one\n[12:xx] lost\n[0:99] lost too\n[0:20]\n[0:30] two\n", "d.txt")
    assert texts(transcript) == ["one", "two"]
    assert severities(transcript) == [(1, "skipped"), (4, "skipped"), (5, "skipped"), (6, "skipped")]
    assert transcript.cues_read == 6


def test_brackets_that_are_no_times_stay(read_as: ReadAs) -> None:
    transcript = read_as("[0:10] one\n[laughs] [note: odd]\n[sic] two\n", "d.txt")
    assert texts(transcript) == ["one [laughs] [note: odd] [sic] two"]


def test_speakers_in_text(read_as: ReadAs) -> None:
    transcript = read_as("[0:10] MAUD: one\n[0:12] IVER: two\n", "d.txt")
    assert [(cue.speaker, cue.text) for cue in transcript.cues] == [("MAUD", "one"), ("IVER", "two")]
