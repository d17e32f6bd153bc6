"""The learned reader beside the rules: what it overrules, what it leaves alone, and that it gives what it gave."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earwitness.pipeline.judge import STATUSES, judge_by_rules, judge_mentions
from earwitness.pipeline.judge.claim_model import READ_STATUSES, claim_model
from earwitness.pipeline.judge.judgement import TALK_ONLY
from earwitness.pipeline.people import PersonName, find_people
from tests.judge.talk import Listener


def read(hear: Listener, *talk: str, own_words: Path | None = None) -> list[str]:
    doc, mentions, _ = hear.judged(*talk)
    return [
        judgement.status for judgement in judge_mentions(doc, mentions, own_words, find_people(doc, None, mentions))
    ]


@pytest.mark.parametrize(
    ("talk", "status"),
    [
        ("There is a squid in front of us, two metres off, arms spread.", "observed"),
        ("My aunt asks how long an octopus carries her eggs. Four years, in the cold.", "general"),
        ("Folded up like a lobster in a teacup, that ledge.", "compared"),
        ("On the second leg, in March, an octopus took our bait bag.", "recalled"),
        ("Wrong number of arms for an octopus, this.", "denied"),
    ],
)
def test_talk_is_read_by_what_it_says_as_a_whole(hear: Listener, talk: str, status: str) -> None:
    assert read(hear, talk)[0] == status


def test_shares_are_of_one(hear: Listener) -> None:
    doc, mentions, judged = hear.judged("Is that a crab? No, a squat lobster, on a sponge.")
    readings = dict(claim_model().read(doc, mentions, judged))
    assert set(readings) == set(range(len(mentions)))
    for reading in readings.values():
        assert sum(reading.shares) == pytest.approx(1)
        assert len(reading.shares) == len(READ_STATUSES)
        assert 0.1 <= reading.certainty <= 0.95
        assert 0 <= reading.offered <= 1


def test_what_overrules_is_told(hear: Listener) -> None:
    doc, mentions, _ = hear.judged("My aunt asks how long an octopus carries her eggs. Four years, in the cold.")
    (ruled,), (judged,) = judge_by_rules(doc, mentions), judge_mentions(doc, mentions)
    if ruled.status == judged.status:
        pytest.skip("the rules know it by now")
    told = judged.acting[-1]
    assert told.category == "reading"
    assert f"by its phrases it was {ruled.status}" in told.did


def test_a_list_of_the_users_own_stands(hear: Listener, tmp_path: Path) -> None:
    rows = "phrase,category,direction,reach,low,high,source\ni fancy,hedge,both,clause,0.5,0.7,ours\n"
    (tmp_path / "claims.csv").write_text(rows, "utf-8")
    assert read(hear, "I fancy that is a crab.", own_words=tmp_path) == ["hedged"]


def test_a_person_stays_a_person(hear: Listener) -> None:
    doc, mentions, _ = hear.judged("There is a crab on the left.")
    person = PersonName(mentions[0].start, mentions[0].end, "Crab")
    assert [judgement.status for judgement in judge_mentions(doc, mentions, None, (person,))] == ["person"]


@given(st.lists(st.sampled_from(["a crab", "squid", "not", "is that", "like a", "these", "?", ".", "eat", "по", "🦀"])))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_talk_is_judged_soundly_and_twice_alike(hear: Listener, words: list[str]) -> None:
    doc, mentions, _ = hear.judged(" ".join(words))
    judged = judge_mentions(doc, mentions)
    assert judged == judge_mentions(doc, mentions)
    assert len(judged) == len(mentions)
    for judgement in judged:
        assert judgement.status in STATUSES
        assert (judgement.certainty is None) == (judgement.status in TALK_ONLY) == (judgement.term is None)
