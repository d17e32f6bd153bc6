"""Event scores: a hand-worked dive, the perfect and empty cases, tolerance, occurrences that are none."""

from __future__ import annotations

import json
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from earwitness.pipeline.score import Agreement, Rates, score_events
from earwitness.pipeline.score.names import agreement, place

from .fake import TREE, FakeChecklist, event_row, gold_event, row_of

LIST = FakeChecklist()

GOLD = (
    gold_event("g1", 0, 10, "Desmophyllum pertusum", count="3"),
    gold_event("g2", 20, 30, "Solenosmilia", certainty="probable", count="~20"),
    gold_event("g3", 40, 50, "Scleractinia", count="many"),
    gold_event("g4", 60, 70, "Farrea", certainty="possible"),
    gold_event("g5", 80, 90, "Porifera", certainty="doubtful", is_occurrence=False),
    gold_event("g6", 100, 110, "Desmophyllum dianthus", count="1"),
)
ABOUT_24 = {"organismQuantity": "24", "organismQuantityType": "individuals, approximate"}
MANY = {"organismQuantity": "many", "organismQuantityType": "abundance as spoken"}
RUN = (
    event_row(2, 9, "Lophelia pertusa", individualCount=3),  # g1 by its synonym
    event_row(21, 29, "Solenosmilia variabilis", **ABOUT_24),  # g2, but a species nobody said
    event_row(41, 49, "Anthozoa", **MANY),  # g3, coarser
    event_row(61, 69, "Scleractinia"),  # beside g4, another animal
    event_row(81, 89, "Farrea"),  # g5, which should give no record
    event_row(200, 210, "Desmophyllum"),  # nothing there
    event_row(5, 6, None, recordKind="marker"),
    event_row(5, 6, "Farrea", occurrenceStatus="absent"),
)


@pytest.fixture(scope="module")
def worked():
    return score_events(RUN, GOLD, LIST)


def test_worked_rates(worked):
    # Asked for: g1 g2 g3 g4 g6 (5). Given: six occurrences. Matched with an occurrence: g1 g2 g3 g4.
    # species: run has pertusum, variabilis; gold has pertusum, dianthus; pertusum agrees.
    # genus: run has Desmophyllum twice, Solenosmilia, Farrea (beside g5); gold g1 g2 g4 g6; g1 and g2 agree.
    # family (Farrea has none in the little tree): run 3, gold g1 g2 g6; g1 and g2 agree.
    # right or an ancestor: g1 (same) and g3 (Anthozoa above Scleractinia).
    assert worked.levels == {
        "detection": Rates(4, 6, 5),
        "taxon": Rates(1, 6, 5),
        "species": Rates(1, 2, 2),
        "genus": Rates(2, 4, 4),
        "family": Rates(2, 3, 3),
        "rightOrAncestor": Rates(2, 6, 5),
    }
    assert worked.levels["detection"].precision == pytest.approx(4 / 6)
    assert worked.levels["detection"].recall == pytest.approx(4 / 5)
    assert worked.levels["detection"].f1 == pytest.approx(8 / 11)
    assert worked.too_specific == 1


def test_worked_occurrences(worked):
    cells = worked.occurrence
    assert (cells.found, cells.missed) == (4, 1)  # g6 is missed
    assert (cells.recorded_not_occurrence, cells.left_out, cells.without_gold) == (1, 0, 1)
    assert worked.passed_by == {"absent": 1, "marker": 1}


def test_worked_certainty_over_related_pairs(worked):
    # g1 certain/certain, g2 probable/certain, g3 certain/certain; g4's is another animal: left out.
    assert worked.certainty.counts == ((2, 0, 0, 0), (1, 0, 0, 0), (0, 0, 0, 0), (0, 0, 0, 0))


def test_worked_counts(worked):
    # Asked: 3, ~20, many, 1. Related pairs hold the first three. Exact: 3 and many. 24 is near 20.
    count = worked.count
    assert (count.asked, count.paired, count.exact) == (4, 3, 2)
    assert (count.numeric, count.near, count.invented) == (2, 2, 0)


def test_every_row_stands_in_the_pairs_once(worked):
    assert [pair.gold.event for pair in worked.pairs if pair.gold] == ["g1", "g2", "g3", "g4", "g5", "g6"]
    occurrences = [row["eventID"] for row in RUN[:6]]
    assert sorted(pair.run["eventID"] for pair in worked.pairs if pair.run) == sorted(occurrences)
    by_gold = {pair.gold.event: pair for pair in worked.pairs if pair.gold}
    assert by_gold["g2"].relation == "descendant"
    assert by_gold["g2"].agreement is Agreement.SAME_GENUS
    assert by_gold["g4"].agreement is Agreement.NONE
    assert by_gold["g6"].run is None


def test_json_is_plain_sorted_and_the_same_for_any_order(worked):
    made = worked.to_json()
    text = json.dumps(made)
    assert text == json.dumps(made, sort_keys=True)
    assert json.loads(text) == made
    assert made["levels"]["detection"]["precision"] == 0.6667
    backwards = score_events(RUN[::-1], GOLD[::-1], LIST)
    assert json.dumps(backwards.to_json()) == text


def test_gold_against_itself_is_perfect():
    gold = [event for event in GOLD if event.is_occurrence]
    score = score_events([row_of(event) for event in gold], gold, LIST, tolerance=0)
    for rates in score.levels.values():
        assert (rates.precision, rates.recall, rates.f1) == (1, 1, 1)
    assert score.certainty.micro.f1 == score.certainty.macro.f1 == 1
    assert score.qualifier.agree == score.qualifier.pairs == 5
    assert score.count.exact == score.count.paired == score.count.asked == 4
    assert score.too_specific == 0


def test_no_predictions():
    score = score_events([], GOLD, LIST)
    for level, rates in score.levels.items():
        assert (level, rates.precision, rates.recall, rates.f1) == (level, None, 0, 0)
    assert score.occurrence.missed == 5
    assert score.occurrence.left_out == 1
    assert score.to_json()["count"]["exactOfPaired"] is None
    assert "NaN" not in json.dumps(score.to_json())


def test_no_gold():
    score = score_events(RUN, [], LIST)
    detection = score.levels["detection"]
    assert (detection.precision, detection.recall, detection.f1) == (0, None, 0)
    assert score.occurrence.without_gold == 6


def test_neither():
    score = score_events([], [], LIST)
    rates = [share for r in score.levels.values() for share in (r.precision, r.recall, r.f1)]
    assert rates == [None] * 18
    assert score.certainty.macro.f1 is None
    assert score.pairs == ()


@pytest.mark.parametrize(("start", "tolerance", "found"), [(15.0, 5.0, 1), (15.001, 5.0, 0), (15.001, 5.001, 1)])
def test_tolerance(start, tolerance, found):
    rows = [event_row(start, start + 2, "Farrea")]
    score = score_events(rows, [gold_event("g", 0, 10, "Farrea")], LIST, tolerance=tolerance)
    assert score.levels["taxon"].correct == found


@pytest.mark.parametrize("tolerance", [-1, float("nan")])
def test_a_tolerance_below_nothing_is_refused(tolerance):
    with pytest.raises(ValueError, match="at least 0"):
        score_events([], [], LIST, tolerance=tolerance)


def test_the_name_outweighs_the_time():
    gold = [gold_event("g1", 0, 10, "Farrea"), gold_event("g2", 10, 20, "Desmophyllum")]
    rows = [event_row(0, 10, "Desmophyllum"), event_row(10, 20, "Farrea")]
    assert score_events(rows, gold, LIST).levels["taxon"].correct == 2
    # Equal names are told apart by time.
    gold = [gold_event("g1", 0, 10, "Farrea"), gold_event("g2", 8, 18, "Farrea")]
    rows = [event_row(9, 17, "Farrea", eventID="late"), event_row(0, 12, "Farrea", eventID="early")]
    pairs = {pair.gold.event: pair.run["eventID"] for pair in score_events(rows, gold, LIST).pairs}
    assert pairs == {"g1": "early", "g2": "late"}


def test_one_gold_event_is_found_once():
    rows = [event_row(0, 10, "Farrea"), event_row(1, 10, "Farrea")]
    assert score_events(rows, [gold_event("g", 0, 10, "Farrea")], LIST).levels["taxon"] == Rates(1, 2, 1)


def test_what_is_no_occurrence_is_not_taken_for_another_name_or_before_a_real_one():
    shadow = gold_event("g1", 0, 10, "Porifera", is_occurrence=False)
    other = score_events([event_row(0, 10, "Desmophyllum")], [shadow], LIST).occurrence
    assert (other.recorded_not_occurrence, other.left_out, other.without_gold) == (0, 1, 1)
    real = gold_event("g2", 4, 9, "Porifera")
    both = score_events([event_row(0, 10, "Porifera")], [shadow, real], LIST).occurrence
    assert (both.found, both.recorded_not_occurrence, both.left_out) == (1, 0, 1)


def test_rows_without_a_name_count_for_detection_only():
    score = score_events([event_row(0, 10, None)], [gold_event("g", 0, 10, "Farrea")], LIST)
    assert score.levels["detection"] == Rates(1, 1, 1)
    assert score.levels["taxon"] == Rates(0, 0, 1)


def test_qualifiers():
    gold = [
        gold_event("g1", 0, 1, "Farrea", qualifier="cf."),
        gold_event("g2", 50, 51, "Farrea", qualifier="sp."),
    ]
    rows = [
        event_row(0, 1, "Farrea", identificationQualifier="cf. occa"),
        event_row(50, 51, "Farrea", identificationQualifier=None),
    ]
    qualifier = score_events(rows, gold, LIST).qualifier
    assert (qualifier.pairs, qualifier.agree, qualifier.asked, qualifier.asked_agree) == (2, 1, 2, 1)


def test_names_the_checklist_lacks_are_noted_and_counted():
    gold = [gold_event("g1", 0, 1, "Novagenus alba", rank="species", file="gold.csv", line=7)]
    rows = [event_row(0, 1, "Novagenus alba", taxonRank="species"), event_row(0, 1, "Strangia")]
    score = score_events(rows, gold, LIST)
    assert score.levels["species"] == Rates(1, 1, 1)
    ours, theirs = score.problems
    assert (ours.file, ours.line, ours.severity) == ("gold.csv", 7, "noted")
    assert "Novagenus alba" in ours.reason
    assert theirs.file == "events.jsonl"
    assert "2 of the run's names" in theirs.reason


def test_rows_that_break_the_contract_are_refused():
    with pytest.raises(ValueError, match="'r1' has no number in startTime"):
        score_events([event_row(0, 1, "Farrea", eventID="r1", startTime=None)], [], LIST)
    with pytest.raises(ValueError, match="'surely'"):
        score_events([event_row(0, 1, "Farrea", certaintyTerm="surely")], [gold_event("g", 0, 1, "Farrea")], LIST)


names = st.sampled_from([*(name for name, _, _ in TREE), None])
spans = st.tuples(st.integers(0, 30), st.integers(0, 8))
few = st.lists(st.tuples(spans, names), max_size=4)


@settings(max_examples=150, deadline=None)
@given(few, few)
def test_the_matching_is_the_best_of_all_by_the_stated_order(run, gold):
    """Against trying every matching: numbers of pairs by agreement, compared as the docstring orders them."""
    rows = [event_row(s, s + d, name, eventID=f"r{i}") for i, ((s, d), name) in enumerate(run)]
    wanted = [gold_event(f"g{i}", s, s + d, name) for i, ((s, d), name) in enumerate(gold)]

    def tier(row, event):
        gap = max(row["startTime"], event.start) - min(row["endTime"], event.end)
        if gap > 2:
            return None
        return agreement(place(row["scientificName"], LIST), place(event.name, LIST), LIST)

    def vector(tiers):
        return tuple(sum(t is level for t in tiers) for level in Agreement)

    # Rows padded with None may leave any gold event alone.
    padded = [*rows, *[None] * len(wanted)]
    best = max(
        vector([tier(row, event) for row, event in zip(order, wanted, strict=True) if row is not None])
        for order in permutations(padded, len(wanted))
    )
    score = score_events(rows, wanted, LIST, tolerance=2)
    assert vector([pair.agreement for pair in score.pairs if pair.wanted]) == best


@settings(max_examples=100, deadline=None)
@given(few, few)
def test_changing_sides_changes_precision_for_recall(run, gold):
    wanted = [gold_event(f"g{i}", s, s + d, name) for i, ((s, d), name) in enumerate(gold)]
    ours = [gold_event(f"r{i}", s, s + d, name) for i, ((s, d), name) in enumerate(run)]
    there = score_events([row_of(event) for event in ours], wanted, LIST).levels["detection"]
    back = score_events([row_of(event) for event in wanted], ours, LIST).levels["detection"]
    assert (there.in_run, there.in_gold) == (back.in_gold, back.in_run)
    taxon = [
        score_events([row_of(e) for e in one], two, LIST).levels["taxon"]
        for one, two in ((ours, wanted), (wanted, ours))
    ]
    assert taxon[0].correct == taxon[1].correct
    assert (taxon[0].precision, taxon[0].recall) == (taxon[1].recall, taxon[1].precision)
