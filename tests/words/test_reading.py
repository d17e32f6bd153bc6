"""Word lists and how they are read: ours, then the user's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from earwitness.pipeline.words import WordRow, word_rows
from earwitness.pipeline.words.phrases import phrase_table, phrases_in
from earwitness.schemas import InputError


def write(folder: Path, text: str, name: str = "substrates.csv") -> Path:
    (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_own_rows_come_after_ours_with_their_file_and_line(tmp_path: Path) -> None:
    own = write(tmp_path, "phrase,substrate,source\n\nmarl,marl,ours\n,,\n glass sand , sand ,ours\n")
    ours, rows = word_rows("substrates"), word_rows("substrates", own)
    assert rows[: len(ours)] == ours
    assert [(row["phrase"], row["substrate"], row.line) for row in rows[len(ours) :]] == [
        ("marl", "marl", 3),
        ("glass sand", "sand", 5),
    ]
    assert {row.file for row in rows[len(ours) :]} == {str(tmp_path / "substrates.csv")}
    assert {row.file for row in ours} == {"substrates.csv"}


def test_columns_in_another_order_with_more_of_them_and_a_byte_order_mark(tmp_path: Path) -> None:
    write(tmp_path, "\ufeffsource,note,substrate,phrase\nours,dry,marl,marl\n")
    assert word_rows("substrates", tmp_path)[-1]["substrate"] == "marl"


def test_quoted_cells_over_two_lines_keep_the_count_of_lines(tmp_path: Path) -> None:
    write(tmp_path, 'phrase,substrate,source\nmarl,marl,"two\nlines"\ntuff,tuff,ours\n')
    assert [row.line for row in word_rows("substrates", tmp_path)[-2:]] == [3, 4]


@pytest.mark.parametrize(
    ("content", "line", "reason"),
    [
        (b"phrase,source\nmarl,ours\n", 1, "column substrate is missing"),
        (b"", 1, "column phrase, substrate, source is missing"),
        (b"phrase,substrate,source\n,marl,ours\n", 2, "the phrase is blank"),
        ("phrase,substrate,source\nk\xe4se,k\xe4se,ours\n".encode("latin-1"), 0, "the text cannot be decoded"),
    ],
)
def test_a_file_that_cannot_be_used_is_refused(tmp_path: Path, content: bytes, line: int, reason: str) -> None:
    (tmp_path / "substrates.csv").write_bytes(content)
    with pytest.raises(InputError, match=reason) as refused:
        word_rows("substrates", tmp_path)
    problem = refused.value.problem
    assert (problem.file, problem.line) == (str(tmp_path / "substrates.csv"), line)
    assert problem.expected


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such folder"):
        word_rows("substrates", tmp_path / "nowhere")


def test_a_row_refuses_what_is_not_known() -> None:
    row = WordRow({"kind": "hard", "low": "deep"}, "mine.csv", 7)
    assert row.one_of("kind", ("hard", "soft")) == "hard"
    with pytest.raises(InputError, match=r"mine\.csv:7: kind 'hard' is not known; expected soft, nothing"):
        row.one_of("kind", ("soft", ""))
    with pytest.raises(InputError, match=r"mine\.csv:7: low 'deep' is no number"):
        row.number("low")


def test_the_longest_phrase_wins_and_none_overlap(tmp_path: Path) -> None:
    write(tmp_path, "phrase,substrate,source\nred sand,red,o\nvery fine old red sand of the upper slope,sand,o\n")
    table = phrase_table("substrates", own=tmp_path)
    said = [
        "a",
        "very",
        "fine",
        "old",
        "red",
        "sand",
        "of",
        "the",
        "upper",
        "slope",
        "then",
        "red",
        "sand",
        "and",
        "mud",
    ]
    found = [(first, last, row["substrate"]) for first, last, row in phrases_in(said, table)]
    assert found == [(1, 10, "sand"), (11, 13, "red"), (14, 15, "mud")]
    assert phrases_in([], table) == []
    assert phrases_in(said, {}) == []


def test_own_phrase_overrides_ours(tmp_path: Path) -> None:
    write(tmp_path, "phrase,substrate,source\nMud,ooze,ours\n")
    assert phrase_table("substrates", own=tmp_path)[("mud",)]["substrate"] == "ooze"
    assert phrase_table("substrates")[("mud",)]["substrate"] == "mud"
