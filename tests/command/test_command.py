"""The command line as a user meets it: what it prints, where it writes, how it fails."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from earwitness.pipeline.command import app
from earwitness.pipeline.command.app import COMMANDS, loaded
from earwitness.pipeline.table import FILES
from tests.conftest import Told

RUN = [sys.executable, "-c", "from earwitness.pipeline.command import main; main()"]


def earwitness(*arguments: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run the command in a process of its own, as a shell would."""
    return subprocess.run([*RUN, *map(str, arguments)], capture_output=True, text=True, cwd=cwd, timeout=300)


@pytest.fixture(scope="module")
def drafted(dive: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Result, Path]:
    out = tmp_path_factory.mktemp("drafted")
    arguments = ["draft", str(dive / "clean.vtt"), "--checklist", str(dive / "checklist.csv"), "--out", str(out)]
    return CliRunner().invoke(app, [*arguments, "--start", "2031-08-19T15:20:00Z", "--all"]), out


def test_draft_lists_the_events_and_writes_the_files(drafted: tuple[Result, Path]) -> None:
    result, out = drafted
    assert result.exit_code == 0
    assert sorted(path.name for path in out.iterdir()) == sorted(FILES)
    assert "Scotoplanes" in result.stdout
    assert "unverified" in result.stdout
    first = json.loads((out / "events.jsonl").read_text("utf-8").splitlines()[0])
    assert first["eventDate"].startswith("2031-08-19T15:20:")


def test_draft_json_is_the_run_summary(dive: Path, tmp_path: Path) -> None:
    run = earwitness("draft", dive / "clean.vtt", "--checklist", dive / "checklist.csv", "--out", tmp_path, "--json")
    assert run.returncode == 0
    printed = json.loads(run.stdout)
    assert printed == json.loads((tmp_path / "run.json").read_text("utf-8"))
    assert printed["counts"]["occurrences"] > 20
    assert "not fit for navigation" in printed["caution"]


def test_several_recordings_of_one_name_are_told_apart(dive: Path, tmp_path: Path) -> None:
    twin = tmp_path / "other_dive"
    twin.mkdir()
    (twin / "clean.vtt").write_bytes((dive / "clean.vtt").read_bytes())
    names = [dive / "clean.vtt", twin / "clean.vtt"]
    start = ["--start", "other_dive.clean=2031-08-19T15:20:00Z"]
    run = earwitness("draft", *names, "--checklist", dive / "checklist.csv", "--out", tmp_path / "out", *start)
    assert run.returncode == 0, run.stderr
    rows = [json.loads(line) for line in (tmp_path / "out" / "events.jsonl").read_text("utf-8").splitlines()]
    dated = {(row["recordingID"], row["eventDate"] is not None) for row in rows}
    assert dated == {("quillmere_canyon.clean", False), ("other_dive.clean", True)}
    assert len({row["eventID"] for row in rows}) == len(rows)


def test_score_of_a_run(drafted: tuple[Result, Path], dive: Path, here: Callable[..., Told]) -> None:
    _, out = drafted
    gold = ["--against", dive / "gold_events.csv", "--against", dive / "gold_mentions.csv"]
    code, printed, complaint = here("score", out, *gold, "--json")
    assert code == 0, complaint
    score = json.loads(printed)
    assert 0 < score["events"]["levels"]["genus"]["f1"] <= 1
    assert score["mentions"]["found"] > 0
    assert "genus" in here("score", out, *gold)[1]


@pytest.mark.parametrize(
    ("arguments", "code", "told"),
    [
        (["draft", "no.vtt", "--checklist", "CHECKLIST", "--out", "o"], 3, "no.vtt: no such file"),
        (["draft", "DIVE", "--checklist", "no.csv", "--out", "o"], 3, "no.csv"),
        (["draft", "DIVE", "--out", "o"], 2, "--checklist"),
        (["draft", "DIVE", "--checklist", "CHECKLIST", "--out", "o", "--start", "noon"], 3, "'noon'"),
        (["draft", "DIVE", "--checklist", "CHECKLIST", "--out", "o", "--start", "x=2031-01-01T00:00:00Z"], 3, "'x'"),
        (["draft", "DIVE", "DIVE", "--checklist", "CHECKLIST", "--out", "o"], 3, "two recordings"),
        (["draft", "DIVE", "--checklist", "CHECKLIST", "--out", "o", "--column", "Name"], 3, "THEIRS=TERM"),
        (["draft", "DIVE", "--checklist", "CHECKLIST", "--out", "o", "--model", "no_such"], 3, "no_such"),
        (["draft", "DIVE", "--checklist", "CHECKLIST", "--out", "o", "--corrections", "no.csv"], 3, "no.csv: no such"),
        (["draft", "DIVE", "--checklist", "CHECKLIST", "--out", "o", "--corrections", "DIVE"], 3, "no header"),
        (["draft", "DIVE", "--checklist", "DIVE", "--out", "o"], 3, "scientificName"),
        (["score", "nowhere", "--against", "GOLD"], 3, "run.json"),
        (["score", "nowhere", "--against", "GOLD", "--checklist", "CHECKLIST"], 3, "events.jsonl"),
        (["no_such_command"], 2, "no_such_command"),
    ],
)
def test_wrong_input_is_one_clear_line(
    arguments: list[str],
    code: int,
    told: str,
    dive: Path,
    tmp_path: Path,
    here: Callable[..., Told],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    named = {"DIVE": "clean.vtt", "CHECKLIST": "checklist.csv", "GOLD": "gold_events.csv"}
    ended, _, complaint = here(*[dive / named[a] if a in named else a for a in arguments])
    assert ended == code
    assert told in complaint
    assert not list(tmp_path.iterdir())
    if code == 3:
        assert len(complaint.strip().splitlines()) == 1


def test_wrong_input_in_a_shell_shows_no_traceback(dive: Path, tmp_path: Path) -> None:
    run = earwitness("draft", "no.vtt", "--checklist", dive / "checklist.csv", "--out", "o", cwd=tmp_path)
    assert run.returncode == 3
    assert run.stderr.startswith("earwitness: no.vtt: no such file")
    assert "Traceback" not in run.stderr
    assert run.stdout == ""


def test_strict_stops_at_a_bad_cue_and_the_default_lists_it(
    dive: Path, tmp_path: Path, here: Callable[..., Told]
) -> None:
    talk = tmp_path / "talk.vtt"
    talk.write_text("WEBVTT\n\n00:01 --> oops\nA sponge.\n\n00:05.000 --> 00:08.000\nThat is an octopus.\n")
    arguments = ["draft", talk, "--checklist", dive / "checklist.csv", "--out", tmp_path / "out"]
    code, _, complaint = here(*arguments, "--strict")
    assert code == 3
    assert "talk.vtt:3" in complaint
    assert not (tmp_path / "out").exists()
    code, printed, _ = here(*arguments)
    assert code == 0
    assert "could not be used" in printed
    problems = (tmp_path / "out" / "problems.csv").read_text("utf-8")
    assert "talk.vtt,3,skipped" in problems
    assert "octopus" in (tmp_path / "out" / "events.jsonl").read_text("utf-8")


@pytest.fixture
def taught(dive: Path, tmp_path: Path) -> list[str | Path]:
    """Arguments of a draft whose talk has words that nobody would take for a name, and a checklist of one's own."""
    talk = tmp_path / "talk.vtt"
    talk.write_text("WEBVTT\n\n00:01.000 --> 00:04.000\nThat is a tricky pony. And a tricky pony again.\n")
    checklist = tmp_path / "taxa.csv"
    checklist.write_bytes((dive / "checklist.csv").read_bytes())
    return ["draft", talk, "--checklist", checklist, "--out", tmp_path / "out"]


def test_draft_learns_from_the_corrections_beside_the_checklist(
    taught: list[str | Path], tmp_path: Path, here: Callable[..., Told]
) -> None:
    code, printed, complaint = here(*taught)
    assert (code, "0 occurrences" in printed, "as corrected" in printed) == (0, True, False), complaint
    checklist = tmp_path / "taxa.csv"
    assert here("checklist", "correct", "--checklist", checklist, "tricky pony", "Scotoplanes")[0] == 0
    code, printed, complaint = here(*taught)
    assert code == 0, complaint
    assert "1 occurrences" in printed
    assert "2 names as corrected in taxa.corrections.csv." in printed
    summary = json.loads(here(*taught, "--json")[1])
    file = tmp_path / "taxa.corrections.csv"
    sha256 = hashlib.sha256(file.read_bytes()).hexdigest()
    assert summary["settings"]["corrections"] == {"path": str(file), "sha256": sha256}
    assert summary == json.loads((tmp_path / "out" / "run.json").read_text("utf-8"))


def test_draft_takes_a_file_of_corrections(taught: list[str | Path], tmp_path: Path, here: Callable[..., Told]) -> None:
    for heard, file in (("tricky", "taxa.corrections.csv"), ("tricky pony", "mine.csv")):
        options = ["--checklist", tmp_path / "taxa.csv", "--corrections", tmp_path / file]
        assert here("checklist", "correct", *options, heard, "Scotoplanes")[0] == 0
    code, printed, complaint = here(*taught, "--corrections", tmp_path / "mine.csv")
    assert code == 0, complaint
    assert "2 names as corrected in mine.csv." in printed
    rows = [json.loads(line) for line in (tmp_path / "out" / "mentions.jsonl").read_text("utf-8").splitlines()]
    assert [row["verbatimIdentification"] for row in rows] == ["tricky pony"] * 2
    assert {row["matchedHow"] for row in rows} == {"corrected"}


def test_text_of_a_transcript_cannot_draw_on_the_terminal(dive: Path, tmp_path: Path) -> None:
    """Markup and control sequences in a transcript or a file name are shown as text."""
    talk = tmp_path / "[red]talk.vtt"
    talk.write_text("WEBVTT\n\n00:01.000 --> 00:04.000\nThat is an [bold]octopus[/bold] \x1b[31mred.\n")
    run = earwitness("draft", talk, "--checklist", dive / "checklist.csv", "--out", tmp_path / "out")
    assert run.returncode == 0, run.stderr
    assert "[red]talk" in run.stdout
    assert "\x1b" not in run.stdout


def test_demo_runs_anywhere(tmp_path: Path) -> None:
    run = earwitness("demo", cwd=tmp_path)
    assert run.returncode == 0, run.stderr
    for captions in ("clean", "heard"):
        assert (tmp_path / "earwitness_demo" / captions / "events.csv").stat().st_size > 1000
    assert "invented" in run.stdout
    assert "unverified" in run.stdout


def test_version_is_the_packages() -> None:
    from importlib.metadata import version

    assert CliRunner().invoke(app, ["--version"]).stdout.strip() == f"earwitness {version('earwitness')}"


NEEDS = """
import sys
from earwitness.pipeline.command import main
try:
    main()
finally:
    print(*sorted({"spacy", "pandas", "polars", "scipy", "fastapi"} & set(sys.modules)), file=sys.stderr)
"""


@pytest.mark.parametrize(
    ("arguments", "needed"),
    [
        ("--help", ""),
        ("--version", ""),
        ("review --help", ""),
        ("explain --help", "polars"),
        ("publish --help", "polars scipy"),
        ("take-back --help", "polars scipy"),
        ("checklist --help", "polars scipy"),
    ],
)
def test_a_command_waits_for_nothing_that_it_does_not_need(arguments: str, needed: str) -> None:
    run = subprocess.run([sys.executable, "-c", NEEDS, *arguments.split()], capture_output=True, text=True, check=True)
    assert run.stderr.strip() == needed
    assert run.stdout


@pytest.mark.parametrize(("name", "line"), [(name, line) for name, (_, line) in COMMANDS.items()])
def test_the_list_of_commands_says_what_each_says_of_itself(name: str, line: str) -> None:
    command = loaded(name)
    assert command.name == name
    assert " ".join(command.help.split("\n\n")[0].split()) == line
    assert line in " ".join(CliRunner().invoke(app, ["--help"], env={"COLUMNS": "200"}).stdout.split())
