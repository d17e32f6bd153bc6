"""Whatever is said: names are found in order, inside the Doc."""

from __future__ import annotations

import spacy
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.people import find_people
from earwitness.pipeline.segment import build_language

from .talk import Teller

WORDS = ["thank", "you", "Limpet", "limpet", "Doris", "is", "'s", "console", ",", ".", "can", "a", "our", "pilot", "sp"]
NLP = build_language()
anything = st.one_of(st.text(max_size=80), st.lists(st.sampled_from(WORDS), max_size=25).map(" ".join))


@given(st.lists(anything, max_size=4), st.sampled_from([None, "Doris", "S1", "", "\x00", "Dr. 'O’"]))
def test_names_are_spans_in_order(lines: list[str], speaker: str | None) -> None:
    told = Teller(NLP)(*[(speaker, line) for line in lines])
    at = 0
    for person in told.people:
        assert at <= person.start < person.end <= len(told.doc)
        assert person.name
        at = person.end


@given(anything)
def test_a_bare_doc_needs_no_mentions(text: str) -> None:
    assert find_people(NLP(text)) == find_people(NLP(text))


def test_a_doc_of_a_plain_pipeline() -> None:
    nlp = spacy.blank("en")
    nlp.add_pipe("sentencizer")
    doc = nlp("Thank you Limpet. Doris, can you zoom in?")
    assert [person.name for person in find_people(doc)] == ["Limpet", "Doris"]


def test_names_are_written_as_they_were_first(tell: Teller) -> None:
    told = tell("thank you Limpet", "LIMPET, could you hold there?", "Thanks, Limpet.")
    assert {person.name for person in told.people} == {"Limpet"}
    assert len(told.people) == 3


def test_labels_are_names_from_the_start(tell: Teller) -> None:
    told = tell(("Daphne Vale", "Shall we wait for Vale?"), ("S2", "Daphne has it."), ("Pilot", "The pilot has it."))
    assert told.named == ["Vale", "Daphne"]


def test_a_label_is_no_name_where_an_animal_is_meant(tell: Teller) -> None:
    told = tell(("Coral", "There is coral on the ledge."), ("Robin", "A sea robin."), ("Doris", "That is a Doris."))
    assert told.named == []
    assert told.animals == ["coral", "sea robin", "Doris"]


def test_capitals_throughout_tell_nothing(tell: Teller) -> None:
    told = tell("THANK YOU LIMPET", "LIMPETS EVERYWHERE AND A CRAB", "LIMPET ON THE ROCK")
    assert told.named == ["LIMPET"]
    assert told.animals == ["LIMPETS", "CRAB", "LIMPET"]
