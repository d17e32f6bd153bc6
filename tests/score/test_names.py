"""How near two names are on the tree."""

from __future__ import annotations

import pytest

from earwitness.pipeline.score.names import Agreement, agreement, place, relation, same_at

from .fake import FakeChecklist

LIST = FakeChecklist()


def both(run, gold, run_rank=None, gold_rank=None):
    one, two = place(run, LIST, rank=run_rank), place(gold, LIST, rank=gold_rank)
    return agreement(one, two, LIST), relation(one, two, LIST)


@pytest.mark.parametrize(
    ("run", "gold", "expected"),
    [
        ("Desmophyllum pertusum", "Desmophyllum pertusum", (Agreement.SAME_TAXON, "same")),
        ("Lophelia pertusa", "Desmophyllum pertusum", (Agreement.SAME_TAXON, "same")),
        ("desmophyllum  pertusum", "Desmophyllum pertusum", (Agreement.SAME_TAXON, "same")),
        ("Desmophyllum dianthus", "Desmophyllum pertusum", (Agreement.SAME_GENUS, "apart")),
        ("Desmophyllum", "Desmophyllum pertusum", (Agreement.SAME_GENUS, "ancestor")),
        ("Desmophyllum pertusum", "Desmophyllum", (Agreement.SAME_GENUS, "descendant")),
        ("Solenosmilia", "Desmophyllum pertusum", (Agreement.SAME_FAMILY, "apart")),
        ("Scleractinia", "Desmophyllum pertusum", (Agreement.ANCESTOR, "ancestor")),
        ("Animalia", "Farrea", (Agreement.ANCESTOR, "ancestor")),
        ("Farrea", "Porifera", (Agreement.DESCENDANT, "descendant")),
        ("Farrea", "Scleractinia", (Agreement.NONE, "apart")),
        (None, "Farrea", (Agreement.NONE, "apart")),
        ("Farrea", "", (Agreement.NONE, "apart")),
        (None, None, (Agreement.NONE, "apart")),
    ],
)
def test_agreement_and_relation(run, gold, expected):
    assert both(run, gold) == expected


def test_names_the_checklist_lacks():
    assert both("Novagenus", "novagenus", "genus", "genus") == (Agreement.SAME_TAXON, "same")
    assert both("Novagenus", "Novagenus alba", "genus", "species") == (Agreement.SAME_GENUS, "ancestor")
    assert both("Novagenus alba", "Novagenus", "species", "genus") == (Agreement.SAME_GENUS, "descendant")
    # A new species of a known genus takes its place from the genus.
    assert both("Scleractinia", "Desmophyllum novum", None, "species") == (Agreement.ANCESTOR, "ancestor")
    assert both("Desmophyllum", "Desmophyllum novum", None, "species") == (Agreement.SAME_GENUS, "ancestor")
    assert both("Solenosmilia", "Desmophyllum novum", None, "species") == (Agreement.SAME_FAMILY, "apart")
    assert both("Desmophyllum pertusum", "Desmophyllum novum", None, "species") == (
        Agreement.SAME_GENUS,
        "apart",
    )
    assert both("Novagenus", "Farrea", "genus") == (Agreement.NONE, "apart")


def test_levels():
    coral = place("Lophelia pertusa", LIST)
    assert [coral.at(level) for level in ("taxon", "species", "genus", "family")] == [
        "Desmophyllum pertusum",
        "Desmophyllum pertusum",
        "Desmophyllum",
        "Caryophylliidae",
    ]
    order = place("Scleractinia", LIST)
    assert [order.at(level) for level in ("taxon", "species", "genus", "family")] == [
        "Scleractinia",
        None,
        None,
        None,
    ]
    assert not same_at("species", order, order, LIST)
    assert same_at("taxon", order, order, LIST)


def test_a_row_speaks_for_an_unknown_name():
    named = place("Novafamilia", LIST, rank="family")
    assert (named.known, named.genus, named.family) == (False, None, "Novafamilia")
    stated = place("Novum alba", LIST, rank="species", genus="Novum", family="Caryophylliidae")
    assert agreement(stated, place("Desmophyllum", LIST), LIST) is Agreement.SAME_FAMILY


def test_rank_chooses_among_homonyms():
    class Twice(FakeChecklist):
        def find(self, name):
            return (2, 5) if name == "Bothus" else super().find(name)

    assert place("Bothus", Twice(), rank="genus").anchor == 5
    assert place("Bothus", Twice(), rank="class").anchor == 2
    assert place("Bothus", Twice()).anchor == 2
