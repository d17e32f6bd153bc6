"""CSV and TSV; quoting follows RFC 4180."""

from __future__ import annotations

import pytest

from earwitness.schemas.problems import InputError

from .samples import ReadAs, rows, severities, texts


def test_csv_with_all_columns(read_as: ReadAs) -> None:
    transcript = read_as(
        'id,Start,END,Speaker,Text\n1,1.5,2.5,Maud,"a ""white"" crab, small"\n2,0:03,0:04.5,,"two\nlines"\n',
        "d.csv",
    )
    assert transcript.format == "csv"
    assert rows(transcript) == [(1.5, 2.5, "Maud", 'a "white" crab, small'), (3.0, 4.5, None, "two lines")]
    assert [cue.line for cue in transcript.cues] == [2, 3]
    assert transcript.problems == ()


@pytest.mark.parametrize(
    ("header", "row", "expected"),
    [
        ("startTime\tendTime\ttranscriptText", "1\t2\ta crab", (1.0, 2.0, None, "a crab")),
        ("Begin;Dur;Utterance;Who", "1,5;2;a crab;Iver", (1.5, 3.5, "Iver", "a crab")),
        ("start_ms,end_ms,text", "1500,2500,a crab", (1.5, 2.5, None, "a crab")),
        ("Start (s),End (s),Caption,Name", "1s,2s,a crab,Maud", (1.0, 2.0, "Maud", "a crab")),
        ("time in,time out,speech", "00:00:01.250,00:00:02,a crab", (1.25, 2.0, None, "a crab")),
        ("text,timestamp,stop", "a crab,1e1,11", (10.0, 11.0, None, "a crab")),
    ],
)
def test_headers(read_as: ReadAs, header: str, row: str, expected: tuple[object, ...]) -> None:
    transcript = read_as(f"{header}\n{row}\n", "d.dat")
    assert rows(transcript) == [expected]
    assert transcript.format == ("tsv" if "\t" in header else "csv")


def test_end_is_optional(read_as: ReadAs) -> None:
    transcript = read_as("start,text\n1,one\n4.5,two three four\n", "d.csv")
    assert rows(transcript) == [(1.0, 4.5, None, "one"), (4.5, 5.7, None, "two three four")]
    assert transcript.cues[0].uncertainty == 3.0
    assert transcript.problems == ()


def test_unusable_rows_are_reported(read_as: ReadAs) -> None:
    transcript = read_as(
        "start,end,text\nx,2,lost\n3,4\n\n5,zz,estimated\n6,,no end\n7,7,zero\n"
        "nan,8,lost\n-9,-8,lost\n1e9,2e9,lost\n00:00:01:12,9,lost\n",
        "d.csv",
    )
    assert texts(transcript) == ["estimated", "no end", "zero"]
    assert [line for line, severity in severities(transcript) if severity == "skipped"] == [
        2,
        3,
        8,
        9,
        10,
        11,
    ]
    assert {line for line, severity in severities(transcript) if severity == "mended"} == {5, 6, 7}
    assert transcript.cues_read == 9


def test_unquoted_commas_in_the_last_column_are_text(read_as: ReadAs) -> None:
    transcript = read_as("start,end,text\n1,2,a crab, white, small\n", "d.csv")
    assert texts(transcript) == ["a crab, white, small"]
    assert severities(transcript) == [(2, "mended")]


def test_surplus_cells_elsewhere_are_noted(read_as: ReadAs) -> None:
    transcript = read_as("start,text,end\n1,a crab,2,extra\n", "d.csv")
    assert rows(transcript) == [(1.0, 2.0, None, "a crab")]
    assert severities(transcript) == [(2, "noted")]


def test_a_stray_quote_does_not_swallow_the_rows_after_it(read_as: ReadAs) -> None:
    transcript = read_as('start,end,text\n1,2,"open\n3,4,"a, b"\n5,6,c\n', "d.csv")
    assert texts(transcript) == ["open", "a, b", "c"]
    assert severities(transcript) == [(1, "mended")]


def test_a_header_without_start_or_text(read_as: ReadAs) -> None:
    with pytest.raises(InputError) as caught:
        read_as("a,b,c\n1,2,3\n", "d.csv")
    assert caught.value.problem.line == 1
    assert "start and text" in caught.value.problem.expected


def test_formulas_stay_literal(read_as: ReadAs) -> None:
    transcript = read_as("start,end,text\n1,2,=1+1\n3,4,@cmd <b>x</b> &amp;\n", "d.csv")
    assert texts(transcript) == ["=1+1", "@cmd <b>x</b> &amp;"]
