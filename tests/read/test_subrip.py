"""SubRip, SBV, and speakers written into the text: common practice, no source, neither has a standard."""

from __future__ import annotations

import pytest

from .samples import ReadAs, rows, severities, texts


def test_subrip_as_usually_written(read_as: ReadAs) -> None:
    transcript = read_as(
        "\ufeff1\r\n00:00:01,000 --> 00:00:02,500\r\n<i>A white</i>\r\n"
        '{\\an8}sponge &amp; <font color="red">coral</font>'
        "\r\n\r\n2\r\n00:00:03,000 --> 00:00:04,000 X1:10 X2:20\r\nOkay.\r\n",
        "dive.srt",
    )
    assert (transcript.format, transcript.encoding) == ("subrip", "utf-8-sig")
    assert rows(transcript) == [(1.0, 2.5, None, "A white sponge & coral"), (3.0, 4.0, None, "Okay.")]
    assert transcript.problems == ()


def test_subrip_without_counters_hours_or_blank_lines(read_as: ReadAs) -> None:
    transcript = read_as(
        "00:01.500 --> 00:02\none\n00:00:03,25 --> 00:00:04,5\ntwo\n\nstill two\n00:05 --> 00:06\nthree",
        "d.srt",
    )
    assert rows(transcript) == [
        (1.5, 2.0, None, "one"),
        (3.25, 4.5, None, "two still two"),
        (5.0, 6.0, None, "three"),
    ]


def test_a_number_that_was_said_is_no_counter(read_as: ReadAs) -> None:
    transcript = read_as(
        "1\n00:00:01,000 --> 00:00:02,000\n782\n\n2\n00:00:03,000 --> 00:00:04,000\nmetres\n"
        "783\n3\n00:00:05,000 --> 00:00:06,000\nsteady\n\n4\n",
        "d.srt",
    )
    assert texts(transcript) == ["782", "metres 783", "steady"]


def test_a_number_right_above_a_timing_counts_on_or_was_said(read_as: ReadAs) -> None:
    transcript = read_as(
        "1\n00:00:01,000 --> 00:00:02,000\ndepth\n782\n00:00:03,000 --> 00:00:04,000\nsteady\n", "d.srt"
    )
    assert texts(transcript) == ["depth 782", "steady"]


def test_markup_that_is_no_tag_stays_literal(read_as: ReadAs) -> None:
    transcript = read_as("1\n00:00:01,000 --> 00:00:02,000\n<unk> =1+1 <script>x</script> {curly} a<b\n", "d.srt")
    assert texts(transcript) == ["<unk> =1+1 <script>x</script> {curly} a<b"]


def test_broken_subrip_blocks_are_reported(read_as: ReadAs) -> None:
    transcript = read_as(
        "A title\n\n1\n00:00:01,000 --> 00:00:02,000\nok\n\n2\n00:00:0x,000 --> 00:00:04,000\nlost\n\n"
        "3\n00:61:00,000 --> 00:62:00,000\nlost too\n",
        "d.srt",
    )
    assert texts(transcript) == ["ok"]
    assert severities(transcript) == [(1, "skipped"), (8, "skipped"), (12, "skipped")]
    assert transcript.cues_read == 4


def test_sbv(read_as: ReadAs) -> None:
    transcript = read_as(
        "0:00:01.000,0:00:02.500\nA white[br]sponge\n\n0:00:xx.000,0:00:03.000\nlost\n\n"
        "0:01:03.000,0:01:04.000\nNine, ten, eleven.\nTwelve.\n",
        "dive.sbv",
    )
    assert transcript.format == "sbv"
    assert rows(transcript) == [
        (1.0, 2.5, None, "A white sponge"),
        (63.0, 64.0, None, "Nine, ten, eleven. Twelve."),
    ]
    assert severities(transcript) == [(4, "skipped")]


def _srt(*payloads: str) -> str:
    return "".join(
        f"{n}\n00:00:{2 * n:02d},000 --> 00:00:{2 * n + 1:02d},500\n{payload}\n\n"
        for n, payload in enumerate(payloads, 1)
    )


def test_speakers_in_capitals(read_as: ReadAs) -> None:
    transcript = read_as(_srt("MAUD: A crab.", "White: I think.", "IVER HOLM: Two: no, three.", "Yes."), "d.srt")
    assert [(cue.speaker, cue.text) for cue in transcript.cues] == [
        ("MAUD", "A crab."),
        (None, "White: I think."),
        ("IVER HOLM", "Two: no, three."),
        (None, "Yes."),
    ]


def test_speakers_in_mixed_case_need_half_the_cues(read_as: ReadAs) -> None:
    habit = read_as(_srt("Maud: A crab.", "Speaker 2: Where?", "On the left."), "d.srt")
    assert [cue.speaker for cue in habit.cues] == ["Maud", "Speaker 2", None]
    rare = read_as(_srt("Maud: A crab.", "Where?", "There: left.", "Yes.", "Okay."), "d.srt")
    assert [cue.speaker for cue in rare.cues] == [None] * 5
    assert rare.cues[0].text == "Maud: A crab."


@pytest.mark.parametrize("line", ["Depth: 782 metres.", "NOTE: sponge.", "Target: coral.", "SAMPLE: one."])
def test_ordinary_colons_stay(read_as: ReadAs, line: str) -> None:
    transcript = read_as(_srt(line, line.lower(), line + " Again.", "And then: a crab, 10:30 ship's time."), "d.srt")
    assert [cue.speaker for cue in transcript.cues] == [None] * 4
    assert transcript.cues[0].text == line


def test_two_speakers_in_one_cue(read_as: ReadAs) -> None:
    transcript = read_as(_srt("MAUD: Crab?\nIVER: No.", "MAUD: Ah.", "- One.\n- Two.", "-5 degrees"), "d.srt")
    assert [(cue.speaker, cue.text) for cue in transcript.cues] == [
        ("MAUD", "Crab?"),
        ("IVER", "No."),
        ("MAUD", "Ah."),
        (None, "One."),
        (None, "Two."),
        (None, "-5 degrees"),
    ]
    assert transcript.cues_read == 4


def test_a_file_with_voices_keeps_its_colons(read_as: ReadAs) -> None:
    transcript = read_as(
        "WEBVTT\n\n00:01.000 --> 00:02.000\n<v Maud>IVER: look\n\n00:02.000 --> 00:03.000\nIVER: what\n",
        "v.vtt",
    )
    assert [(cue.speaker, cue.text) for cue in transcript.cues] == [
        ("Maud", "IVER: look"),
        (None, "IVER: what"),
    ]


def test_word_times_follow_a_speaker_taken_from_the_text(read_as: ReadAs) -> None:
    line = "00:0{0}.000 --> 00:0{1}.000\nMAUD: <00:0{0}.500>white <00:0{0}.700>crab\n\n"
    transcript = read_as("WEBVTT\n\n" + line.format(1, 2) + line.format(3, 4), "v.vtt")
    assert [(cue.speaker, [(w.text, w.start) for w in cue.words]) for cue in transcript.cues] == [
        ("MAUD", [("white", 1.5), ("crab", 1.7)]),
        ("MAUD", [("white", 3.5), ("crab", 3.7)]),
    ]
