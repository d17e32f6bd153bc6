"""What people corrected: found in running text before all else, barring what is no name, learned by the next run."""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earwitness.pipeline import draft
from earwitness.pipeline.mention import Mention, find_mentions
from earwitness.schemas import InputError
from earwitness.taxonomy import corrections_path, exact_score, load_corrections
from earwitness.taxonomy.corrections import record, undo

from .listed import Listener, write_checklist
from .test_heard import ENGLISH

BEGAN = datetime(2031, 6, 14, 8, tzinfo=UTC)
Say = Callable[..., None]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "sixty_taxa.corrections.csv"


def say(sea: Listener, file: Path, heard: str, name: str | None, minute: int = 0) -> None:
    """Record that heard words mean a name (None: no taxon)."""
    taxon = sea.index.checklist.taxon(sea.index.checklist.find(name)[0]) if name else None
    record(file, heard, taxon, by="A. Reader", now=BEGAN + timedelta(minutes=minute))


def hear(sea: Listener, file: Path, text: str) -> tuple[Mention, ...]:
    learned = load_corrections(file, sea.index.checklist)
    return find_mentions(sea.doc(text), sea.index, corrections=learned)


def told(sea: Listener, file: Path, text: str) -> list[tuple[str, str, str]]:
    return [(m.text, sea.name(m.best), m.best.how) for m in hear(sea, file, text)]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("we see tricky pony there", "tricky pony"),
        ("We see TRICKY PONY, there.", "TRICKY PONY"),
        ("a tricky, pony", "tricky, pony"),
        ("tricky-pony", "tricky-pony"),
        ("tricky\npony", "tricky\npony"),
    ],
)
def test_corrected_words_are_found_as_they_are_said(sea: Listener, file: Path, text: str, words: str) -> None:
    assert sea.hear(text) == ()
    say(sea, file, "tricky pony", "Chaceon affinis")
    assert told(sea, file, text) == [(words, "Chaceon affinis", "corrected")]
    assert hear(sea, file, text)[0].best.score == exact_score("corrected")


@pytest.mark.parametrize(
    "text", ["That was tricky. Pony next.", "a tricky old pony", "pony tricky", "a tricky ponytail"]
)
def test_other_words_are_not_corrected(sea: Listener, file: Path, text: str) -> None:
    say(sea, file, "tricky pony", "Chaceon affinis")
    assert hear(sea, file, text) == ()


def test_corrected_words_come_before_names_in_them(sea: Listener, file: Path) -> None:
    say(sea, file, "crab on a glass sponge", "Munida")
    assert told(sea, file, "a crab on a glass sponge") == [("crab on a glass sponge", "Munida", "corrected")]
    assert [m.text for m in hear(sea, file, "a crab on the glass sponge")] == ["crab", "glass sponge"]


def test_corrected_words_come_before_phrases_that_are_no_names(sea: Listener, file: Path) -> None:
    assert sea.hear("a bit of dead coral") == ()
    say(sea, file, "dead coral", "Scleractinia")
    assert told(sea, file, "a bit of dead coral") == [("dead coral", "Scleractinia", "corrected")]


def test_the_longest_corrected_words_win(sea: Listener, file: Path) -> None:
    say(sea, file, "pony", "Chaceon")
    say(sea, file, "tricky pony show", "Rossella")
    assert told(sea, file, "one pony, a tricky pony show") == [
        ("pony", "Chaceon", "corrected"),
        ("tricky pony show", "Rossella", "corrected"),
    ]


def test_what_was_said_last_wins_and_the_rest_stays_below(sea: Listener, file: Path) -> None:
    for minute, name in enumerate(["Chaceon affinis", "Munida", "Rossella", "Munida"]):
        say(sea, file, "tricky pony", name, minute)
    (mention,) = hear(sea, file, "a tricky pony")
    assert [sea.name(c) for c in mention.candidates] == ["Munida", "Rossella", "Chaceon affinis"]
    best, *others = (c.score for c in mention.candidates)
    assert best == exact_score("corrected")
    assert all(0 < score < best for score in others)


def test_a_synonym_gives_the_accepted_taxon(sea: Listener, file: Path) -> None:
    say(sea, file, "tricky pony", "Lophelia pertusa")
    assert told(sea, file, "a tricky pony") == [("tricky pony", "Desmophyllum pertusum", "corrected")]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a crab here", "crab"),
        ("a glass sponge here", "glass sponge"),
        ("a leopathies glabberima here", "leopathies glabberima"),
        ("that is chaceon afinis here", "chaceon afinis"),
        ("that is L. glaberrima here", "L. glaberrima"),
    ],
)
def test_words_that_are_no_name_are_no_name(sea: Listener, file: Path, text: str, words: str) -> None:
    assert len(sea.hear(text)) == 1
    say(sea, file, words, None)
    assert hear(sea, file, text) == ()
    assert len(hear(sea, file, f"{text}. Then an octopus.")) == 1


def test_no_name_after_a_name_and_a_name_after_no_name(sea: Listener, file: Path) -> None:
    say(sea, file, "tricky pony", "Munida", 1)
    say(sea, file, "tricky pony", None, 2)
    assert hear(sea, file, "a tricky pony") == ()
    say(sea, file, "tricky pony", "Rossella", 3)
    assert told(sea, file, "a tricky pony") == [("tricky pony", "Rossella", "corrected")]


def test_undo_brings_back_what_was_before(sea: Listener, file: Path) -> None:
    text = "a crab and a tricky pony"
    before = hear(sea, file, text)
    assert [m.text for m in before] == ["crab"]
    say(sea, file, "crab", None, 1)
    say(sea, file, "tricky pony", "Munida", 1)
    assert [m.text for m in hear(sea, file, text)] == ["tricky pony"]
    for words in ("crab", "tricky pony"):
        undo(file, sea.index.checklist, words, now=BEGAN + timedelta(minutes=2))
    assert hear(sea, file, text) == before


def test_a_name_that_is_not_in_the_checklist_changes_nothing(sea: Listener, file: Path) -> None:
    file.write_text("heard,scientificName\ntricky pony,Xenobia nowhere\n", encoding="utf-8")
    assert hear(sea, file, "a tricky pony") == ()
    (problem,) = load_corrections(file, sea.index.checklist).problems
    assert (problem.line, "Xenobia nowhere" in problem.reason) == (2, True)


PLAIN = [word for word in ENGLISH.lower().translate(str.maketrans("", "", ".,?':")).split() if word.isalpha()]


@settings(max_examples=40)
@given(st.integers(0, len(PLAIN) - 1), st.integers(1, 6))
def test_any_words_can_be_corrected(sea: Listener, first: int, count: int) -> None:
    words = PLAIN[first : first + count]
    text = " ".join(PLAIN)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "any.corrections.csv"
        say(sea, file, " ".join(words), "Munida sarsi")
        mentions = [m for m in hear(sea, file, text) if m.best.how == "corrected"]
        assert {m.text for m in mentions} == {" ".join(words)}
        assert {sea.name(m.best) for m in mentions} == {"Munida sarsi"}
        say(sea, file, " ".join(words), None, 1)
        assert not [m for m in hear(sea, file, text) if m.best.how == "corrected"]


@pytest.fixture
def talk(tmp_path: Path) -> tuple[Path, Path]:
    """A transcript and a checklist of one's own."""
    transcript = tmp_path / "talk.vtt"
    transcript.write_text(
        "WEBVTT\n\n00:01.000 --> 00:04.000\nThat is a tricky pony. And an octopus.\n", encoding="utf-8"
    )
    return transcript, write_checklist(tmp_path / "taxa.csv")


def test_the_next_run_learns_at_once_and_says_from_what(sea: Listener, talk: tuple[Path, Path]) -> None:
    transcript, checklist = talk
    before = draft(transcript, checklist)
    assert [event["scientificName"] for event in before.events] == ["Octopoda"]
    assert before.summary["settings"]["corrections"] is None

    file = corrections_path(checklist)
    say(sea, file, "tricky pony", "Chaceon affinis")
    after = draft(transcript, checklist)
    assert [event["scientificName"] for event in after.events] == ["Chaceon affinis", "Octopoda"]
    assert [mention["matchedHow"] for mention in after.mentions] == ["corrected", "exact"]
    assert after.mentions[0]["nameScore"] == exact_score("corrected")
    used = after.summary["settings"]["corrections"]
    assert used == {"path": str(file), "sha256": hashlib.sha256(file.read_bytes()).hexdigest()}

    undo(file, sea.index.checklist, "tricky pony")
    again = draft(transcript, checklist)
    assert again.events == before.events
    assert again.summary["settings"]["corrections"]["sha256"] != used["sha256"]


def test_a_run_takes_the_file_it_is_given(sea: Listener, talk: tuple[Path, Path], file: Path) -> None:
    transcript, checklist = talk
    say(sea, corrections_path(checklist), "tricky pony", "Rossella")
    say(sea, file, "tricky pony", "Munida")
    run = draft(transcript, checklist, corrections=file)
    assert [event["scientificName"] for event in run.events] == ["Munida", "Octopoda"]
    assert run.summary["settings"]["corrections"]["path"] == str(file)


def test_a_run_tells_of_rows_it_cannot_use(talk: tuple[Path, Path]) -> None:
    transcript, checklist = talk
    file = corrections_path(checklist)
    file.write_text("heard,scientificName\ntricky pony,Xenobia nowhere\n", encoding="utf-8")
    run = draft(transcript, checklist)
    assert [event["scientificName"] for event in run.events] == ["Octopoda"]
    assert [(problem.file, problem.line) for problem in run.problems] == [(str(file), 2)]


def test_a_file_that_was_named_has_to_be_there(talk: tuple[Path, Path], tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"no\.csv: no such file"):
        draft(*talk, corrections=tmp_path / "no.csv")
