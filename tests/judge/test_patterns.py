"""The alternatives of `claim_patterns.csv`: written as they are heard, each phrase once, each with its reason."""

from __future__ import annotations

from collections import Counter

import pytest
import spacy

from earwitness.pipeline.judge.cues import SURENESS, claim_cues, words_of
from earwitness.pipeline.judge.rules import alternatives, claim_rules
from earwitness.pipeline.words import word_rows

from .talk import Listener

ROWS = [(row, phrase) for row in word_rows("claim_patterns") for phrase in alternatives(row["phrase"])]
nlp = spacy.blank("en")


def test_what_a_pattern_stands_for() -> None:
    assert set(alternatives("on|close_to the|that")) == {
        ("on", "the"),
        ("on", "that"),
        ("close", "to", "the"),
        ("close", "to", "that"),
    }
    assert set(alternatives("very|most? likely")) == {("very", "likely"), ("most", "likely"), ("likely",)}
    assert list(alternatives("perhaps")) == [("perhaps",)]
    assert list(alternatives("no?")) == [("no",)], "nothing at all is no phrase"


def test_every_phrase_is_written_as_it_is_heard() -> None:
    docs = nlp.pipe(" ".join(phrase) for _, phrase in ROWS)
    heard = [tuple(words_of(doc, 0, len(doc))[1]) for doc in docs]
    assert [phrase for (_, phrase), words in zip(ROWS, heard, strict=True) if words != phrase] == []


def test_no_phrase_stands_twice() -> None:
    counts = Counter(phrase for _, phrase in ROWS)
    counts.update(tuple(row["phrase"].split()) for row in word_rows("claims"))
    assert [phrase for phrase, times in counts.items() if times > 1] == []


def test_every_phrase_is_its_own_longest_cue() -> None:
    lost = []
    for row, phrase in ROWS:
        doc = nlp(" ".join(phrase))
        if [(cue.rule.phrase, cue.rule.category) for cue in claim_cues(doc, 0, len(doc))] != [
            (phrase, row["category"])
        ]:
            lost.append(phrase)
    assert lost == []


def test_bounds_and_reasons() -> None:
    known = ("Kent", "ICD 203", "Mosteller and Youtz", "IPCC", "Chapman", "Sigovini", "Horton", "the number as said")
    for row in word_rows("claim_patterns"):
        if row["category"] in SURENESS:
            assert 0 <= row.number("low") <= row.number("high") <= 1, row["phrase"]
            assert row["source"].startswith((*known, "common practice, no source: ")), row["phrase"]
        else:
            assert row["low"] == row["high"] == "", row["phrase"]
            assert row["source"], row["phrase"]


def test_all_phrases_are_rules() -> None:
    rules = claim_rules(None)
    assert all(phrase in rules[phrase[0]].by_phrase for _, phrase in ROWS)


@pytest.mark.parametrize(
    ("text", "status"),
    [
        ("Think of it as a snail without a shell.", "compared"),
        ("If you were a squid you would hide, too.", "general"),
        ("Somebody asks whether a crab can climb.", "general"),
        ("She studied octopuses for years.", "general"),
        ("My kids love the dumbo octopus.", "general"),
        ("You need a microscope for the snails.", "general"),
        ("If you look left there is a crab.", "observed"),
    ],
)
def test_more_talk_of_kinds(hear: Listener, text: str, status: str) -> None:
    assert hear(text).statuses == [status]
