"""Figures on claims: a dive worked by hand, each figure on its own, and order agreement against SciPy."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import kendalltau

from earwitness.pipeline.judge import STATUSES as JUDGED
from earwitness.pipeline.score import Rates, score_claims, score_events, score_mentions
from earwitness.pipeline.score.claims import RANK, ChainScore, FalseRows, OrderScore, order_agreement
from earwitness.pipeline.score.figures import CERTAINTY_TERMS, GOLD_STATUSES, STATUSES

from .fake import FakeChecklist, event_row, gold_event, gold_mention, mention_row

LIST = FakeChecklist()

GOLD = (
    gold_event("g1", 0, 10, "Desmophyllum pertusum", count="3"),
    gold_event("g2", 20, 30, "Solenosmilia", certainty="probable", count="many"),
    gold_event("g3", 40, 50, "Farrea", certainty="possible"),
    gold_event("g4", 60, 70, "Porifera", certainty="doubtful", is_occurrence=False),
    gold_event("g5", 80, 90, "Scleractinia", count="1"),
    gold_event("g6", 200, 210, "Porifera", certainty="doubtful", is_occurrence=False),
)
RUN = (
    event_row(1, 9, "Lophelia pertusa", individualCount=3, certainty=0.95),  # g1, by its synonym
    event_row(12, 13, "Desmophyllum", certainty=0.9),  # g1 again, within 5 s
    event_row(21, 29, "Solenosmilia variabilis", individualCount=2, certainty=0.6),  # g2, too specific
    event_row(41, 49, "Farrea", certainty=0.6),  # g3
    event_row(61, 69, "Farrea", certainty=0.3),  # g4, which is no occurrence
    event_row(120, 121, "Porifera", certainty=0.95),  # nothing there
    event_row(5, 6, None, recordKind="marker"),
)
MENTIONS = (
    # Three names for g1, but one is a simile and one is a synonym's accepted name again.
    gold_mention(0, 3, "like a glass sponge", "Farrea", event="g1", status="compared", certainty=None),
    gold_mention(3, 6, "Lophelia", "Desmophyllum pertusum", event="g1"),
    gold_mention(6, 10, "Lophelia pertusa", "Lophelia pertusa", event="g1"),
    # A chain that the run ended too low, one it ended right, one it missed; and two that were withdrawn.
    gold_mention(20, 25, "stony coral", "Scleractinia", event="g2"),
    gold_mention(25, 30, "Solenosmilia", "Solenosmilia", event="g2", certainty="probable", status="hedged"),
    gold_mention(40, 44, "coral", "Anthozoa", event="g3", status="denied", certainty="doubtful"),
    gold_mention(44, 50, "Farrea", "Farrea", event="g3", certainty="possible", status="asked"),
    gold_mention(60, 65, "sponge", "Porifera", event="g4"),
    gold_mention(65, 70, "Farrea", "Farrea", event="g4", status="denied", certainty="doubtful"),
    gold_mention(80, 85, "cup coral", "Desmophyllum", event="g5"),
    gold_mention(85, 90, "stony coral", "Scleractinia", event="g5"),
    gold_mention(200, 205, "sponge", "Porifera", event="g6"),
    gold_mention(205, 210, "Farrea", "Farrea", event="g6", status="denied", certainty="doubtful"),
    # Named in talk that is of no event.
    gold_mention(300, 305, "Solenosmilia", "Solenosmilia", status="general", certainty=None),
)
HEARD = (
    mention_row(3, 6, "Lophelia", "Desmophyllum pertusum", certainty=0.95),
    mention_row(25, 30, "Solenosmilia", "Solenosmilia", certainty=0.8, status="hedged"),
    mention_row(44, 50, "Farrea", "Farrea", certainty=0.4, status="asked"),
    mention_row(65, 70, "Farrea", "Farrea", certainty=0.4, status="denied"),
    mention_row(300, 305, "Solenosmilia", "Solenosmilia", certainty=None, status="general"),
)


@pytest.fixture(scope="module")
def worked():
    events, mentions = score_events(RUN, GOLD, LIST), score_mentions(HEARD, MENTIONS, LIST)
    return score_claims(events, mentions, MENTIONS, LIST)


def test_sighting_with_the_right_name(worked):
    # Right: g1 and g3. Six occurrence rows; g1, g2, g3 and g5 should be recorded.
    assert worked.sighting == Rates(2, 6, 4)
    assert worked.sighting.f1 == pytest.approx(2 * 2 / (6 + 4))


def test_rows_that_are_no_sighting(worked):
    # g4's row, the second row beside g1, and the one where nothing is.
    assert worked.false_rows == FalseRows(rows=6, not_occurrence=1, repeated=1, invented=1)
    assert worked.to_json()["falseRows"]["falseShare"] == pytest.approx(3 / 6)


def test_a_row_of_another_animal_beside_a_gold_event_is_invented():
    gold = [gold_event("g1", 0, 10, "Desmophyllum pertusum")]
    rows = [event_row(0, 10, "Desmophyllum pertusum"), event_row(2, 3, "Farrea")]
    false = score_claims(score_events(rows, gold, LIST), None, (), LIST).false_rows
    assert (false.repeated, false.invented) == (0, 1)
    late = [event_row(0, 10, "Desmophyllum pertusum"), event_row(15.001, 16, "Desmophyllum pertusum")]
    false = score_claims(score_events(late, gold, LIST), None, (), LIST).false_rows
    assert (false.repeated, false.invented) == (0, 1)


def test_chains(worked):
    # Chains: g2 (too low), g3 (right), g5 (missed); g1's names are one taxon. Withdrawn: g4 (recorded), g6 (left out).
    assert worked.chains == ChainScore(chains=3, right=1, withdrawn=2, left_out=1)
    made = worked.to_json()["chains"]
    assert (made["rightShare"], made["leftOutShare"]) == (pytest.approx(1 / 3), pytest.approx(1 / 2))


def test_counts(worked):
    # Asked: 3, many, 1. Only g1's is the very same.
    assert worked.to_json()["countRight"] == {"right": 1, "asked": 3, "rightShare": pytest.approx(1 / 3)}


def test_order_of_certainty(worked):
    # Events with related names: (0.95, certain), (0.6, probable), (0.6, possible).
    # Of 3 pairs of pairs 2 are in order and 1 is a tie of the run's: tau-b = 2 / sqrt(2 * 3).
    assert worked.event_order == OrderScore(3, pytest.approx(2 / math.sqrt(6)))
    # Mentions: (0.95, certain), (0.8, probable), (0.4, possible), (0.4, doubtful); the general one states nothing.
    # Of 6 pairs of pairs 5 are in order and 1 is a tie of the run's: tau-b = 5 / sqrt(5 * 6).
    assert worked.mention_order == OrderScore(4, pytest.approx(5 / math.sqrt(30)))


def test_status(worked):
    assert worked.status_f1 == 1


@given(st.lists(st.tuples(st.sampled_from([0.1, 0.35, 0.35001, 0.7, 0.95]), st.sampled_from(CERTAINTY_TERMS))))
def test_order_is_kendalls_and_none_where_it_is_not_defined(pairs):
    found = order_agreement([*pairs, (None, "certain"), (0.5, None)])
    assert found.pairs == len(pairs)
    run, gold = [run for run, _ in pairs], [gold for _, gold in pairs]
    if len(set(run)) < 2 or len(set(gold)) < 2:
        assert found.tau is None
        return
    # By definition: pairs in order less pairs out of order, over the root of those untied on either side.
    signs = [
        ((a > b) - (a < b), (RANK[x] > RANK[y]) - (RANK[x] < RANK[y]))
        for i, (a, x) in enumerate(pairs)
        for b, y in pairs[:i]
    ]
    untied = sum(s != 0 for s, _ in signs) * sum(t != 0 for _, t in signs)
    assert found.tau == pytest.approx(sum(s * t for s, t in signs) / math.sqrt(untied))
    assert found.tau == pytest.approx(kendalltau(run, [RANK[term] for term in gold]).statistic)


def test_surer_words_come_higher():
    assert order_agreement([(0.9, "certain"), (0.7, "probable"), (0.4, "possible"), (0.1, "doubtful")]).tau == 1
    assert order_agreement([(0.1, "certain"), (0.9, "doubtful")]).tau == -1


def test_persons_and_figures_beside_gold_are_wrong_and_alone_are_nothing():
    gold = [gold_mention(0, 4, "robin", "Farrea"), gold_mention(10, 14, "Farrea", "Farrea")]
    rows = [
        mention_row(0, 4, "robin", "Farrea", status="person", certainty=None),
        mention_row(10, 14, "Farrea", "Farrea"),
        mention_row(30, 31, "Farrea", "Farrea", status="figure", certainty=None),
        mention_row(40, 41, "Farrea", "Farrea", status="person", certainty=None),
        mention_row(50, 51, "Farrea", "Farrea"),
    ]
    score = score_mentions(rows, gold, LIST)
    # The last row is made up; the two before it are not.
    assert score.detection == score.name == Rates(2, 3, 2)
    assert score.set_aside == {"figure": 1, "person": 1}
    assert [pair.run["startTime"] for pair in score.pairs if pair.gold is None] == [50]
    # Gold: observed twice; run: person, observed. The mean is over gold's statuses, so over "observed" alone: 2/3.
    assert score.status.macro.f1 == pytest.approx(2 / 3)
    assert score.status.micro.f1 == pytest.approx(1 / 2)


def test_of_two_rows_alike_the_one_that_claims_an_animal_is_taken():
    gold = [gold_mention(0, 4, "robin", "Farrea")]
    person = mention_row(0, 4, "robin", "Farrea", status="person", mentionID="a")
    animal = mention_row(0, 4, "the robin", "Farrea", mentionID="b")
    for rows in ([person, animal], [animal, person]):
        score = score_mentions(rows, gold, LIST)
        assert score.detection == Rates(1, 1, 1)
        assert score.status.micro.f1 == 1


def test_the_closed_sets_hang_together():
    assert list(STATUSES) == [*GOLD_STATUSES, "person", "figure"] == list(JUDGED)
    assert sorted(CERTAINTY_TERMS, key=RANK.__getitem__) == ["doubtful", "possible", "probable", "certain"]


def test_without_gold_of_a_kind_its_figures_are_none():
    events, mentions = score_events(RUN, GOLD, LIST), score_mentions(HEARD, MENTIONS, LIST)
    without = score_claims(events, None, (), LIST).to_json()
    assert (without["chains"], without["statusMacroF1"], without["certaintyOrder"]["mentions"]) == (None, None, None)
    assert without["sighting"]["correct"] == 2
    only = score_claims(None, mentions, MENTIONS, LIST).to_json()
    assert [only[key] for key in ("sighting", "falseRows", "chains", "countRight")] == [None] * 4
    assert only["certaintyOrder"]["mentions"]["pairs"] == 4
    nothing = score_claims(score_events([], [], LIST), score_mentions([], [], LIST), [], LIST)
    assert nothing.to_json()["falseRows"]["falseShare"] is None
    assert "NaN" not in json.dumps(nothing.to_json())
