"""Every word list of ours can be read, means one thing a phrase, and can be met in real text."""

from __future__ import annotations

from collections import Counter
from typing import get_args

import pytest
import spacy

from earwitness.pipeline.judge.cues import SURENESS, Category, Direction, claim_cues, words_of
from earwitness.pipeline.judge.judgement import STATUSES, TALK_ONLY
from earwitness.pipeline.mention.windows import NEIGHBOUR_CLASSES
from earwitness.pipeline.settle.notes import MARKER_TYPES
from earwitness.pipeline.settle.sighting import CountKind
from earwitness.pipeline.settle.turns import Role
from earwitness.pipeline.words import word_rows
from earwitness.schemas.contract import load_schema

PHRASE_OF = {
    "pointing": "phrase",
    "function_words": "word",
    "claims": "phrase",
    "clause_openers": "word",
    "turns": "phrase",
    "quantities": "phrase",
    "markers": "phrase",
    "measurements": "lead",
    "substrates": "phrase",
    "certainty_terms": "term",
    "neighbours": "word",
    "context": "term",
    "subjects": "phrase",
    "not_animals": "phrase",
    "along": "word",
    "modifiers": "phrase",
    "determiners": "word",
    "claim_patterns": "phrase",
    "name_heads": "word",
    "there_are": "phrase",
    "people_frames": "phrase",
    "people_never": "word",
    "given_names": "name",
}
SPOKEN = [
    name
    for name in PHRASE_OF
    if name not in ("certainty_terms", "context", "neighbours", "people_frames", "given_names", "claim_patterns")
]
nlp = spacy.blank("en")


@pytest.mark.parametrize("name", PHRASE_OF)
def test_every_row_has_a_phrase_and_a_source(name: str) -> None:
    rows = word_rows(name)
    assert rows
    assert [row.line for row in rows if not row[PHRASE_OF[name]] or not row["source"]] == []


@pytest.mark.parametrize("name", PHRASE_OF)
def test_no_phrase_stands_twice(name: str) -> None:
    counts = Counter(row[PHRASE_OF[name]].lower() for row in word_rows(name))
    assert [phrase for phrase, times in counts.items() if times > 1] == []


@pytest.mark.parametrize("name", SPOKEN)
def test_every_phrase_is_written_as_it_is_heard(name: str) -> None:
    """A phrase with a contraction or in capitals would never be met: the words of the text are compared in full."""
    deaf = []
    for row in word_rows(name):
        doc = nlp(row[PHRASE_OF[name]])
        if words_of(doc, 0, len(doc))[1] != row[PHRASE_OF[name]].split():
            deaf.append((row.line, row[PHRASE_OF[name]]))
    assert deaf == []


def test_every_claim_is_its_own_longest_cue() -> None:
    lost = []
    for row in word_rows("claims"):
        doc = nlp(row["phrase"])
        cues = claim_cues(doc, 0, len(doc))
        if [(cue.rule.phrase, cue.rule.category) for cue in cues] != [(tuple(row["phrase"].split()), row["category"])]:
            lost.append(row["phrase"])
    assert lost == []


def test_closed_sets() -> None:
    assert {row["category"] for row in word_rows("claims")} == set(get_args(Category))
    assert {row["direction"] for row in word_rows("claims")} == set(get_args(Direction))
    assert {row["role"] for row in word_rows("turns")} == set(get_args(Role))
    assert {row["markerType"] for row in word_rows("markers")} == set(MARKER_TYPES)
    assert {row["kind"] for row in word_rows("quantities")} == {*get_args(CountKind), ""}
    assert {row["measurementType"] for row in word_rows("measurements")} >= {"depth", "heading", "temperature"}


def test_marker_types_are_those_of_the_contract() -> None:
    allowed = load_schema("event")["properties"]["markerType"]["enum"]
    assert set(MARKER_TYPES) == set(allowed) - {None}


def test_bounds_of_certainty() -> None:
    for row in word_rows("claims"):
        if row["category"] in SURENESS:
            assert 0 <= row.number("low") <= row.number("high") <= 1, row["phrase"]
        else:
            assert row["low"] == row["high"] == "", row["phrase"]


def test_talk_only_statuses_have_cues() -> None:
    assert set(STATUSES) >= TALK_ONLY
    assert {row["category"] for row in word_rows("claims")} >= TALK_ONLY - {"compared", "person"} | {"simile"}


def test_terms_fall_from_certain_to_doubtful() -> None:
    rows = word_rows("certainty_terms")
    assert [row["term"] for row in rows] == ["certain", "probable", "possible", "doubtful"]
    bounds = [row.number("from") for row in rows]
    assert bounds == sorted(bounds, reverse=True)
    assert bounds[-1] == 0


def test_quantities_are_numbers_or_words() -> None:
    for row in word_rows("quantities"):
        if row["quantity"]:
            assert row["quantity"].isdecimal() == (row["kind"] != "abundance"), row["phrase"]


def test_measurements_are_bounded() -> None:
    for row in word_rows("measurements"):
        assert row.number("low") < row.number("high"), row["lead"]
        assert row["unit"], row["lead"]


def test_neighbours_are_of_the_classes_that_are_learned() -> None:
    assert {row["class"] for row in word_rows("neighbours")} == set(NEIGHBOUR_CLASSES) - {"none", "other"}


def test_context_is_bounded() -> None:
    for row in word_rows("context"):
        assert row.number("nats") > 0, row["term"]
