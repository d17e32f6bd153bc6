"""Markers, spoken measurements, the ground and litter."""

from __future__ import annotations

from pathlib import Path

import pytest

from earwitness.pipeline.settle import Note, take_notes
from earwitness.schemas import InputError
from tests.judge.talk import Heard, Listener


def told(heard: Heard, kind: str) -> list[tuple[str, str]]:
    """Type and words of the notes of a kind."""
    return [(note.type, heard.doc[note.start : note.end].text) for note in heard.notes if note.kind == kind]


@pytest.mark.parametrize(
    ("text", "markers"),
    [
        ("Vehicle in the water.", ["dive_start"]),
        ("We are on bottom.", ["on_bottom"]),
        ("touchdown", ["on_bottom"]),
        ("Leaving the bottom now.", ["off_bottom"]),
        ("Back on deck.", ["dive_end"]),
        ("Take a sample.", ["sample"]),
        ("Grab a frame of that.", ["image"]),
        ("That is a highlight.", ["highlight"]),
        ("Target dropped.", ["target"]),
        ("A picture taken, a sample taken.", ["image", "sample"]),
        # Denied.
        ("We are not on bottom yet.", []),
        ("No sample here.", []),
        ("We never touched the bottom.", []),
        ("Do not take a picture.", []),
        ("We go without a sample.", []),
        ("Not on bottom. On bottom now.", ["on_bottom"]),
        # Nothing of the dive.
        ("A crab on a sponge.", []),
    ],
)
def test_markers(hear: Listener, text: str, markers: list[str]) -> None:
    assert [kind for kind, _ in told(hear(text), "marker")] == markers


def test_a_marker_said_again_at_once_is_one(hear: Listener) -> None:
    assert told(hear("Sample taken.", "The sample is in the bio box."), "marker") == [("sample", "Sample taken")]
    assert len(told(hear("Sample taken.", ("A", "Another sample taken.", 20.0)), "marker")) == 2


def test_what_happens_once_a_dive_is_noted_once_in_a_minute(hear: Listener) -> None:
    said = ("On bottom.", ("B", "Copy, on bottom.", 30.0))
    assert len(told(hear(*said), "marker")) == 1
    assert len(told(hear(*said, ("A", "On bottom.", 90.0)), "marker")) == 2


@pytest.mark.parametrize(
    ("talk", "rank"),
    [
        (["Highlight, rank eight."], 8),
        (["That's a highlight, a nine."], 9),
        (["Highlight.", "Rank three."], 3),
        (["Highlight. Rank three."], 3),
        (["Highlight number ten, a squid."], 10),
        (["A highlight."], None),
        (["Highlight at 1390 metres."], None),
        (["Highlight. We go on along the wall for ten minutes."], None),
    ],
)
def test_rank_of_a_highlight(hear: Listener, talk: list[str], rank: int | None) -> None:
    (note,) = [note for note in hear(*talk).notes if note.type == "highlight"]
    assert note.rank == rank


@pytest.mark.parametrize(
    ("text", "kind", "value", "unit", "words"),
    [
        ("Depth seven hundred and eighty-two metres.", "depth", 782, "m", "Depth seven hundred and eighty-two metres"),
        ("The depth is seventeen eighty-eight.", "depth", 1788, "m", "depth is seventeen eighty-eight"),
        ("depth one three nine zero", "depth", 1390, "m", "depth one three nine zero"),
        ("On bottom at 1390 metres.", "depth", 1390, "m", "at 1390 metres"),
        ("Heading zero four five.", "heading", 45, "deg", "Heading zero four five"),
        ("The heading is 270 degrees.", "heading", 270, "deg", "heading is 270 degrees"),
        ("Temperature three point nine degrees.", "temperature", 3.9, "degC", "Temperature three point nine degrees"),
        ("The temperature is 3.9.", "temperature", 3.9, "degC", "temperature is 3.9"),
        ("Altitude two metres.", "altitude", 2, "m", "Altitude two metres"),
    ],
)
def test_measurements(hear: Listener, text: str, kind: str, value: float, unit: str, words: str) -> None:
    heard = hear(text)
    (note,) = [note for note in heard.notes if note.kind == "measurement"]
    assert (note.type, note.value, note.unit) == (kind, pytest.approx(value), unit)
    assert heard.doc[note.start : note.end].text == words


@pytest.mark.parametrize(
    "text",
    [
        "Heading four hundred degrees.",
        "Depth is twelve thousand metres.",
        "Temperature five hundred degrees.",
        "Range ten centimetres.",
        "Depth ten minutes from now.",
        "The depth is wrong.",
        "We are heading for the wall.",
        "Ten metres away.",
        "Heading home, the crab is two metres off.",
    ],
)
def test_no_measurement(hear: Listener, text: str) -> None:
    assert told(hear(text), "measurement") == []


@pytest.mark.parametrize(
    ("text", "substrates"),
    [
        ("Sand with ripples.", [("sand", "Sand")]),
        ("Dead coral framework on basalt.", [("dead coral framework", "Dead coral framework"), ("basalt", "basalt")]),
        ("A lot of coral rubble and sandy mud.", [("coral rubble", "coral rubble"), ("sandy mud", "sandy mud")]),
        ("A plastic bag and a crab pot.", [("litter", "plastic bag")]),
        ("A crab on a ghost net.", [("litter", "ghost net")]),
        ("Bacterial mats.", [("bacterial mat", "Bacterial mats")]),
        ("A crab on a sponge.", []),
    ],
)
def test_ground_and_litter(hear: Listener, text: str, substrates: list[tuple[str, str]]) -> None:
    assert told(hear(text), "substrate") == substrates


def test_ground_inside_a_name_is_none(hear: Listener, tmp_path: Path) -> None:
    """A word that is part of a mention is no ground, by whatever list."""
    (tmp_path / "substrates.csv").write_text("phrase,substrate,source\nglass,glass,ours\n", encoding="utf-8")
    heard = hear("A glass sponge on glass.", own_words=tmp_path)
    assert told(heard, "substrate") == [("glass", "glass")]
    assert [note.start for note in heard.notes] == [4]


def test_notes_come_in_the_order_of_the_talk(hear: Listener) -> None:
    heard = hear("On bottom, depth 1390 metres, mud and sand, a crab, sample taken.")
    assert [note.type for note in heard.notes] == ["on_bottom", "depth", "mud", "sand", "sample"]
    assert [note.start for note in heard.notes] == sorted(note.start for note in heard.notes)


def test_own_lists_add_and_override(hear: Listener, tmp_path: Path) -> None:
    (tmp_path / "markers.csv").write_text(
        "phrase,markerType,source\npogo done,sample,ours\ntouchdown,target,ours\n", encoding="utf-8"
    )
    (tmp_path / "measurements.csv").write_text(
        "lead,measurementType,unit,measures,low,high,source\nsalinity,salinity,psu,psu|,0,42,ours\n", encoding="utf-8"
    )
    heard = hear("Touchdown.", "Pogo done, salinity thirty-four point nine.", own_words=tmp_path)
    assert [(note.type, note.value, note.unit) for note in heard.notes] == [
        ("target", None, None),
        ("sample", None, None),
        ("salinity", 34.9, "psu"),
    ]


@pytest.mark.parametrize(
    ("name", "text", "reason"),
    [
        (
            "markers.csv",
            "phrase,markerType,source\npogo done,party,ours\n",
            "markerType 'party' is not known; expected dive_start",
        ),
        (
            "measurements.csv",
            "lead,measurementType,unit,measures,low,high,source\nsalinity,salinity,psu,psu|,none,42,ours\n",
            "low 'none' is no number",
        ),
    ],
)
def test_own_lists_are_checked(hear: Listener, tmp_path: Path, name: str, text: str, reason: str) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    heard = hear("Salinity thirty-four.")
    with pytest.raises(InputError, match=reason) as refused:
        take_notes(heard.doc, heard.mentions, tmp_path)
    assert (refused.value.problem.file, refused.value.problem.line) == (str(tmp_path / name), 2)


def test_a_note_says_nothing_it_was_not_told() -> None:
    note = Note("marker", "sample", 0, 1)
    assert (note.value, note.unit, note.rank) == (None, None, None)
