"""Mention scores: a hand-worked talk, who is matched with whom, statuses."""

from __future__ import annotations

import json

import pytest

from earwitness.pipeline.score import Agreement, GoldMention, Rates, score_mentions
from earwitness.pipeline.score.mentions import likeness

from .fake import FakeChecklist, gold_mention, mention_row, row_of_mention

LIST = FakeChecklist()

GOLD = (
    gold_mention(0, 4, "stony coral", "Scleractinia"),
    gold_mention(0, 4, "Lophelia", "Desmophyllum pertusum", status="hedged", certainty="probable", line=3),
    gold_mention(10, 14, "Farrea", "Farrea", status="asked", certainty="possible"),
    gold_mention(20, 24, "like a sponge", "Porifera", status="compared", certainty=None),
    gold_mention(30, 34, "Solenosmilia", "Solenosmilia"),
    GoldMention("9", 30, 34, "marker", "on bottom"),
)
RUN = (
    mention_row(1, 2, "low failure", "Desmophyllum pertusum", status="observed", certaintyTerm="probable"),
    mention_row(0, 1, "stony coral", "Cnidaria"),
    mention_row(11, 12, "Farrea", "Farrea", status="asked", certaintyTerm="certain"),
    mention_row(21, 22, "sponge", "Porifera", status="compared", certaintyTerm=None),
    mention_row(31, 32, "cookies", "Animalia", eventID=None),  # an ancestor of anything, so it is coarse, not wrong
    mention_row(60, 61, "Farrea", "Farrea"),
)


@pytest.fixture(scope="module")
def worked():
    return score_mentions(RUN, GOLD, LIST)


def test_worked_rates(worked):
    # Five sightings, six mentions; the one at 60 s has nothing beside it.
    # Same taxon: Desmophyllum pertusum, Farrea, Porifera.
    assert worked.detection == Rates(5, 6, 5)
    assert worked.name == Rates(3, 6, 5)
    assert worked.right_or_ancestor == Rates(5, 6, 5)
    assert worked.agreements[Agreement.SAME_TAXON] == 3
    assert worked.agreements[Agreement.ANCESTOR] == 2
    assert worked.passed_by == {"marker": 1}
    made = worked.to_json()
    assert (made["found"], made["missed"], made["spurious"]) == (5, 0, 1)


def test_worked_status(worked):
    # Gold: observed 2, hedged, asked, compared. The hedged one was taken as observed.
    observed = worked.status.rates("observed")
    assert observed == Rates(2, 3, 2)
    assert worked.status.rates("hedged") == Rates(0, 0, 1)
    assert worked.status.micro.f1 == pytest.approx(4 / 5)
    # F1 by status that occurs: observed 4/5, hedged 0, asked 1, compared 1.
    assert worked.status.macro.f1 == pytest.approx((4 / 5 + 0 + 1 + 1) / 4)
    # Precision of hedged is a share of nothing and left out: observed 2/3, asked 1, compared 1.
    assert worked.status.macro.precision == pytest.approx((2 / 3 + 1 + 1) / 3)


def test_worked_certainty(worked):
    # certain/certain twice, probable/probable, possible/certain; compared states none on either side.
    assert worked.certainty.counts == ((2, 0, 0, 0), (0, 1, 0, 0), (1, 0, 0, 0), (0, 0, 0, 0))
    assert worked.certainty.neither == 1


def test_gold_against_itself_is_perfect():
    sightings = [mention for mention in GOLD if mention.kind == "sighting"]
    score = score_mentions([row_of_mention(mention) for mention in sightings], GOLD, LIST, tolerance=0)
    for rates in (
        score.detection,
        score.name,
        score.right_or_ancestor,
        score.status.micro,
        score.certainty.micro,
    ):
        assert (rates.precision, rates.recall, rates.f1) == (1, 1, 1)
    assert score.status.macro.f1 == 1


def test_nothing_on_either_side():
    nothing = score_mentions([], [], LIST)
    assert (nothing.detection.precision, nothing.detection.recall, nothing.detection.f1) == (None, None, None)
    silent = score_mentions([], GOLD, LIST)
    assert (silent.detection.precision, silent.detection.recall) == (None, 0)
    alone = score_mentions(RUN, [], LIST)
    assert (alone.detection.precision, alone.detection.recall) == (0, None)
    assert "NaN" not in json.dumps(nothing.to_json())


def test_two_animals_in_one_breath_are_missed_and_spurious_not_a_wrong_name():
    gold = [gold_mention(0, 4, "glass sponge", "Farrea")]
    score = score_mentions([mention_row(1, 2, "cup coral", "Desmophyllum dianthus")], gold, LIST)
    assert score.detection == Rates(0, 1, 1)


def test_alike_words_are_found_with_a_wrong_name_or_none():
    gold = [gold_mention(0, 4, "Solenosmilia", "Solenosmilia")]
    for name in ("Farrea", None):
        score = score_mentions([mention_row(1, 2, "solo smelia", name)], gold, LIST)
        assert score.detection == Rates(1, 1, 1)
        assert score.name.correct == 0


def matched(rows, gold):
    return {pair.gold.line: pair.run["mentionID"] for pair in score_mentions(rows, gold, LIST).pairs}


def test_the_name_comes_before_the_words():
    gold = [
        gold_mention(0, 4, "that branching one", "Desmophyllum pertusum", line=2),
        gold_mention(0, 4, "cup", "Solenosmilia", line=3),
    ]
    # By words "order" is line 2 and "species" line 3; the same genus (line 2) outweighs that.
    rows = [
        mention_row(0, 4, "that branching one", "Scleractinia", mentionID="order"),
        mention_row(0, 4, "cup", "Desmophyllum dianthus", mentionID="species"),
    ]
    assert matched(rows, gold) == {2: "species", 3: "order"}


def test_the_words_come_before_the_time():
    gold = [gold_mention(0, 4, "sponge", "Farrea", line=2), gold_mention(4, 8, "Farrea", "Farrea", line=3)]
    # By time "early" is line 2 and "late" line 3.
    rows = [
        mention_row(0, 4, "Farrea", "Farrea", mentionID="early"),
        mention_row(4, 8, "sponge", "Farrea", mentionID="late"),
    ]
    assert matched(rows, gold) == {2: "late", 3: "early"}


def test_the_time_decides_between_equals():
    gold = [gold_mention(0, 4, "Farrea", "Farrea", line=2), gold_mention(4, 8, "Farrea", "Farrea", line=3)]
    late = mention_row(5, 6, "Farrea", "Farrea", utteranceStart=0, utteranceEnd=8)
    early = mention_row(1, 2, "Farrea", "Farrea", utteranceStart=0, utteranceEnd=8)
    for row, line in ((late, 3), (early, 2)):
        found = [pair for pair in score_mentions([row], gold, LIST).pairs if pair.run]
        assert [pair.gold.line for pair in found] == [line]


@pytest.mark.parametrize(("start", "found"), [(6.0, 1), (6.001, 0)])
def test_tolerance_is_of_the_utterance(start, found):
    gold = [gold_mention(0, 4, "Farrea", "Farrea")]
    row = mention_row(9, 9.5, "Farrea", "Farrea", utteranceStart=start, utteranceEnd=10)
    assert score_mentions([row], gold, LIST, tolerance=2).detection.correct == found
    # Without utterance times the words' own count.
    row = mention_row(start, 9.5, "Farrea", "Farrea", utteranceStart=None, utteranceEnd=None)
    assert score_mentions([row], gold, LIST, tolerance=2).detection.correct == found


def test_likeness():
    assert likeness("Alvini concha", "alviniconcha") == 1
    assert likeness(None, "crab") == likeness("crab", "?") == 0
    # "crab" and "carb" share a longest common subsequence of 3 of 4 letters: 2 * 3 / 8.
    assert likeness("carb", "crab") == pytest.approx(0.75)


def test_alike_names_are_enough_where_the_words_are_not():
    gold = [gold_mention(0, 4, "it", "Novagenus")]
    assert score_mentions([mention_row(0, 4, "that", "Novogenus")], gold, LIST).detection.correct == 1


def test_rows_that_break_the_contract_are_refused():
    with pytest.raises(ValueError, match="'m0' has no number in startTime"):
        score_mentions([mention_row(0, 1, "x", None, startTime="0", mentionID="m0")], [], LIST)
    with pytest.raises(ValueError, match="'seen' is not one of observed"):
        score_mentions([row_of_mention(GOLD[0]) | {"status": "seen"}], GOLD, LIST)
    with pytest.raises(ValueError, match="at least 0"):
        score_mentions([], [], LIST, tolerance=-0.1)
