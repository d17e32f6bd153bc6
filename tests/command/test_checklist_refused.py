"""`earwitness checklist` given what it cannot use: one clear line, the right exit code, nothing written."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.command.test_checklist_command import RUN, names
from tests.conftest import Told

WRONG = [
    (["ask", "--checklist", "no.csv", "a"], 3, "no.csv: cannot be read"),
    (["ask", "--checklist", ".", "a"], 3, "meta.xml"),
    (["ask", "--checklist", "empty.csv", "a"], 3, "empty.csv: the file is empty"),
    (["ask", "--checklist", "header.csv", "a"], 3, "no row can be used"),
    (["ask", "--checklist", "zeros.csv", "a"], 3, "zero bytes"),
    (["ask", "--checklist", "TAXA", "a", "--corrections", "no.csv"], 3, "no.csv: no such file"),
    (["ask", "--checklist", "TAXA", "a", "--corrections", "."], 3, "cannot be read"),
    (["ask", "--checklist", "TAXA", "a", "--corrections", "header.csv"], 3, "no header of corrections"),
    (["ask", "--checklist", "TAXA", "a", "--limit", "0"], 2, "--limit"),
    (["ask", "--checklist", "TAXA", "a", "--limit", "many"], 2, "--limit"),
    (["ask", "a"], 2, "--checklist"),
    (["health", "no.csv"], 3, "no.csv: cannot be read"),
    (["health", "empty.csv"], 3, "the file is empty"),
    (["health"], 2, "file"),
    (["index", "no.csv"], 3, "no.csv: cannot be read"),
    (["corrections", "--checklist", "no.csv"], 3, "no.csv: cannot be read"),
    (["corrections", "--checklist", "TAXA", "--corrections", "no.csv"], 3, "no.csv: no such file"),
    (["correct", "--checklist", "TAXA", "words", "Chaseon"], 3, "perhaps Chaceon"),
    (["correct", "--checklist", "TAXA", "words", "Talorchestia"], 3, "one of Talorchestia (8), Talorchestia (9)"),
    (["correct", "--checklist", "TAXA", "words", "squat lobster"], 3, "one of Munididae (4), Munidopsidae (5)"),
    (["correct", "--checklist", "TAXA", "words", "x" * 10_000], 3, "is not in the checklist"),
    (["correct", "--checklist", "TAXA", "words", "   "], 3, "is not in the checklist"),
    (["correct", "--checklist", "TAXA", "x" * 10_000, "Chaceon"], 3, "10000 characters are too many"),
    (["correct", "--checklist", "TAXA", "12 ?!", "Chaceon"], 3, "no letters"),
    (["correct", "--checklist", "TAXA", "\ud8ff", "Chaceon"], 3, "unreadable characters"),
    (["correct", "--checklist", "TAXA", "words", "Chaceon", "--corrections", "nowhere/c.csv"], 3, "cannot be written"),
    (["correct", "--checklist", "TAXA", "words", "Chaceon", "--corrections", "header.csv"], 3, "lacks columns"),
    (["correct", "--checklist", "TAXA", "words", "--undo"], 3, "no correction of 'words' stands"),
    (["correct", "--checklist", "TAXA", "words", "Chaceon", "--undo"], 3, "as Chaceon stands"),
    (["correct", "--checklist", "TAXA", "words"], 2, "--no-name"),
    (["correct", "--checklist", "TAXA", "words", "Chaceon", "--no-name"], 2, "--undo"),
    (["correct", "--checklist", "TAXA", "words", "--no-name", "--undo"], 2, "--undo"),
    (["no_such_command"], 2, "no_such_command"),
]


@pytest.mark.parametrize(("arguments", "code", "told_so"), WRONG)
def test_wrong_input_is_one_clear_line(
    arguments: list[str],
    code: int,
    told_so: str,
    taxa: Path,
    tmp_path: Path,
    told: Callable[..., Told],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (tmp_path / "empty.csv").write_bytes(b"")
    (tmp_path / "header.csv").write_text("taxonID,scientificName\n", encoding="utf-8")
    (tmp_path / "zeros.csv").write_bytes(b"scientificName\nIo\0\n")
    before = sorted(path.name for path in tmp_path.iterdir())
    monkeypatch.chdir(tmp_path)
    ended, printed, complaint = told(*[str(taxa) if a == "TAXA" else a for a in arguments])
    assert ended == code
    assert told_so in complaint
    assert "Traceback" not in complaint
    assert printed == ""
    assert sorted(path.name for path in tmp_path.iterdir()) == before
    if code == 3:
        assert len(complaint.strip().splitlines()) == 1


def test_lines_that_cannot_be_used_are_told_of_and_answered(told: Callable[..., Told], taxa: Path) -> None:
    given = b"glass sponge\nca\xe9 \xff\nglass\0sponge\n" + b"x" * 10_000 + b"\nchaceon\n"
    code, printed, complaint = told("ask", "--checklist", taxa, "--json", given=given)
    assert code == 3
    answers = [json.loads(line) for line in printed.splitlines()]
    assert [names(answer)[:1] for answer in answers] == [["Hexactinellida"], [], [], [], ["Chaceon"]]
    assert complaint.splitlines() == [
        "standard input:2: is not UTF-8; expected text in UTF-8",
        "standard input:3: holds zero bytes; expected text in UTF-8",
        "standard input:4: 10000 characters are longer than any name; no candidates; expected up to 200",
        "2 lines could not be used.",
    ]


def test_a_token_too_long_for_a_name_is_no_failure(told: Callable[..., Told], taxa: Path) -> None:
    for arguments, given in ((["--", "x" * 10_000], b""), ([], b"x" * 10_000)):
        code, printed, complaint = told("ask", "--checklist", taxa, "--json", *arguments, given=given)
        assert code == 0
        assert json.loads(printed) == {"heard": "x" * 10_000, "candidates": []}
        assert "longer than any name" in complaint


def test_text_of_another_encoding_does_not_flood_the_terminal(told: Callable[..., Told], taxa: Path) -> None:
    given = ("glass sponge\n" * 50).encode("utf-16")
    code, printed, complaint = told("ask", "--checklist", taxa, "--json", given=given)
    assert code == 3
    assert len(printed.splitlines()) >= 50
    assert len(complaint.splitlines()) <= 10
    assert complaint.splitlines()[-1].endswith("lines could not be used.")


def test_standard_input_that_is_closed(taxa: Path) -> None:
    run = subprocess.run(
        ["sh", "-c", 'exec "$@" <&-', "sh", *RUN, "checklist", "ask", "--checklist", str(taxa)],
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert run.returncode == 3
    assert "standard input: is closed" in run.stderr
    assert "Traceback" not in run.stderr
