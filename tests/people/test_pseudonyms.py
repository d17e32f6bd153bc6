"""Rows with pseudonyms: what is replaced, what stays, and that places are right, on rows made by hand."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.people import Disguise, RecordingPeople, people_of
from earwitness.pipeline.segment import UTTERANCES
from earwitness.schemas import Problem

from .talk import Told

Speaker = str | None


def row(told: Told, number: int, **others: Any) -> dict[str, Any]:
    """A mention row with what the disguise reads."""
    mention = told.mentions[number]
    utterance = next(u for u in told.doc.spans[UTTERANCES] if u.start <= mention.start < u.end)
    begin = told.doc[mention.start].idx - utterance.start_char
    return {
        "eventID": f"dive:{number}",
        "utteranceText": utterance.text,
        "beginsAt": begin,
        "endsAt": begin + len(mention.text),
        "speaker": None,
        "verbatimIdentification": mention.text,
        "matchedName": mention.best.matched,
        "matchedHow": "exact",
        "scientificName": "Caridea",
        "alternatives": [],
        "status": "observed",
        "certaintyCues": [],
        "cues": [],
    } | others


def disguise(told: Told, rows: list[dict[str, Any]], *more: str) -> Disguise:
    said: RecordingPeople = people_of("dive", told.doc, told.mentions, told.people)
    entries = [*said.entries, *more]
    key = {name.lower(): f"Person {number}" for number, name in enumerate(entries, start=1)}
    return Disguise(said, key, rows)


def test_names_are_replaced_in_all_their_forms(tell: Any) -> None:
    hidden = disguise(tell(("Bertha", "Hello.")), [])
    assert hidden.text("Bertha, BERTHA, bertha's and Bertha’s, not Berthas or Ethelbertha.") == (
        "Person 1, Person 1, Person 1's and Person 1’s, not Berthas or Ethelbertha."
    )


def test_longer_names_first_and_blanks_of_all_kinds(tell: Any) -> None:
    hidden = disguise(tell(("Bertha O'Neil", "Hello.")), [])
    assert hidden.text("Bertha\n O’Neil") == "Person 1"
    assert hidden.text("bertha and O’NEIL") == "Person 2 and Person 3"
    assert hidden.speaker("Bertha O'Neil") == "Person 1"
    assert hidden.speaker(None) is None


def test_codes_are_replaced_as_speakers_alone(tell: Any) -> None:
    hidden = disguise(tell(("S2", "S2 is the second sample.")), [])
    assert hidden.speaker("S2") == "Person 1"
    assert hidden.text("S2 is the second sample.") == "S2 is the second sample."


def test_a_name_that_is_an_everyday_word(tell: Any) -> None:
    told = tell(("Mark", "Will you mark that? Thanks, Mark."), ("Will", "I will. Mark wants it."))
    hidden = disguise(told, [])
    assert hidden.text("Mark that one, mark it well.") == "Person 1 that one, mark it well."
    raw = disguise(tell("thank you mark", "we will mark that"), [])
    assert raw.said.capitals is False
    assert raw.text("we will mark that") == "we will mark that"


def test_a_name_of_another_recording(tell: Any) -> None:
    """It is replaced wherever it is no other word; one that is another word needs its capital."""
    hidden = disguise(tell("A lamp, and nobody has it."), [], "Odile", "Limpet", "Mark", "S1", "Pell")
    assert hidden.text("Odile and odile, S1, Mark it.") == "Person 1 and Person 1, S1, Mark it."
    assert hidden.text("Pell saw a pell.") == "Person 5 saw a pell."


def test_mentions_keep_their_places(tell: Any) -> None:
    told = tell(("Bertha", "Wilhelmina, is that a shrimp, Bertha, or bertha's crab?"), ("Wilhelmina", "A squid."))
    rows = [row(told, number, speaker=speaker) for number, speaker in enumerate(["Bertha", "Bertha", "Wilhelmina"])]
    at = rows[0]["utteranceText"].index("is that")
    # A cue of the utterance before, one of its own, and one of the utterance behind.
    doc_at = told.doc.text.index("A squid") - told.doc.text.index("Wilhelmina")
    rows[1]["cues"] = [
        {"words": "is that", "beginsAt": at, "endsAt": at + 7, "category": "question", "did": "asked", "source": ""},
        {"words": "A", "beginsAt": doc_at, "endsAt": doc_at + 1, "category": "x", "did": "Bertha", "source": ""},
    ]
    rows[2]["cues"] = [
        {
            "words": "is that",
            "beginsAt": at - doc_at,
            "endsAt": at - doc_at + 7,
            "category": "q",
            "did": "",
            "source": "",
        }
    ]
    hidden = disguise(told, rows)
    new = hidden.mentions()
    assert new[0]["utteranceText"] == "Person 2, is that a shrimp, Person 1, or Person 1's crab?"
    assert [r["utteranceText"][r["beginsAt"] : r["endsAt"]] for r in new] == ["shrimp", "crab", "squid"]
    assert [r["speaker"] for r in new] == ["Person 1", "Person 1", "Person 2"]
    own, behind = new[1]["cues"]
    assert new[1]["utteranceText"][own["beginsAt"] : own["endsAt"]] == own["words"] == "is that"
    talk = f"{new[0]['utteranceText']} {new[2]['utteranceText']}"
    assert talk[behind["beginsAt"] : behind["endsAt"]] == behind["words"] == "A"
    assert behind["did"] == "Person 1"
    ahead = new[2]["cues"][0]
    shift = len(new[0]["utteranceText"]) + 1
    assert talk[ahead["beginsAt"] + shift : ahead["endsAt"] + shift] == "is that"


@pytest.mark.parametrize(
    ("others", "text"),
    [
        ({}, "Limpet. And a limpet."),
        ({"status": "person"}, "Person 2. And a limpet."),
        ({"matchedHow": "similar", "eventID": None}, "Person 2. And a limpet."),
        ({"matchedHow": "similar"}, "Limpet. And a limpet."),
    ],
)
def test_an_animals_name_stays_where_it_is_one(others: dict[str, Any], text: str, tell: Any) -> None:
    told = tell(("Bertha", "Thank you Limpet."), ("Bertha", "Limpet. And a limpet."))
    assert told.named == ["Limpet"]
    rows = [row(told, 0, status="person"), row(told, 1, **others), row(told, 2)]
    new = disguise(told, rows).mentions()
    assert new[0]["utteranceText"] == "Thank you Person 2."
    assert new[1]["utteranceText"] == text
    assert new[1]["utteranceText"][new[1]["beginsAt"] : new[1]["endsAt"]] == new[1]["verbatimIdentification"]


def test_the_same_words_at_two_times(tell: Any) -> None:
    """ "Limpet." is the pilot's first and the animal's then: an event has those of its own time."""
    told = tell("Thank you Limpet.", "Limpet.", "A crab.", "Limpet.")
    rows = [row(told, 0, status="person"), row(told, 1, status="person"), row(told, 2), row(told, 3)]
    hidden = disguise(told, rows)
    event = {
        "eventID": "dive:3",
        "transcriptText": "Limpet. | A crab.",
        "speaker": None,
        "verbatimIdentification": "Limpet",
        "previousIdentifications": None,
        "determinations": [],
        "certaintyCues": [],
        "alternatives": [],
        "identificationRemarks": "Reasons given: so says Limpet.",
    }
    late, early = hidden.events(
        [event | {"startTime": 15.0, "endTime": 16.0}, event | {"startTime": 5.5, "endTime": 6}]
    )
    assert late["transcriptText"] == "Limpet. | A crab."
    assert early["transcriptText"] == "Person 1. | A crab."
    assert late["verbatimIdentification"] == "Limpet"
    assert late["identificationRemarks"] == "Reasons given: so says Person 1."


def test_problems_that_quote_the_talk(tell: Any) -> None:
    hidden = disguise(tell(("Bertha", "Hello.")), [])
    problem = hidden.problem(Problem("Bertha.vtt", 3, "no time in 'Bertha: hm'", "a time", "mended"))
    assert problem == Problem("Bertha.vtt", 3, "no time in 'Person 1: hm'", "a time", "mended")


def test_letters_that_are_alike_to_a_pattern_only(tell: Any) -> None:
    hidden = disguise(tell(("Iris Kessi", "Hello.")), [])
    assert hidden.text("\u0130ris, Ke\u017f\u017fi, \u212aessi") == "Person 2, Person 3, Person 3"


PERSON = re.compile(r"Person \d").fullmatch
words = st.sampled_from(["Bertha", "bertha", "crab", "Limpet", "limpets", "thank you", ",", ".", "it's", "Otto’s", "a"])


@given(lines=st.lists(st.lists(words, min_size=1, max_size=8).map(" ".join), min_size=1, max_size=4))
def test_places_cut_the_same_words_in_any_talk(lines: list[str], tell: Any) -> None:
    told = tell(*[("Bertha", line) for line in lines], ("Otto", "Thank you Limpet."))
    rows = [row(told, number) for number in range(len(told.mentions))]
    for before, after in zip(rows, disguise(told, rows).mentions(), strict=True):
        cut = after["utteranceText"][after["beginsAt"] : after["endsAt"]]
        assert cut == after["verbatimIdentification"]
        # What was said as a nickname ("thank you crab") has a pseudonym as a whole.
        assert cut == before["verbatimIdentification"] or PERSON(cut)
        assert "bertha" not in after["utteranceText"].lower()
        assert "Otto" not in after["utteranceText"]
