"""The lists of the people stage can be met in real text and mean one thing a phrase."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
import spacy

from earwitness.pipeline.people.frames import frames
from earwitness.pipeline.people.labels import given_names, names_in_label
from earwitness.pipeline.people.said_words import said_words
from earwitness.pipeline.words import word_rows
from earwitness.schemas import InputError

from .talk import Teller

nlp = spacy.blank("en")
LISTS = {"people_frames": "phrase", "people_or_animals": "phrase", "people_never": "word", "people_bounds": "word"}


@pytest.mark.parametrize(("name", "column"), LISTS.items())
def test_every_phrase_is_written_as_it_is_heard(name: str, column: str) -> None:
    deaf = []
    for row in word_rows(name):
        words = row[column].replace("NAME", "Zelda").lower()
        doc = nlp(words)
        if [word.key for word in said_words(doc)] != words.split():
            deaf.append((row.line, row[column]))
    assert deaf == []


@pytest.mark.parametrize(("name", "columns"), [(n, (c,)) for n, c in LISTS.items()] + [("given_names", ("name",))])
def test_no_phrase_stands_twice(name: str, columns: tuple[str, ...]) -> None:
    apart = ("place",) if name == "people_or_animals" else ("side",) if name == "people_bounds" else ()
    counts = Counter(tuple(row[c].lower() for c in (*columns, *apart)) for row in word_rows(name))
    assert [phrase for phrase, times in counts.items() if times > 1] == []


def test_every_frame_is_met_around_a_name(tell: Teller) -> None:
    """A name that is no other word, known from its label, is found in each."""
    lost = []
    for row in word_rows("people_frames"):
        phrase = row["phrase"].replace("NAME", "Zelda")
        if "Zelda" not in tell(("Zelda", phrase)).named:
            lost.append(row["phrase"])
    assert lost == []


def test_sure_frames_make_any_rare_word_a_name(tell: Teller) -> None:
    lost = []
    for row in word_rows("people_frames"):
        if row["capitals"] == "sure" and tell(f"And {row['phrase'].replace('NAME', 'Zubrik')}").named != ["Zubrik"]:
            lost.append(row["phrase"])
    assert lost == []


def test_frames_are_read_with_their_places() -> None:
    assert len(frames()) == len(word_rows("people_frames"))
    assert any(frame.before and frame.after for frame in frames())


def test_given_names_are_names_in_small_letters() -> None:
    assert all(name == name.lower() and name.isalpha() for name in given_names())
    assert given_names()["doris"] is False
    assert given_names()["robin"] is True


@pytest.mark.parametrize(
    ("label", "names"),
    [
        ("Odette", ("Odette",)),
        ("Dr. Odette Vane (pilot)", ("Odette", "Vane")),
        ("ODETTE", ("ODETTE",)),
        ("Jean-Luc O'Hara", ("Jean-Luc", "O'Hara")),
        ("Mark", ("Mark",)),
        ("S1", ()),
        ("SPEAKER_02", ()),
        ("Pilot", ()),
        ("ROV Pilot", ()),
        ("Speaker A", ()),
        ("PI", ()),
        ("Data logger", ()),
        ("", ()),
    ],
)
def test_labels_that_are_names(label: str, names: tuple[str, ...]) -> None:
    assert names_in_label(label) == names


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ("phrase,kind,capitals,raw,bound,source\nthe winch man,titled,sure,sure,,ours\n", "no one place for a name"),
        ("phrase,kind,capitals,raw,bound,source\nbosun NAME,boss,sure,sure,,ours\n", "kind 'boss' is not known"),
        ("phrase,kind,capitals,raw,bound,source\nbosun NAME,titled,often,sure,,ours\n", "capitals 'often'"),
    ],
)
def test_a_wrong_frame_of_ones_own_is_refused(content: str, told: str, tmp_path: Path, tell: Teller) -> None:
    (tmp_path / "people_frames.csv").write_text(content, encoding="utf-8")
    with pytest.raises(InputError, match=r"people_frames\.csv:2") as refused:
        tell("Bosun Zubrik is here.", own=tmp_path)
    assert told in str(refused.value)


def test_frames_of_ones_own(tmp_path: Path, tell: Teller) -> None:
    line = "The bosun Limpet has it."
    assert tell(line).named == []
    (tmp_path / "people_frames.csv").write_text(
        "phrase,kind,capitals,raw,bound,source\nbosun NAME,titled,sure,sure,,ours\n", encoding="utf-8"
    )
    assert tell(line, own=tmp_path).named == ["Limpet"]
