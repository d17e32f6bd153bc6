"""WebVTT against the W3C text (w3c.github.io/webvtt, read in its source index.bs) and web-platform-tests.

The W3C examples are rebuilt here in their structure with invented people and our own words.
"""

from __future__ import annotations

import pytest

from .samples import ReadAs, rows, severities, texts


def test_simple_caption_file_with_overlapping_voices(read_as: ReadAs) -> None:
    """W3C WebVTT, section "A simple caption file": hours left out, settings, two voices at once."""
    transcript = read_as(
        "WEBVTT\n\n"
        "00:11.000 --> 00:13.000\n<v Maud Ferrow>We are over the northern bank\n\n"
        "00:30.000 --> 00:31.500 align:right size:50%\n<v Maud Ferrow>When we sampled&mdash;\n\n"
        "00:30.500 --> 00:32.500 align:left size:50%\n<v Iver Holm>Didn't we sample enough?\n\n"
        "00:32.000 --> 00:35.500 align:right size:50%\n"
        "<v Maud Ferrow>No! No no no no; 'cos 'cos obviously 'cos\n\n"
        "00:32.500 --> 00:33.500 align:left size:50%\n<v Iver Holm><i>Laughs</i>\n",
        "interview.vtt",
    )
    assert rows(transcript) == [
        (11.0, 13.0, "Maud Ferrow", "We are over the northern bank"),
        (30.0, 31.5, "Maud Ferrow", "When we sampled\u2014"),
        (30.5, 32.5, "Iver Holm", "Didn't we sample enough?"),
        (32.0, 35.5, "Maud Ferrow", "No! No no no no; 'cos 'cos obviously 'cos"),
        (32.5, 33.5, "Iver Holm", "Laughs"),
    ]
    assert transcript.problems == ()
    assert {cue.mark for cue in transcript.cues} == {""}


def test_several_lines_and_a_dialogue(read_as: ReadAs) -> None:
    """W3C WebVTT, section "Caption cues with multiple lines": a dash before each of two speakers' lines."""
    transcript = read_as(
        "WEBVTT\n\n00:01.000 --> 00:04.000\nNever touch\nthe manipulator.\n\n"
        "00:05.000 --> 00:09.000\n&mdash; It will pinch you.\n&mdash; It might.\n",
        "notice.vtt",
    )
    assert texts(transcript) == ["Never touch the manipulator.", "It will pinch you.", "It might."]
    assert transcript.cues_read == 2


def test_style_region_attribute_and_comment_blocks_are_no_text(read_as: ReadAs) -> None:
    """W3C WebVTT, sections "Styling captions", "Other caption and subtitling features" and "Comments"."""
    transcript = read_as(
        "WEBVTT\n\nSTYLE\n::cue {\n  color: papayawhip;\n}\n/* no blank lines in here */\n\n"
        "NOTE comment blocks can stand between style blocks.\n\nSTYLE\n::cue(b) {\n  color: peachpuff;\n}\n\n"
        "REGION\nid:left\nwidth:40%\nlines:3\nscroll:up\n\nATTRIBUTES\nkind: captions\nlang: en\n\n"
        "hello\n00:00:00.000 --> 00:00:10.000 region:left\nHello <b>bank</b>.\n\n"
        "NOTE\nseveral lines\nof comment\n\nNOTE end of file\n",
        "styled.vtt",
    )
    assert rows(transcript) == [(0.0, 10.0, None, "Hello bank.")]
    assert transcript.problems == ()


def test_identifiers_classes_and_languages(read_as: ReadAs) -> None:
    """W3C WebVTT, section "Other caption and subtitling features"."""
    transcript = read_as(
        "WEBVTT\n\ntest\n00:00.000 --> 00:02.000\nThis is a test.\n\n"
        "123\n00:02.000 --> 00:04.000\nThat's an, an, that's an eel!\n\n"
        "cr\u00e9dit de transcription\n00:04.000 --> 00:05.000\nTranscrit par Iver&trade;\n\n"
        "04:05.001 --> 04:07.800\nSur les <i.foreignphrase><lang en>seamounts</lang></i>, ici\n",
        "ids.vtt",
    )
    assert texts(transcript) == [
        "This is a test.",
        "That's an, an, that's an eel!",
        "Transcrit par Iver\u2122",
        "Sur les seamounts, ici",
    ]
    assert [cue.line for cue in transcript.cues] == [4, 8, 12, 15]


def test_voices_with_classes_and_text_after_a_voice(read_as: ReadAs) -> None:
    """W3C WebVTT, section "Other caption and subtitling features", the voice example."""
    transcript = read_as(
        "WEBVTT\n\n00:00.000 --> 00:02.000\n<v.first.loud Esme>It's a blue sponge!\n\n"
        "00:02.000 --> 00:04.000\n<v Mary>No way!\n\n"
        "00:04.000 --> 00:06.000\n<v Esme>Hee!</v> <i>laughter</i>\n\n"
        "00:06.000 --> 00:08.000\n<v.loud Mary>That's awesome!\n",
        "voices.vtt",
    )
    assert [(cue.speaker, cue.text) for cue in transcript.cues] == [
        ("Esme", "It's a blue sponge!"),
        ("Mary", "No way!"),
        ("Esme", "Hee!"),
        (None, "laughter"),
        ("Mary", "That's awesome!"),
    ]


def test_voices_of_one_cue_share_its_time_and_say_how_unsure_that_is(read_as: ReadAs) -> None:
    transcript = read_as(
        "WEBVTT\n\n00:10.000 --> 00:14.000\n<v Maud>abc</v>\n<v Iver>defghi</v> <v Maud>jkl</v>\n", "v.vtt"
    )
    assert rows(transcript) == [
        (10.0, 11.0, "Maud", "abc"),
        (11.0, 13.0, "Iver", "defghi"),
        (13.0, 14.0, "Maud", "jkl"),
    ]
    # An edge at 11 s may truly lie anywhere from 10 to 14 s: up to 3 s off.
    assert [cue.uncertainty for cue in transcript.cues] == [3.0, 3.0, 3.0]
    assert transcript.cues_read == 1


def test_voices_whose_begin_is_stated_keep_it(read_as: ReadAs) -> None:
    transcript = read_as(
        "WEBVTT\n\n00:10.000 --> 00:14.000\n<v Maud>a crab</v><00:10.800><v Iver>no it is a lobster</v>\n",
        "v.vtt",
    )
    assert rows(transcript) == [(10.0, 10.8, "Maud", "a crab"), (10.8, 14.0, "Iver", "no it is a lobster")]
    assert [cue.uncertainty for cue in transcript.cues] == [0.0, 0.0]


def test_a_cue_too_short_to_share_goes_whole_to_each_voice(read_as: ReadAs) -> None:
    transcript = read_as("WEBVTT\n\n00:01.000 --> 00:01.001\n<v A>one</v><v B>two</v><v C>three</v>\n", "v.vtt")
    assert rows(transcript) == [
        (1.0, 1.001, "A", "one"),
        (1.0, 1.001, "B", "two"),
        (1.0, 1.001, "C", "three"),
    ]
    assert [cue.uncertainty for cue in transcript.cues] == [0.001] * 3


def test_inner_times_give_word_times(read_as: ReadAs) -> None:
    """W3C WebVTT, "WebVTT cue timestamp": text after it is not before that time."""
    transcript = read_as(
        "WEBVTT\n\n00:16.500 --> 00:18.500\nWhen the moon <00:17.500>hits your eye\n\n"
        "00:00:18.500 --> 00:00:20.500\nlike a <00:19.000>big big <00:19.500>lobster <00:00:20.000>claw\n",
        "karaoke.vtt",
    )
    first, second = transcript.cues
    assert first.text == "When the moon hits your eye"
    assert [word.text for word in first.words] == first.text.split()
    assert [word.start for word in first.words if word.text in ("When", "hits")] == [16.5, 17.5]
    assert first.words[-1].end == 18.5
    assert [(w.text, w.start) for w in second.words if w.text in ("lobster", "claw")] == [
        ("lobster", 19.5),
        ("claw", 20.0),
    ]


def test_inner_times_that_run_backwards_are_not_used(read_as: ReadAs) -> None:
    transcript = read_as("WEBVTT\n\n00:01.000 --> 00:04.000\none <00:03.000>two <00:02.000>three\n", "k.vtt")
    assert transcript.cues[0].words == ()
    assert transcript.cues[0].text == "one two three"
    assert severities(transcript) == [(3, "noted")]


def test_ruby_gloss_is_left_out_and_noted(read_as: ReadAs) -> None:
    transcript = read_as("WEBVTT\n\n00:01.000 --> 00:02.000\n<ruby>\u87f9<rt>crab</rt></ruby> here\n", "r.vtt")
    assert texts(transcript) == ["\u87f9 here"]
    assert severities(transcript) == [(3, "noted")]


def test_header_text_and_timestamp_map(read_as: ReadAs) -> None:
    """X-TIMESTAMP-MAP: RFC 8216, section 3.5. A cue under the header: web-platform-tests, header-timings."""
    transcript = read_as(
        "WEBVTT dive seven, first part\nKind: captions\nX-TIMESTAMP-MAP=LOCAL:00:00:00.000,MPEGTS:900000\n"
        "00:00:01.000 --> 00:00:02.000\ntext\n",
        "h.vtt",
    )
    assert rows(transcript) == [(1.0, 2.0, None, "text")]
    assert severities(transcript) == [(3, "noted")]


@pytest.mark.parametrize(
    ("written", "read"),
    [
        # web-platform-tests, webvtt/parsing/cue-text-parsing/dat/entities.dat, the cases both it and today's
        # text ("HTML character reference in data state") agree on; `&nbsp;` is folded to a blank.
        ("a&", "a&"),
        ("a&amp;", "a&"),
        ("a&lt;", "a<"),
        ("&gt;", ">"),
        ("a&lrm;b", "a\u200eb"),
        ("a&rlm;b", "a\u200fb"),
        ("a&nbsp;b", "a b"),
        ("&&", "&&"),
        ("&1;", "&1;"),
        ("&<c", "&<c"),
        ("&;", "&;"),
        ("&AMP;lt;", "&lt;"),
        ("&amp;lt;", "&lt;"),
        ("&#8212; &#x2014;", "\u2014 \u2014"),
        ("R&D &copyright", "R&D &copyright"),
    ],
)
def test_character_references(read_as: ReadAs, written: str, read: str) -> None:
    assert texts(read_as(f"WEBVTT\n\n00:01.000 --> 00:02.000\n{written}\n", "e.vtt")) == [read]


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("depth < 5 m > surface", "depth < 5 m > surface"),
        ("<b>bold", "bold"),
        ("a <b.x.y  z>b</b> c", "a b c"),
        ("<unknown>kept text</unknown>", "kept text"),
        ("open <b at the end", "open <b at the end"),
        ("1 < 2 and <i>3</i>", "1 < 2 and 3"),
        ("x<br>y", "x y"),
    ],
)
def test_tags(read_as: ReadAs, written: str, read: str) -> None:
    """Unknown tags go (W3C WebVTT, "cue text parsing rules"); a `<` that opens no tag stays: ours."""
    assert texts(read_as(f"WEBVTT\n\n00:01.000 --> 00:02.000\n{written}\n", "t.vtt")) == [read]


# web-platform-tests, webvtt/parsing/file-parsing/tests/support, timings-{omitted-hours,too-short,too-long}:
# the timings that make a cue there, and those that make none.
VALID = [
    ("00:00.000 --> 00:00:01.000", 1.0),
    ("00:00:00.000 --> 00:01.000", 1.0),
    ("00:00.000 --> 00:01.000", 1.0),
    ("0:00:00.000 --> 00:00:01.000", 1.0),
    ("00:00:00.000 --> 0:00:01.000", 1.0),
    ("000:00:00.000 --> 00:00:01.000", 1.0),
    ("00:00:00.000 --> 000:00:01.000", 1.0),
    ("   00:00:00.000    -->  00:00:01.000 ", 1.0),
    ("\t\t00:00:00.000\t\t-->\t00:00:01.000\t", 1.0),
    ("00:00:00.000-->00:00:01.000", 1.0),
    ("00:00:00.000\f-->\f00:00:01.000", 1.0),
]
INVALID = [
    *("0000:00.000", "00:0:00.000", "00:0000.000", "00:00:0.000", "00:00:00000", "00:00:00.00", "00:00:00.0"),
    *("00:00:00.", "00:00:00", "00:00:0", "00:00:", "00:00", "00:0", "00:", "00", "0", "", "0:00.000"),
    *("0000.000", "00:0.000", "00:00000", "00:00.00", "00:00.0", "00:00.", "0:00.", ":00.", "00.", "0.", "."),
    *("00::00:00.000", "00:000:00.000", "00:00::00.000", "00:00:000.000", "00:00:00..000", "00:00:00.0000"),
    *("00:00.0000", "000:00.000", "00::00.000", "00:000.000", "00:00..000", "00:00:60.000", "00:60:00.000"),
    *("00:00:00.000 -a", "00:00:00.000 --a", "00:00:00.000 -", "-00:00:01.000"),
]


@pytest.mark.parametrize(("timing", "end"), VALID)
def test_timings_of_the_standard(read_as: ReadAs, timing: str, end: float) -> None:
    transcript = read_as(f"WEBVTT\n\n{timing}\ntext\n", "t.vtt")
    assert rows(transcript) == [(0.0, end, None, "text")]
    assert transcript.problems == ()


@pytest.mark.parametrize("stamp", INVALID)
def test_timings_outside_the_standard_never_pass_in_silence(read_as: ReadAs, stamp: str) -> None:
    """A browser drops such a cue; here it is either used and reported as mended, or reported as skipped."""
    content = f"WEBVTT\n\n{stamp} --> 00:00:01.000\nodd\n\n00:00:02.000 --> 00:00:03.000\nsound\n"
    transcript = read_as(content, "t.vtt")
    assert texts(transcript)[-1] == "sound"
    assert transcript.cues_read == 2
    expected = "mended" if len(transcript.cues) == 2 else "skipped"
    assert severities(transcript)[0] == (3, expected)


def test_comma_and_short_fraction_are_mended_to_the_right_time(read_as: ReadAs) -> None:
    transcript = read_as("WEBVTT\n\n00:00:07,250 --> 00:00:08.5\ntext\n", "t.vtt")
    assert rows(transcript) == [(7.25, 8.5, None, "text")]
    assert severities(transcript) == [(3, "mended")]


def test_zero_and_negative_lengths_are_mended(read_as: ReadAs) -> None:
    """web-platform-tests, timings-negative.vtt: a browser keeps the four cues; here each gets a later end."""
    transcript = read_as(
        "WEBVTT\n\n00:00:00.000 --> 00:00:00.000\ntext1\n\n00:00:01.000 --> 00:00:00.999\ntext2\n\n"
        "00:01:00.000 --> 00:00:59.999\ntext3\n\n01:00:00.000 --> 00:59:59.999\ntext4\n",
        "n.vtt",
    )
    assert [(cue.start, cue.text) for cue in transcript.cues] == [
        (0.0, "text1"),
        (1.0, "text2"),
        (60.0, "text3"),
        (3600.0, "text4"),
    ]
    assert all(cue.end > cue.start for cue in transcript.cues)
    assert severities(transcript) == [(3, "mended"), (6, "mended"), (9, "mended"), (12, "mended")]


def test_newlines_of_every_kind(read_as: ReadAs) -> None:
    """web-platform-tests, newlines.vtt: CR, LF and CR LF in one file."""
    transcript = read_as(
        b"WEBVTT\n\ncr\r00:00:00.000 --> 00:00:01.000\rtext1\r\rlf\n00:00:01.000 --> 00:00:02.000\ntext2\n\n"
        b"crlf\r\n00:00:02.000 --> 00:00:03.000\r\ntext3\r\n\r\n",
        "n.vtt",
    )
    assert texts(transcript) == ["text1", "text2", "text3"]
    assert transcript.problems == ()


def test_odd_identifiers(read_as: ReadAs) -> None:
    """web-platform-tests, ids.vtt."""
    blocks = [" leading space", "trailing space ", "-- >", "->", " "]
    content = "".join(f"{name}\n00:0{n}.000 --> 00:0{n + 1}.000\ntext{n}\n\n" for n, name in enumerate(blocks))
    transcript = read_as("WEBVTT\n\n" + content, "i.vtt")
    assert texts(transcript) == [f"text{n}" for n in range(5)]
    assert transcript.problems == ()


def test_an_arrow_ends_a_cue(read_as: ReadAs) -> None:
    """web-platform-tests, arrows.vtt: cues run on without blank lines; lines with a bare arrow make none."""
    names = ["-->", "foo-->", "-->foo", "--->", "-->-->"]
    content = "".join(f"{name}\n00:00:0{n}.000 --> 00:00:0{n + 1}.000\ntext{n}\n" for n, name in enumerate(names))
    transcript = read_as("WEBVTT\n\n" + content, "a.vtt")
    assert texts(transcript) == [f"text{n}" for n in range(5)]
    assert {problem.severity for problem in transcript.problems} == {"skipped"}
    assert [problem.line for problem in transcript.problems] == [3, 6, 9, 12, 15]


def test_a_cue_number_without_its_blank_line_is_no_speech(read_as: ReadAs) -> None:
    transcript = read_as(
        "WEBVTT\n\n1\n00:01.000 --> 00:02.000\nseven hundred\n2\n00:02.000 --> 00:03.000\n782\n", "n.vtt"
    )
    assert texts(transcript) == ["seven hundred", "782"]
    assert severities(transcript) == [(6, "mended")]


def test_a_number_said_in_a_file_without_cue_numbers_stays(read_as: ReadAs) -> None:
    transcript = read_as("WEBVTT\n\n00:01.000 --> 00:02.000\nnumber\n1\n00:02.000 --> 00:03.000\nso\n", "n.vtt")
    assert texts(transcript) == ["number 1", "so"]


def test_text_outside_any_cue_is_reported(read_as: ReadAs) -> None:
    transcript = read_as("WEBVTT\n\n00:01.000 --> 00:02.000\nfirst half\n\nsecond half\n", "s.vtt")
    assert texts(transcript) == ["first half"]
    assert severities(transcript) == [(6, "skipped")]
    assert "second half" in transcript.problems[0].reason
    assert transcript.cues_read == 2


def test_missing_signature_is_mended_in_a_vtt_file(read_as: ReadAs) -> None:
    transcript = read_as("00:01.000 --> 00:02.000\n<v Maud>a crab\n", "n.vtt")
    assert transcript.format == "webvtt"
    assert rows(transcript) == [(1.0, 2.0, "Maud", "a crab")]
    assert severities(transcript) == [(1, "mended")]
