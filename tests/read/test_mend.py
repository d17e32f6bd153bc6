"""Times and text put in order."""

from __future__ import annotations

from .samples import ReadAs, rows, severities, texts


def _vtt(*cues: tuple[str, str]) -> str:
    return "WEBVTT\n\n" + "".join(f"{times}\n{text}\n\n" for times, text in cues)


def test_cues_in_disorder_are_sorted_and_reported(read_as: ReadAs) -> None:
    transcript = read_as(
        _vtt(
            ("00:05.000 --> 00:06.000", "five"),
            ("00:01.000 --> 00:02.000", "one"),
            ("00:03.000 --> 00:04.000", "three"),
            ("00:07.000 --> 00:08.000", "seven"),
        ),
        "d.vtt",
    )
    assert texts(transcript) == ["one", "three", "five", "seven"]
    assert severities(transcript) == [(6, "mended")]


def test_cues_that_start_together_keep_their_order(read_as: ReadAs) -> None:
    transcript = read_as(_vtt(("00:01.000 --> 00:03.000", "<v A>b"), ("00:01.000 --> 00:02.000", "<v B>a")), "d.vtt")
    assert texts(transcript) == ["b", "a"]
    assert transcript.problems == ()


def test_a_zero_length_ends_by_speech_rate(read_as: ReadAs) -> None:
    """2.5 words a second, at least half a second."""
    transcript = read_as(
        _vtt(("00:01.000 --> 00:01.000", "one two three four five"), ("00:09.000 --> 00:09.000", "one")),
        "d.vtt",
    )
    assert rows(transcript) == [(1.0, 3.0, None, "one two three four five"), (9.0, 9.5, None, "one")]
    assert [cue.uncertainty for cue in transcript.cues] == [2.0, 0.5]
    assert severities(transcript) == [(3, "mended"), (6, "mended")]


def test_a_mended_end_stops_at_the_next_cue(read_as: ReadAs) -> None:
    transcript = read_as(
        _vtt(
            ("00:01.000 --> 00:00.500", "one two three four five"),
            ("00:02.000 --> 00:02.000", "six seven eight nine ten"),
            ("00:02.100 --> 00:03.000", "eleven"),
        ),
        "d.vtt",
    )
    assert [(cue.start, cue.end) for cue in transcript.cues] == [(1.0, 2.0), (2.0, 2.5), (2.1, 3.0)]


def test_times_no_recording_has_are_skipped(read_as: ReadAs) -> None:
    transcript = read_as(
        _vtt(
            ("999999999:00:00.000 --> 999999999:00:01.000", "a"),
            ("99999999999999999999:00:00.000 --> 00:01.000", "b"),
            ("00:01.000 --> 5000:00:00.000", "c"),
        ),
        "d.vtt",
    )
    assert rows(transcript) == [(1.0, 1.5, None, "c")]
    assert severities(transcript) == [(3, "skipped"), (6, "skipped"), (9, "mended")]


def test_control_characters_go_and_white_space_folds(read_as: ReadAs) -> None:
    padding = "some more talk to stand beside the odd characters, as a real file would have. " * 4
    transcript = read_as(
        _vtt(
            ("00:01.000 --> 00:02.000", "a\x07b\x00 c\vd  e\u00a0f\tg\u2028h \x1b[31m"),
            ("00:03.000 --> 00:04.000", padding),
        ),
        "d.vtt",
    )
    assert texts(transcript)[0] == "ab c d e f g h [31m"
    assert severities(transcript) == [(3, "noted")]
    assert transcript.problems[0].reason.startswith("4 control characters")


def test_a_cue_without_text_is_reported(read_as: ReadAs) -> None:
    transcript = read_as(_vtt(("00:01.000 --> 00:02.000", "<i></i>"), ("00:03.000 --> 00:04.000", "crab")), "d.vtt")
    assert texts(transcript) == ["crab"]
    assert severities(transcript) == [(3, "skipped")]
    assert transcript.cues_read == 2
