"""The word lists of the describe stage can be read, and each phrase can be met."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
import spacy

from earwitness.pipeline.judge.cues import words_of
from earwitness.pipeline.words import word_rows
from earwitness.pipeline.words.terms import RELATIONS
from earwitness.schemas import InputError

from .talk import Listener

LISTS = {
    "sexes_and_stages": "phrase",
    "behaviours": "phrase",
    "vitality": "phrase",
    "colours": "phrase",
    "positions": "phrase",
    "habitats": "phrase",
    "relations": "phrase",
    "characters": "phrase",
    "sizes": "phrase",
    "pointers": "phrase",
    "breaks": "phrase",
    "unasserted": "phrase",
    "after_traits": "word",
}
nlp = spacy.blank("en")


@pytest.mark.parametrize("name", LISTS)
def test_every_phrase_stands_once_with_a_source_as_it_is_heard(name: str) -> None:
    rows = word_rows(name)
    assert [row.line for row in rows if not row["source"]] == []
    assert [phrase for phrase, times in Counter(row[LISTS[name]] for row in rows).items() if times > 1] == []
    deaf = []
    for row in rows:
        doc = nlp(row[LISTS[name]])
        if words_of(doc, 0, len(doc))[1] != row[LISTS[name]].split():
            deaf.append(row[LISTS[name]])
    assert deaf == []


def test_relations_have_two_ends() -> None:
    rows = [row for row in word_rows("relations") if row["kind"]]
    assert {row["kind"] for row in rows} | {row["inverse"] for row in rows} == set(RELATIONS)


def test_lengths_are_those_of_the_agreed_units() -> None:
    """International yard and pound agreement of 1959 (from memory): a yard is 0.9144 m, three feet, 36 inches."""
    cm = {row["phrase"]: row.number("value") for row in word_rows("sizes") if row["role"] == "unit" and row["unit"]}
    assert cm["yard"] == 91.44
    assert cm["foot"] * 3 == pytest.approx(cm["yard"])
    assert cm["inch"] * 36 == pytest.approx(cm["yard"])


@pytest.mark.parametrize(
    ("name", "row", "talk", "told"),
    [
        ("behaviours", "phrase,term,needs,source\nsunbathing,basking,,own", "A crab, sunbathing.", "basking"),
        ("colours", "phrase,term,role,source\npuce,puce,colour,own", "A puce crab.", "puce"),
    ],
)
def test_users_add_words_of_their_own(
    hear: Listener, tmp_path: Path, name: str, row: str, talk: str, told: str
) -> None:
    (tmp_path / f"{name}.csv").write_text(row, encoding="utf-8")
    assert hear(talk).said() == {}
    (said,) = hear(talk, own_words=tmp_path).said().values()
    assert told in said.values()


@pytest.mark.parametrize(
    ("name", "row"),
    [
        ("vitality", "phrase,term,source\nkaput,gone,own"),
        ("relations", "phrase,kind,inverse,source\natop,upon,host of,own"),
        ("colours", "phrase,term,role,source\npuce,puce,hue,own"),
        ("behaviours", "phrase,term,needs,source\nbasking,basking,object,own"),
        ("sizes", "phrase,role,value,unit,source\nfathom,unit,minus two,m,own"),
        ("sizes", "phrase,role,value,unit,source\nfathom,length,1,m,own"),
        ("breaks", "phrase,strength,source\nmeanwhile,9,own"),
        ("characters", "phrase,role,source\nbeak,organ,own"),
    ],
)
def test_rows_that_mean_nothing_are_refused(hear: Listener, tmp_path: Path, name: str, row: str) -> None:
    (tmp_path / f"{name}.csv").write_text(row, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        hear("A crab on a sponge, ten centimetres, you can tell by the eyes.", own_words=tmp_path)
    assert caught.value.problem.file.endswith(f"{name}.csv")
    assert caught.value.problem.line == 2
