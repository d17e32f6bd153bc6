"""Agreement on a desk: whose decision counts, how names are compared, where the machine is right, and the table."""

from __future__ import annotations

import csv
import io
from contextlib import closing

import pytest

from earwitness.pipeline.review.agreement import (
    ASPECTS,
    COLUMNS,
    agreement,
    agreement_csv,
    agreement_json,
    agreement_on,
    drafted_rows,
)
from earwitness.pipeline.review.agreement_machine import MixUp
from earwitness.pipeline.review.agreement_views import name_at
from tests.review import made
from tests.review.made import Hands

GORGIA, SQUAT, CALLO, AGAIN = (f"saddle_01:o{ms:08d}" for ms in (12_000, 31_500, 58_250, 90_000))
MOO, THIRD = "saddle_02:o00007000", "saddle_02:o00020000"


def figures(desk):
    return agreement_on(desk)


def aspect(found, name):
    return next(one for one in found if one.aspect == name)


def share(found, by, group):
    return next(one for one in found.machine if (one.by, one.group) == (by, group))


def test_nothing_decided_gives_no_figures(desk):
    found = figures(desk)
    assert (found.reviewers, found.shared, found.pairs, found.everybody, found.mix_ups) == ({}, 0, (), (), ())
    assert found.machine == ()
    assert agreement_csv(found).splitlines() == [",".join(COLUMNS)]


def test_one_reviewer_is_compared_with_the_machine_alone(desk, ann):
    ann.do("accept", GORGIA)
    ann.do("change", SQUAT, taxon_id="t12")
    ann.do("reject", CALLO, reason="not-seen")
    found = figures(desk)
    assert (found.reviewers, found.shared, found.pairs) == ({"Ann": 3}, 0, ())
    whole = share(found, "all", "all")
    assert (whole.reviewed, whole.right, whole.renamed, whole.rejected) == (3, 1, 1, 1)
    assert whole.share == pytest.approx(1 / 3)
    assert whole.low < whole.share < whole.high
    assert whole.expected == pytest.approx((0.71 + 0.96 + 0.96) / 3, abs=1e-4)
    assert share(found, "family", "Coralliidae").right == 1
    assert share(found, "family", "Munididae").renamed == 1
    assert share(found, "nameScore", "0.7 to 0.8").right == 1
    assert share(found, "nameScore", "0.9 to 1.0").reviewed == 2
    assert found.mix_ups == (
        MixUp("Callogorgia", "genus", None, None, "not-seen", 1),
        MixUp("Munida", "genus", "Munida quadrispina", "species", None, 1),
    )


def test_each_reviewers_own_last_decision_counts(desk, ann, bob):
    ann.do("accept", GORGIA)
    bob.do("change", GORGIA, taxon_id="t8")
    ann.do("accept", SQUAT)
    bob.do("accept", SQUAT)
    ann.do("accept", CALLO)
    ann.do("reject", CALLO, reason="no-animal")
    bob.do("note", CALLO, note="hm")
    found = figures(desk)
    assert found.reviewers == {"Ann": 3, "Bob": 2}
    assert found.shared == 2
    genus = aspect(found.pairs, "genus")
    assert (genus.reviewers, genus.events, genus.alike) == (("Ann", "Bob"), 2, 1)
    assert aspect(found.pairs, "name").alike == 1
    # Worked by hand: Paragorgia/Callogorgia, Munida/Munida: observed 1/2, by chance 1/4.
    assert genus.kappa.value == pytest.approx((0.5 - 0.25) / 0.75, abs=1e-4)
    # The same by coincidences: observed disagreement 1/2, by chance 1 - 2/12 = 10/12.
    assert genus.alpha.value == pytest.approx(1 - 0.5 / (10 / 12), abs=1e-4)
    assert {one.aspect for one in found.pairs} == set(ASPECTS)
    assert found.everybody == ()


def test_what_was_taken_back_does_not_count(desk, ann, bob):
    ann.do("accept", GORGIA)
    bob.do("change", GORGIA, taxon_id="t8")
    bob.undo()
    assert figures(desk).reviewers == {"Ann": 1}
    bob.redo()
    assert figures(desk).shared == 1


CHOICES = {
    "accept": ("accept", {}),
    "reject": ("reject", {"reason": "unclear"}),
    "other reason": ("reject", {"reason": "not-seen"}),
    "rename": ("change", {"taxon_id": "t8"}),
    "rename by accepting": ("accept", {"taxon_id": "t8"}),
    "name it as drafted": ("change", {"taxon_id": "t4"}),
    "rename otherwise": ("change", {"taxon_id": "t5"}),
    "recount": ("change", {"columns": {"individualCount": 7}}),
}


@pytest.mark.parametrize(
    ("first", "second", "verdicts", "names", "counts"),
    [
        ("accept", "accept", ("accepted", "accepted"), ("Paragorgia", "Paragorgia"), (1, 1)),
        ("accept", "rename", ("accepted", "changed"), ("Paragorgia", "Callogorgia"), (1, 1)),
        ("accept", "recount", ("accepted", "changed"), ("Paragorgia", "Paragorgia"), (1, 7)),
        ("accept", "reject", ("accepted", "rejected"), ("Paragorgia", None), (1, None)),
        ("rename", "accept", ("changed", "changed"), ("Callogorgia", "Callogorgia"), (1, 1)),
        ("rename", "rename", ("changed", "changed"), ("Callogorgia", "Callogorgia"), (1, 1)),
        ("rename", "rename by accepting", ("changed", "changed"), ("Callogorgia", "Callogorgia"), (1, 1)),
        ("rename", "rename otherwise", ("changed", "changed"), ("Callogorgia", "Paragorgia arborea"), (1, 1)),
        ("rename", "name it as drafted", ("changed", "accepted"), ("Callogorgia", "Paragorgia"), (1, 1)),
        ("recount", "recount", ("changed", "changed"), ("Paragorgia", "Paragorgia"), (7, 7)),
        ("recount", "accept", ("changed", "changed"), ("Paragorgia", "Paragorgia"), (7, 7)),
        ("reject", "accept", ("rejected", "accepted"), (None, "Paragorgia"), (None, 1)),
        ("reject", "rename", ("rejected", "changed"), (None, "Callogorgia"), (None, 1)),
        ("reject", "reject", ("rejected", "rejected"), (None, None), (None, None)),
        ("reject", "other reason", ("rejected", "rejected"), (None, None), (None, None)),
    ],
)
@pytest.mark.parametrize("same_moment", [False, True], ids=["", "at one moment"])
def test_both_decisions_on_one_event_are_kept_and_compared(
    run, desk, ann, bob, monkeypatch, first, second, verdicts, names, counts, same_moment
):
    if same_moment:
        monkeypatch.setattr("earwitness.pipeline.review.desk.now", lambda: "2031-11-04T10:00:00.000Z")
    for hands, choice in ((ann, first), (bob, second)):
        action, told = CHOICES[choice]
        hands.do(action, GORGIA, **told)
    # In the history that another server reads, too.
    with closing(made.opened(run)) as again:
        for one in (desk, again):
            kept = one.history.of_event(GORGIA)
            assert [(d.reviewer, d.action) for d in kept] == [
                ("Ann", CHOICES[first][0]),
                ("Bob", CHOICES[second][0]),
            ]
            assert all(set(d.changes[0].after) >= {"reviewedBy"} for d in kept)
            found = figures(one)
            assert (found.reviewers, found.shared) == ({"Ann": 1, "Bob": 1}, 1)
            for name, values in (("verdict", verdicts), ("name", names), ("individualCount", counts)):
                both = int(None not in values)
                alike = int(both and values[0] == values[1])
                told = aspect(found.pairs, name)
                assert (told.events, told.alike) == (both, alike), name
    assert desk.row(GORGIA)["reviewedBy"] == "Bob"


def test_one_who_thinks_again_counts_once_as_last_decided(desk, ann, bob):
    ann.do("reject", GORGIA, reason="unclear")
    bob.do("accept", GORGIA)
    ann.do("accept", GORGIA)
    verdict = aspect(figures(desk).pairs, "verdict")
    assert (verdict.events, verdict.alike) == (1, 1)
    ann.do("accept", GORGIA)
    assert figures(desk).reviewers == {"Ann": 1, "Bob": 1}


def test_what_was_decided_on_an_older_draft_stays_what_it_was(run, desk, ann, bob):
    """Ann accepts what the draft says; it is reopened, drafted anew otherwise, and Bob accepts that."""
    ann.do("accept", GORGIA)
    bob.do("reopen", GORGIA)
    rows = [row | made.named("t8") if row["eventID"] == GORGIA else row for row in made.events()]
    made.write(run, rows)
    with closing(made.opened(run)) as newer:
        assert newer.row(GORGIA)["scientificName"] == "Callogorgia"
        Hands(newer, "Bob").do("accept", GORGIA)
        found = figures(newer)
    assert found.reviewers == {"Ann": 1, "Bob": 1}
    name, verdict = aspect(found.pairs, "name"), aspect(found.pairs, "verdict")
    assert (name.events, name.alike) == (1, 0)
    assert (verdict.events, verdict.alike) == (1, 1)
    assert share(found, "all", "all").right == 1


def test_three_reviewers_have_one_alpha(desk, ann, bob):
    cat = Hands(desk, "Cat")
    for event in (GORGIA, SQUAT, AGAIN):
        for hands in (ann, bob, cat):
            hands.do("accept", event)
    found = figures(desk)
    assert aspect(found.everybody, "name").reviewers == ("Ann", "Bob", "Cat")
    assert aspect(found.everybody, "name").alpha.value == 1
    assert len(found.pairs) == 3 * len(ASPECTS)


@pytest.mark.parametrize(
    ("name", "rank", "family", "genus", "expected"),
    [
        ("Munida sarsi", "species", "Munididae", "Munida", ("Munida sarsi", "Munida", "Munididae")),
        ("Munida sarsi major", "subspecies", "Munididae", "Munida", ("Munida sarsi", "Munida", "Munididae")),
        ("Munida", "genus", "Munididae", None, (None, "Munida", "Munididae")),
        ("Munididae", "family", None, None, (None, None, "Munididae")),
        (None, None, None, None, (None, None, None)),
    ],
)
def test_names_at_ranks(name, rank, family, genus, expected):
    row = {"scientificName": name, "taxonRank": rank, "family": family, "genus": genus, "reviewStatus": "accepted"}
    assert tuple(name_at(row, at) for at in ("species", "genus", "family")) == expected
    assert name_at(row | {"reviewStatus": "rejected"}, "genus") is None


def test_the_table_and_the_page_have_the_same_figures(desk, ann, bob):
    ann.do("accept", GORGIA)
    bob.do("reject", GORGIA, reason="unclear")
    ann.do("change", MOO, taxon_id="t12")
    found = figures(desk)
    lines = list(csv.DictReader(io.StringIO(agreement_csv(found))))
    assert [line["part"] for line in lines].count("pair") == len(ASPECTS)
    whole = next(line for line in lines if line["part"] == "machine" and line["by"] == "all")
    assert (whole["events"], whole["right"], whole["renamed"], whole["rejected"]) == ("2", "0", "1", "1")
    told = agreement_json(found)
    assert told["machine"][0]["share"] == float(whole["share"]) == 0
    assert told["shared"] == 1
    assert {one["suggested"] for one in told["mixUps"]} == {"Paragorgia", "Munida"}


def test_the_table_runs_no_formula(desk, ann):
    row = dict(drafted_rows(desk)[GORGIA]) | {"family": "=1+1"}
    ann.do("accept", GORGIA)
    text = agreement_csv(agreement(desk.history.decisions, {GORGIA: row}))
    assert "'=1+1" in text
    assert ",=1+1" not in text
