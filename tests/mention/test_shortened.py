"""Abbreviated genera and epithets alone."""

from __future__ import annotations

import pytest

from .listed import Listener, listen


@pytest.mark.parametrize("short", ["L. glaberrima", "L glaberrima", "L. Glaberrima", "L.glaberrima"])
def test_an_abbreviated_genus_needs_no_context_where_only_one_fits(sea: Listener, short: str) -> None:
    best = sea.one(f"that is {short} there").best
    assert (sea.name(best), best.how) == ("Leiopathes glaberrima", "abbreviated")
    assert best.score == sea.one("this is L. glaberrima").best.score


def test_a_synonym_is_abbreviated_too(sea: Listener) -> None:
    best = sea.one("a bank of L. pertusa").best
    assert (sea.name(best), sea.said(best)) == ("Desmophyllum pertusum", "Lophelia pertusa")


@pytest.mark.parametrize("text", ["l. glaberrima", "M. glaberrima", "vent L, glaberrima", "L (glaberrima)"])
def test_what_is_no_abbreviated_genus(sea: Listener, text: str) -> None:
    assert all(c.how != "abbreviated" for mention in sea.hear(text) for c in mention.candidates)


def test_an_initial_that_fits_two_genera_is_shared_out(sea: Listener) -> None:
    candidates = sea.one("maybe E. antarctica").candidates
    assert {sea.name(c) for c in candidates} == {"Errina antarctica", "Electrona antarctica"}
    assert candidates[0].score == candidates[1].score <= 0.5


@pytest.mark.parametrize(("genus", "other"), [("Errina", "Electrona"), ("Electrona", "Errina")])
def test_the_genus_said_before_decides_an_initial(sea: Listener, genus: str, other: str) -> None:
    first, short = sea.hear(f"here is {genus}, and now E. antarctica")
    assert sea.name(first.best) == genus
    assert [sea.name(c) for c in short.candidates] == [f"{genus} antarctica", f"{other} antarctica"]
    assert short.best.score > short.candidates[1].score


def test_the_genus_said_last_decides(sea: Listener) -> None:
    *_, short = sea.hear("Electrona here. Errina there. Now E. antarctica")
    assert sea.name(short.best) == "Errina antarctica"


def test_a_genus_said_after_decides_where_none_was_said_before(sea: Listener) -> None:
    short, _ = sea.hear("there is E. antarctica, the Electrona we wanted")
    assert sea.name(short.best) == "Electrona antarctica"


def test_two_names_of_one_taxon_are_no_doubt(sea: Listener) -> None:
    candidates = sea.one("that is O. glabrum").candidates
    assert [sea.name(c) for c in candidates] == ["Ophiosphalma glabrum"]
    assert candidates[0].score == sea.one("that is L. glaberrima").best.score


def test_an_epithet_alone_is_a_name_once_its_genus_was_said(sea: Listener) -> None:
    genus, epithet = sea.hear("lots of Munida. I take it for sarsi")
    assert (sea.name(genus.best), sea.name(epithet.best), epithet.best.how) == ("Munida", "Munida sarsi", "epithet")


def test_an_epithet_follows_the_accepted_genus_of_a_synonym(sea: Listener) -> None:
    _, epithet = sea.hear("that is Lophelia pertusa. Yes, pertusum")
    assert (sea.name(epithet.best), epithet.best.how) == ("Desmophyllum pertusum", "epithet")


@pytest.mark.parametrize("text", ["I take it for sarsi", "sarsi it is. lots of Munida", "lots of Munidopsis, sarsi"])
def test_an_epithet_without_its_genus_before_is_no_epithet(sea: Listener, text: str) -> None:
    assert all(c.how != "epithet" for mention in sea.hear(text) for c in mention.candidates)


def test_common_words_and_very_short_ones_are_no_epithets(tmp_path_factory: pytest.TempPathFactory) -> None:
    path = tmp_path_factory.mktemp("english") / "epithets.csv"
    path.write_text(
        "taxonID,scientificName,taxonRank\n1,Conus miles,species\n2,Conus,genus\n3,Thor,genus\n4,Conus ala,species\n",
        encoding="utf-8",
    )
    talk = listen(path)
    assert talk.names("a Conus some miles away, ala carte") == [("Conus", "Conus")]
