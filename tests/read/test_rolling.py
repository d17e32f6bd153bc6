"""Rolling and overlapping captions: each word once, and talk that repeats itself left alone."""

from __future__ import annotations

from .samples import ReadAs, narrations, needs_narrations, rows, severities, texts


def _vtt(*cues: tuple[str, str, str]) -> str:
    return "WEBVTT\n\n" + "".join(f"00:{start} --> 00:{end}\n{text}\n\n" for start, end, text in cues)


def test_roll_up_lines(read_as: ReadAs) -> None:
    transcript = read_as(
        _vtt(
            ("00.000", "02.000", "so here we are"),
            ("02.000", "04.000", "so here we are\non the northern bank"),
            ("04.000", "06.000", "on the northern bank\nand there"),
            ("06.000", "08.000", "and there\nis a crab"),
        ),
        "d.vtt",
    )
    assert rows(transcript) == [
        (0.0, 2.0, None, "so here we are"),
        (2.0, 4.0, None, "on the northern bank"),
        (4.0, 6.0, None, "and there"),
        (6.0, 8.0, None, "is a crab"),
    ]
    assert severities(transcript) == [(6, "mended"), (10, "mended"), (14, "mended")]
    assert transcript.cues_read == 4


def test_captions_with_a_held_line_between(read_as: ReadAs) -> None:
    """The form in which automatic captions of video sites come (common practice, no source)."""
    transcript = read_as(
        "WEBVTT\nKind: captions\n\n"
        "00:00.000 --> 00:02.000\n \nhello<00:00.400><c> there</c><00:01.000><c> everyone</c>\n\n"
        "00:02.000 --> 00:02.010\nhello there everyone\n \n\n"
        "00:02.010 --> 00:04.000\nhello there everyone\nand<00:02.300><c> welcome</c>\n\n"
        "00:04.000 --> 00:04.010\nand welcome\n \n\n"
        "00:04.010 --> 00:06.000\nand welcome\nto<00:04.300><c> the</c><00:05.000><c> dive</c>\n",
        "d.vtt",
    )
    assert texts(transcript) == ["hello there everyone", "and welcome", "to the dive"]
    assert [(word.text, word.start) for word in transcript.cues[2].words][1:] == [("the", 4.3), ("dive", 5.0)]
    assert len(transcript.problems) == 4
    assert {problem.severity for problem in transcript.problems} == {"mended"}


def test_the_tail_of_one_cue_as_the_head_of_the_next(read_as: ReadAs) -> None:
    transcript = read_as(
        _vtt(
            ("01.000", "03.000", "we can see a large sponge"),
            ("02.500", "04.000", "A large sponge, on the left side"),
            ("04.000", "05.000", "on the left side there is a crab"),
        ),
        "d.vtt",
    )
    assert rows(transcript) == [
        (1.0, 2.5, None, "we can see a large sponge"),
        (2.5, 4.0, None, "on the left side"),
        (4.0, 5.0, None, "there is a crab"),
    ]


def test_one_pair_in_a_long_file_needs_four_words_in_mid_sentence(read_as: ReadAs) -> None:
    filler = [(f"{n:02d}.000", f"{n + 1:02d}.000", f"something else said here number {n}") for n in range(10, 30)]
    cut = read_as(
        _vtt(
            ("01.000", "02.000", "up there on the left wall"),
            ("02.000", "03.000", "on the left wall is a crab"),
            *filler,
        ),
        "d.vtt",
    )
    assert texts(cut)[:2] == ["up there on the left wall", "is a crab"]
    kept = read_as(
        _vtt(
            ("01.000", "02.000", "Crab. I do not know."),
            ("02.000", "03.000", "I do not know what that is"),
            *filler,
        ),
        "d.vtt",
    )
    assert texts(kept)[:2] == ["Crab. I do not know.", "I do not know what that is"]
    assert kept.problems == ()


def test_short_overlaps_are_talk(read_as: ReadAs) -> None:
    filler = [(f"{n:02d}.000", f"{n + 1:02d}.000", f"something else said here number {n}") for n in range(10, 30)]
    three = [("01.000", "02.000", "well I do know"), ("02.000", "03.000", "I do know what that is")]
    two = [
        ("01.000", "02.000", "so we go left"),
        ("02.000", "03.000", "go left now please"),
        ("03.000", "04.000", "now please stop"),
    ]
    for cues in (three + filler, two):
        transcript = read_as(_vtt(*cues), "d.vtt")
        assert texts(transcript) == [text for _, _, text in cues]
        assert transcript.problems == ()


def test_duplicates_on_the_screen_at_once_are_merged(read_as: ReadAs) -> None:
    transcript = read_as(_vtt(("01.000", "03.000", "A crab."), ("01.000", "04.000", "A crab.")), "d.vtt")
    assert rows(transcript) == [(1.0, 4.0, None, "A crab.")]
    assert severities(transcript) == [(6, "mended")]
    assert transcript.cues_read == 2


def test_talk_that_repeats_itself_is_left_alone(read_as: ReadAs) -> None:
    cues = [
        ("01.000", "02.000", "Genus, yes."),
        ("02.000", "02.500", "Yes."),
        ("02.500", "03.000", "Yes."),
        ("03.000", "04.000", "go left, go left"),
        ("04.000", "05.000", "go left now"),
        ("05.000", "06.000", "one sea star"),
        ("06.000", "07.000", "one sea star"),
    ]
    transcript = read_as(_vtt(*cues), "d.vtt")
    assert texts(transcript) == [text for _, _, text in cues]
    assert transcript.problems == ()


def test_two_voices_that_say_the_same_are_two_cues(read_as: ReadAs) -> None:
    transcript = read_as(
        _vtt(
            ("01.000", "03.000", "<v Maud>there it is again"),
            ("01.500", "04.000", "<v Iver>there it is again look"),
        ),
        "d.vtt",
    )
    assert texts(transcript) == ["there it is again", "there it is again look"]
    assert transcript.problems == ()


@needs_narrations
def test_nothing_is_cut_from_the_development_narrations() -> None:
    from earwitness.pipeline.read import read_transcript

    paths = narrations("*/*.vtt")
    assert len(paths) == 6
    for path in paths:
        assert read_transcript(path).problems == ()
