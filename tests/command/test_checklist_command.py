"""`earwitness checklist` as a user meets it: answers, corrections, and every wrong input that comes to mind."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from threading import Timer
from typing import Any

import pytest

from earwitness.taxonomy import exact_score, load_checklist
from earwitness.taxonomy.corrections import corrections_path, load_corrections
from tests.conftest import Told

RUN = [sys.executable, "-c", "from earwitness.pipeline.command import main; main()"]
HEARD = "chasey on a finneys"


@pytest.fixture
def ask(told: Callable[..., Told], taxa: Path) -> Callable[..., list[dict[str, Any]]]:
    """Candidates for each line, of a call that went well."""

    def run(*words: str, given: bytes = b"", options: tuple[str | Path, ...] = ()) -> list[dict[str, Any]]:
        code, printed, complaint = told("ask", "--checklist", taxa, "--json", *options, "--", *words, given=given)
        assert (code, complaint) == (0, "")
        return [json.loads(line) for line in printed.splitlines()]

    return run


def names(answer: dict[str, Any]) -> list[str]:
    return [candidate["scientificName"] for candidate in answer["candidates"]]


def test_answers_are_one_line_of_json_each(ask: Callable[..., list[dict[str, Any]]]) -> None:
    answers = ask("glass sponges", "", "lophelia pertusa", "42")
    assert [answer["heard"] for answer in answers] == ["glass sponges", "", "lophelia pertusa", "42"]
    assert answers[0]["candidates"][0] == {
        "scientificName": "Hexactinellida",
        "vernacularName": "glass sponge",
        "taxonID": "1",
        "nameScore": exact_score("exact"),
    }
    assert answers[1]["candidates"] == answers[3]["candidates"] == []
    first = answers[2]["candidates"][0]
    assert (first["scientificName"], first["vernacularName"]) == ("Desmophyllum pertusum", None)
    for answer in answers:
        assert list(answer) == ["heard", "candidates"]
        for candidate in answer["candidates"]:
            assert list(candidate) == ["scientificName", "vernacularName", "taxonID", "nameScore"]
            assert 0 <= candidate["nameScore"] <= exact_score("exact")


def test_a_misheard_name_leads_and_the_limit_holds(ask: Callable[..., list[dict[str, Any]]]) -> None:
    (answer,) = ask(HEARD)
    assert names(answer)[0] == "Chaceon affinis"
    scores = [candidate["nameScore"] for candidate in answer["candidates"]]
    assert scores == sorted(scores, reverse=True)
    assert len(set(names(answer))) == len(names(answer))
    (answer,) = ask(HEARD, options=("--limit", "1"))
    assert names(answer) == ["Chaceon affinis"]


def test_a_name_of_two_taxa_is_shared(ask: Callable[..., list[dict[str, Any]]]) -> None:
    (answer,) = ask("squat lobster", options=("--limit", "2"))
    assert names(answer) == ["Munididae", "Munidopsidae"]
    assert [c["nameScore"] for c in answer["candidates"]] == [round(exact_score("exact") / 2, 3)] * 2


def test_lines_of_standard_input(ask: Callable[..., list[dict[str, Any]]], taxa: Path) -> None:
    answers = ask(given="\ufeffglass sponge\r\n\nMüllerina\nchaceon".encode())
    assert [answer["heard"] for answer in answers] == ["glass sponge", "", "Müllerina", "chaceon"]
    assert [names(answer)[:1] for answer in answers] == [["Hexactinellida"], [], ["Müllerina"], ["Chaceon"]]
    assert ask(given=b"") == []


def test_json_is_utf_8_and_not_escaped(taxa: Path) -> None:
    """RFC 8259, section 8.1; whatever encoding the terminal has."""
    run = subprocess.run(
        [*RUN, "checklist", "ask", "--checklist", str(taxa), "--json", "müllerina"],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": "ascii"},
        timeout=300,
    )
    assert run.returncode == 0, run.stderr
    assert "Müllerina" in run.stdout.decode("utf-8")
    assert "œuf" in run.stdout.decode("utf-8")
    assert json.loads(run.stdout)["heard"] == "müllerina"


def test_people_see_names_scores_and_the_caution(told: Callable[..., Told], taxa: Path) -> None:
    code, printed, _ = told("ask", "--checklist", taxa, "glass sponge", "müllerina", "")
    assert code == 0
    assert "Suggestions, not identifications" in printed
    (line,) = (line for line in printed.splitlines() if "Hexactinellida" in line and "0.96" in line)
    assert line.split() == ["0.96", "Hexactinellida", "glass", "sponge", "class"]
    assert "[bold]red[/bold]" in printed
    assert "“”" in printed
    assert "no candidates" in printed


def test_what_was_corrected_leads_from_the_next_question_on(
    told: Callable[..., Told], ask: Callable[..., list[dict[str, Any]]], taxa: Path
) -> None:
    code, printed, _ = told("correct", "--checklist", taxa, "Chasey on a Finney's", "chaceon", "--by", "A. Reader")
    assert code == 0
    assert "Chaceon (2)" in printed.replace("\n", " ")
    (answer,) = ask(HEARD)
    assert answer["candidates"][0]["scientificName"] == "Chaceon"
    assert answer["candidates"][0]["nameScore"] == exact_score("exact")
    assert names(answer).count("Chaceon") == 1
    assert "Chaceon affinis" in names(answer)
    assert "corrected" in told("ask", "--checklist", taxa, HEARD)[1]
    told("correct", "--checklist", taxa, HEARD, "6")
    assert names(ask(HEARD)[0])[:2] == ["Desmophyllum pertusum", "Chaceon"]
    assert names(ask(HEARD, options=("--limit", "1"))[0]) == ["Desmophyllum pertusum"]
    assert told("correct", "--checklist", taxa, HEARD, "--undo")[0] == 0
    assert names(ask(HEARD)[0])[0] == "Chaceon affinis"


def test_words_that_are_no_name(
    told: Callable[..., Told], ask: Callable[..., list[dict[str, Any]]], taxa: Path
) -> None:
    assert told("correct", "--checklist", taxa, HEARD, "--no-name", "--note", "the pilot's name")[0] == 0
    assert ask(HEARD) == [{"heard": HEARD, "candidates": []}]
    assert "names no taxon, as corrected" in told("ask", "--checklist", taxa, HEARD)[1]
    assert told("correct", "--checklist", taxa, HEARD, "--undo")[0] == 0
    assert names(ask(HEARD)[0])[0] == "Chaceon affinis"


def test_a_file_of_corrections_of_ones_own(
    told: Callable[..., Told], ask: Callable[..., list[dict[str, Any]]], taxa: Path, tmp_path: Path
) -> None:
    own = tmp_path / "own.csv"
    assert told("correct", "--checklist", taxa, HEARD, "Chaceon", "--corrections", own)[0] == 0
    assert not corrections_path(taxa).exists()
    assert names(ask(HEARD, options=("--corrections", own))[0])[0] == "Chaceon"
    assert names(ask(HEARD)[0])[0] == "Chaceon affinis"


def test_a_vernacular_of_one_taxon_names_it(told: Callable[..., Told], taxa: Path) -> None:
    assert told("correct", "--checklist", taxa, "read crap", "deep-sea red crabs")[0] == 0
    checklist = load_checklist(taxa)
    (said,) = load_corrections(corrections_path(taxa), checklist).statements
    assert (said.name, said.taxon_id, said.action) == ("Chaceon affinis", "3", "means")


def test_an_everyday_word_gets_a_caution(told: Callable[..., Told], taxa: Path) -> None:
    code, _, complaint = told("correct", "--checklist", taxa, "finish", "Chaceon")
    assert code == 0
    assert "“finish” is an everyday word" in complaint
    assert told("correct", "--checklist", taxa, HEARD, "Chaceon")[2] == ""


def test_corrections_are_listed_newest_first(told: Callable[..., Told], taxa: Path) -> None:
    assert "No corrections in" in told("corrections", "--checklist", taxa)[1]
    assert json.loads(told("corrections", "--checklist", taxa, "--json")[1]) == []
    told("correct", "--checklist", taxa, "[red]one", "Chaceon", "--by", "A. Reader", "--note", "=2, twice")
    told("correct", "--checklist", taxa, "two", "--no-name")
    told("correct", "--checklist", taxa, "[red]one", "--undo")
    code, printed, complaint = told("corrections", "--checklist", taxa)
    assert (code, complaint) == (0, "")
    assert "two" in printed
    assert "names no taxon" in printed
    assert "[red]one" not in printed
    printed = told("corrections", "--checklist", taxa, "--all")[1]
    assert "[red]one" in printed
    assert "taken back" in printed
    listed = json.loads(told("corrections", "--checklist", taxa, "--all", "--json")[1])
    assert [(s["heard"], s["action"], s["stands"]) for s in listed] == [
        ("[red]one", "undo", False),
        ("two", "no name", True),
        ("[red]one", "means", False),
    ]
    assert (listed[2]["scientificName"], listed[2]["taxonID"], listed[2]["note"]) == ("Chaceon", "2", "=2, twice")
    with corrections_path(taxa).open(encoding="utf-8", newline="") as lines:
        assert next(csv.DictReader(lines))["note"] == "'=2, twice"


def test_bad_rows_are_told_and_the_others_used(
    told: Callable[..., Told], taxa: Path, ask: Callable[..., list[dict[str, Any]]]
) -> None:
    rows = f"heard,scientificName\n{HEARD},Chaceon\nwords,Chaseon\n"
    corrections_path(taxa).write_text(rows, encoding="utf-8")
    for arguments in (["corrections"], ["ask", HEARD]):
        code, printed, complaint = told(*arguments, "--checklist", taxa)
        assert code == 0
        assert "taxa.corrections.csv:3: 'Chaseon' is not in the checklist" in complaint
        assert "Chaceon" in printed
    health = told("health", taxa, "--json")[1]
    assert "taxa.corrections.csv:3: 'Chaseon'" in health


def test_health_for_people_and_for_machines(told: Callable[..., Told], taxa: Path) -> None:
    code, printed, complaint = told("health", taxa)
    assert (code, complaint) == (0, "")
    assert "9 taxa, 1 synonyms, 5 vernaculars" in " ".join(printed.split())
    assert "squat lobster" in printed
    todo = " ".join(printed[printed.index("What to do") :].split())
    assert "vernaculars that several taxa share (1):" in todo
    assert "names that stand for several taxa (1):" in todo
    assert "names that cannot be told apart by ear" not in todo
    found = {f["code"]: f for f in json.loads(told("health", taxa, "--json")[1])["findings"]}
    assert found["homonyms"]["items"] == [{"names": ["Talorchestia"], "note": "genus 8, genus 9"}]
    assert "Müllerina (genus)" not in printed
    assert "Müllerina (genus)" in told("health", taxa, "--all")[1]


def test_index_says_what_it_holds(told: Callable[..., Told], taxa: Path) -> None:
    for options in ([], ["--rebuild"]):
        code, printed, _ = told("index", taxa, *options)
        assert code == 0
        assert printed.startswith("10 taxa, ")


def test_answers_come_as_the_lines_do(taxa: Path) -> None:
    """In a process of its own: each answer is there before the next line is given."""
    with subprocess.Popen(
        [*RUN, "checklist", "ask", "--checklist", str(taxa), "--json"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as run:
        assert run.stdin
        assert run.stdout
        assert run.stderr
        # An answer that is held back would leave both sides waiting.
        watch = Timer(240, run.kill)
        watch.start()
        answers = []
        for line in ("glass sponge", "", "chaceon", HEARD):
            run.stdin.write(line.encode() + b"\n")
            run.stdin.flush()
            answers.append(json.loads(run.stdout.readline()))
        run.stdin.close()
        complaint = run.stderr.read()
        assert run.wait() == 0
        watch.cancel()
        assert run.stdout.read() == b""
    assert complaint == b""
    assert [names(answer)[:1] for answer in answers] == [["Hexactinellida"], [], ["Chaceon"], ["Chaceon affinis"]]


@pytest.mark.parametrize("options", [["--json"], []])
def test_a_reader_who_has_had_enough(options: list[str], taxa: Path) -> None:
    with subprocess.Popen(
        [*RUN, "checklist", "ask", "--checklist", str(taxa), *options],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as run:
        assert run.stdout
        run.stdout.close()
        run.stdout = None
        _, complaint = run.communicate(b"glass sponge\n" * 2000, timeout=300)
    assert run.returncode == 0
    assert complaint == b""


def test_a_checklist_with_columns_of_its_own(told: Callable[..., Told], tmp_path: Path) -> None:
    own = tmp_path / "own.csv"
    own.write_text("Latin;said\nChaceon affinis;deep-sea red crab\n", encoding="utf-8")
    columns = ["--column", "Latin=scientificName", "--column", "said=vernacularName"]
    assert told("index", own, *columns)[1].startswith("1 taxa, ")
    assert "1 vernaculars" in told("health", own, *columns)[1]
    assert told("correct", "--checklist", own, "words", "Chaceon affinis", *columns)[0] == 0
    assert "Chaceon affinis" in told("corrections", "--checklist", own, *columns)[1]
    code, printed, _ = told("ask", "--checklist", own, "--json", "words", *columns)
    assert code == 0
    assert names(json.loads(printed)) == ["Chaceon affinis"]
    for arguments in (["index", own], ["health", own], ["ask", "--checklist", own, "a"]):
        code, _, complaint = told(*arguments)
        assert code == 3
        assert "scientificName" in complaint
        code, _, complaint = told(*arguments, "--column", "Latin")
        assert code == 3
        assert "THEIRS=TERM" in complaint
