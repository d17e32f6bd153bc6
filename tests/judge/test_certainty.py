"""How sure it sounds: stacked and mixed hedges, modifiers, and the order of published scales."""

from __future__ import annotations

import csv
from importlib.resources import files
from itertools import combinations

import pytest
import spacy
from scipy.stats import kendalltau

from earwitness.pipeline.judge import claim_cues
from earwitness.pipeline.judge.rules import SURENESS

from .talk import Listener

# S. Kent (1964); IPCC guidance note (2010), middles; ICD 203, middles (second-hand); F. Mosteller and C. Youtz (1990),
# medians (second-hand). Percent.
PUBLISHED = {
    "Kent 1964": {
        "almost certain": 93,
        "probable": 75,
        "about even": 50,
        "probably not": 30,
        "almost certainly not": 7,
        "impossible": 0,
    },
    "IPCC 2010": {
        "virtually certain": 99.5,
        "very likely": 95,
        "likely": 83,
        "about as likely as not": 49.5,
        "unlikely": 16.5,
        "very unlikely": 5,
        "exceptionally unlikely": 0.5,
    },
    "ICD 203": {
        "almost certain": 97,
        "very likely": 87.5,
        "likely": 67.5,
        "roughly even": 50,
        "unlikely": 32.5,
        "very unlikely": 12.5,
        "almost no chance": 3,
    },
    "Mosteller and Youtz 1990": {
        "almost certain": 90,
        "very likely": 87.5,
        "likely": 71,
        "probable": 70,
        "possible": 38.5,
        "unlikely": 17,
        "improbable": 12.5,
    },
}
SAME = 2.0
"""Percent below which two published figures say no order (likely 71, probable 70)."""
nlp = spacy.blank("en")


def percent(phrase: str) -> float:
    doc = nlp(phrase)
    (cue,) = claim_cues(doc, 0, len(doc))
    assert cue.rule.certainty is not None
    return 100 * cue.rule.certainty


@pytest.mark.parametrize("scale", PUBLISHED)
def test_our_order_is_the_published_one(scale: str) -> None:
    figures = PUBLISHED[scale]
    for one, other in combinations(figures, 2):
        if abs(figures[one] - figures[other]) > SAME:
            assert (percent(one) > percent(other)) == (figures[one] > figures[other]), (one, other)
    ours = [percent(phrase) for phrase in figures]
    assert kendalltau(ours, list(figures.values())).statistic > 0.9


@pytest.mark.parametrize(
    ("phrase", "of", "half"),
    [
        ("highly probable", "probable", "up"),
        ("very possible", "possible", "up"),
        ("extremely likely", "likely", "up"),
        ("quite possibly", "possibly", "up"),
        ("extremely unlikely", "unlikely", "down"),
        ("highly improbable", "improbable", "down"),
        ("not probable", "probable", "down"),
        ("not possible", "possible", "down"),
        ("not very probable", "probable", "down"),
        ("not definitely", "definitely", "down"),
        ("not improbable", "improbable", "up"),
    ],
)
def test_a_modifier_halves_the_distance_to_the_end(phrase: str, of: str, half: str) -> None:
    """Mosteller and Youtz 1990, as read second-hand."""
    before = percent(of)
    assert percent(phrase) == pytest.approx((100 + before) / 2 if half == "up" else before / 2, abs=0.1)


def test_a_modifier_does_not_leap_over_the_published_word() -> None:
    assert percent("very unlikely") == pytest.approx(12.5), "ICD 203 has it"
    assert percent("extremely unlikely") < percent("unlikely")


@pytest.mark.parametrize(
    ("text", "certainty", "term"),
    [
        ("A crab.", 0.95, "certain"),
        ("Definitely a crab.", 0.98, "certain"),
        ("Pretty sure it might be a crab.", 0.45, "possible"),
        ("I think it's probably a crab.", 0.7, "probable"),
        ("Pretty sure that's a crab.", 0.825, "probable"),
        ("It definitely could be a crab.", 0.45, "possible"),
        ("It's a crab, isn't it?", 0.75, "probable"),
        ("It's a crab, right?", 0.75, "probable"),
        ("I want to say crab.", 0.7, "probable"),
        ("We've been calling these crabs.", 0.825, "probable"),
        ("It has to be a crab.", 0.825, "probable"),
        ("I'd go with crab, whatever the expert says.", 0.45, "possible"),
        ("Crab, question mark.", 0.45, "possible"),
        ("A provisional crab.", 0.7, "probable"),
        ("On form alone, a crab.", 0.7, "probable"),
        ("Not definitely a crab.", 0.49, "possible"),
        ("I'm sixty percent sure it's a crab.", 0.6, "probable"),
        ("Is that a crab?", 0.4, "possible"),
        ("Isn't that a crab?", 0.5, "possible"),
        ("Probably not a crab.", 0.3, "possible"),
        ("That's not a crab.", 0.05, "doubtful"),
        ("A crab or a squid.", 0.45, "possible"),
        ("Munida sp.", 0.95, "certain"),
    ],
)
def test_how_sure_it_sounds(hear: Listener, text: str, certainty: float, term: str) -> None:
    _, _, judgements = hear.judged(text)
    assert (judgements[0].certainty, judgements[0].term) == (pytest.approx(certainty), term)


LADDER = [
    "Definitely a squid.",
    "A squid.",
    "Almost certainly a squid.",
    "It has to be a squid.",
    "Probably a squid.",
    "I think it is a squid.",
    "Maybe a squid.",
    "Possibly a squid.",
    "Unlikely to be a squid.",
    "That's not a squid.",
]


def test_sentences_fall_in_order(hear: Listener) -> None:
    certainties = []
    for text in LADDER:
        _, _, (judgement,) = hear.judged(text)
        assert judgement.certainty is not None
        certainties.append(judgement.certainty)
    assert certainties == sorted(certainties, reverse=True)
    assert len(set(certainties)) == len(LADDER)


def test_every_value_has_a_source_or_a_reason() -> None:
    text = (files("earwitness.pipeline.words") / "claims.csv").read_text(encoding="utf-8")
    known = ("Kent", "ICD 203", "Mosteller and Youtz", "IPCC", "Chapman", "Sigovini", "Horton", "the number as said")
    rows = [row for row in csv.DictReader(text.splitlines()) if row["category"] in SURENESS]
    assert len(rows) > 300
    bare = [
        row["phrase"]
        for row in rows
        if not row["source"].startswith(known) and not row["source"].startswith("common practice, no source: ")
    ]
    assert bare == []


@pytest.mark.parametrize(
    ("text", "status"),
    [
        ("There are maybe fifty urchins on this boulder.", "observed"),
        ("perhaps 30 shrimps in there", "observed"),
        ("Probably a hundred brittle stars.", "hedged"),
        ("Maybe one of the brisingids.", "hedged"),
        ("Maybe urchins, fifty of them.", "hedged"),
        ("Possibly crabs, three of them.", "hedged"),
        ("Roughly, possibly, twenty shrimps.", "hedged"),
    ],
)
def test_doubt_of_a_number_is_no_doubt_of_the_animal(hear: Listener, text: str, status: str) -> None:
    assert hear(text).statuses == [status]
