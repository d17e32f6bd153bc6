"""The marked passages keep to their format, and the format says what its README says."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.passages import HELD_OUT
from tests.passages.build import HERE, PassageError, passage_files, read_passages
from tests.unseen.build import CHECKLIST, files, problems, read_names

NAMES = {"Asteroidea": "class", "Brachyura": "infraorder", "Munidopsis": "genus"}
TALK = """
== ledge_03
A: Two [seastars|Asteroidea|observed e1 x2], and is that [a crab|Brachyura|asked e2]?
--
B: [A squat lobster|Munidopsis|observed e2 cf. probable]. [Crabs|Brachyura|general] hide.
e1: Asteroidea|x2
e2: Munidopsis|probable cf.
"""


def read(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "talk.txt"
    path.write_text(text, "utf-8")
    return path


def test_marks_are_read(tmp_path: Path) -> None:
    (script,) = read_passages(read(tmp_path, TALK), NAMES)
    first, second = script.utterances
    assert first.text == "Two seastars, and is that a crab?"
    assert [(g["verbatim"], g["status"], g["event"], g["count"]) for g in first.gold] == [
        ("seastars", "observed", "e1", "2"),
        ("a crab", "asked", "e2", None),
    ]
    assert [g["certainty"] for g in first.gold + second.gold] == ["certain", "possible", "probable", None]
    assert second.gold[0]["attrs"] == {"qualifier": "cf."}
    assert second.start - first.end == 9000
    assert [(e["name"], e["certainty"], e["count"], e["qualifier"]) for e in script.events] == [
        ("Asteroidea", "certain", "2", None),
        ("Munidopsis", "probable", None, "cf."),
    ]
    assert problems(script, NAMES) == []


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("A: a [crab|Brachyura]", "a mention is not"),
        ("A: a [crab|Brachyura|e1]", "has no status"),
        ("A: a [crab|Brachyura|observed e1 sure]", "no such mark as 'sure'"),
        ("crabs everywhere", "neither title, turn, event nor pause"),
    ],
)
def test_a_line_that_cannot_be_read_is_named(tmp_path: Path, line: str, said: str) -> None:
    with pytest.raises(PassageError, match=rf"talk\.txt:2: .*{said}"):
        read_passages(read(tmp_path, f"== one\n{line}\n"), NAMES)


def test_talk_before_the_first_title_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PassageError, match="before the first title"):
        read_passages(read(tmp_path, "A: hello\n"), NAMES)


@pytest.mark.skipif(not CHECKLIST.is_file(), reason="the checklist does not lie beside the checkout")
@pytest.mark.parametrize("path", sorted(HERE.glob("*.txt")), ids=lambda path: path.stem)
def test_every_file_keeps_the_rules_of_the_gold(path: Path) -> None:
    names = read_names(CHECKLIST)
    scripts = read_passages(path, names)
    assert [problem for script in scripts for problem in problems(script, names)] == []
    assert len({script.dive for script in scripts}) == len(scripts) >= 20
    cues = [files(script)["raw.vtt"].count("-->") for script in scripts]
    assert min(cues) > 1
    assert sum(cues) > 600


def test_held_out_files_are_not_among_those_to_learn_from() -> None:
    assert {path.stem for path in passage_files(held_out=True)} == set(HELD_OUT)
    assert not {path.stem for path in passage_files(held_out=False)} & set(HELD_OUT)
