"""Signs of open nomenclature beside a name: Sigovini, Keppel and Tagliapietra 2016 and Horton et al. 2021."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from .listed import Listener, listen


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("Leiopathes sp. on the wall", "sp."),
        ("Leiopathes sp on the wall", "sp."),
        ("Leiopathes species", "sp."),
        ("a Leiopathes something", "sp."),
        ("Leiopathes spp. on the wall", "spp."),
        ("Leiopathes indet. on the wall", "indet."),
        ("Leiopathes indeterminate", "indet."),
        ("Leiopathes stet.", "stet."),
        ("query Leiopathes", "inc."),
        ("this is cf. Leiopathes", "cf."),
        ("this is c f Leiopathes", "cf."),
        ("aff. Leiopathes", "aff."),
        ("LEIOPATHES SP.", "sp."),
    ],
)
def test_a_sign_beside_a_name_goes_with_it(sea: Listener, text: str, sign: str) -> None:
    mention = sea.one(text)
    assert (mention.text.lower(), mention.qualifier) == ("leiopathes", sign)


@pytest.mark.parametrize(
    "text",
    [
        "Leiopathes",
        "Leiopathes, something moved",
        "Leiopathes. Species unknown",
        "it is cf., Leiopathes",
        "sp. Leiopathes",
        "Leiopathes cf.",
        "Leiopathes is a species",
    ],
)
def test_no_sign_beside_the_name(sea: Listener, text: str) -> None:
    assert sea.one(text).qualifier is None


def test_a_sign_between_genus_and_epithet_goes_with_the_epithet(sea: Listener) -> None:
    genus, epithet = sea.hear("Munida cf. sarsi here")
    assert (genus.qualifier, epithet.text, epithet.qualifier) == (None, "sarsi", "cf.")


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Munida cf. sarsie here", "Munida"),
        ("a Leiopathes indeterminate", "Leiopathes"),
        ("that is cf. moonida sarsey", "Munida sarsi"),
        ("moonida sarsey indeterminate", "Munida sarsi"),
    ],
)
def test_a_sign_is_no_part_of_a_heard_name(sea: Listener, text: str, name: str) -> None:
    (mention,) = sea.hear(text)
    assert sea.name(mention.best) == name
    assert not {"cf", "cf.", "indeterminate"} & set(mention.text.split())


def test_an_epithet_that_is_spelt_like_a_sign_is_no_sign(tmp_path: Path) -> None:
    """Incerta stands for a sign, and is an epithet: Ophiacantha incerta would be no name with the word barred."""
    path = tmp_path / "incerta.csv"
    path.write_text("taxonID,scientificName,taxonRank\n1,Ophiacantha incerta,species\n", encoding="utf-8")
    talk = listen(path)
    assert talk.name(talk.one("that is ophiacanta incerta there").best) == "Ophiacantha incerta"


def test_a_user_adds_lists_of_their_own(sea: Listener, tmp_path: Path) -> None:
    _write(tmp_path / "qualifiers.csv", ["phrase", "sign", "place", "source"], ["of a kind", "sp.", "after", "ours"])
    _write(tmp_path / "not_names.csv", ["phrase", "reason", "source"], ["crab sticks", "food", "ours"])
    _write(tmp_path / "ordinary_words.csv", ["word", "reason", "source"], ["snail", "a slow ship", "ours"])
    _write(tmp_path / "before_animals.csv", ["word", "source"], ["yonder", "ours"])
    assert sea.hear("Leiopathes of a kind", tmp_path)[0].qualifier == "sp."
    assert sea.hear("crab sticks and snail", tmp_path) == ()
    assert [m.text for m in sea.hear("crab and yonder snail", tmp_path)] == ["crab", "snail"]
    assert [m.text for m in sea.hear("crab sticks and snail")] == ["crab", "snail"]


def _write(path: Path, header: list[str], row: list[str]) -> None:
    with path.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows([header, row])
