"""English forms of group names. The hand list: words of English dictionaries of biology, from memory."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.english_forms import english_forms
from earwitness.taxonomy.fold import spoken_key
from earwitness.taxonomy.tables import data_rows

ROWS = data_rows("english_endings.csv")


@pytest.mark.parametrize(
    ("name", "rank", "singular", "plural"),
    [
        ("Hexactinellida", "class", "hexactinellid", "hexactinellids"),
        ("Ophiuroidea", "class", "ophiuroid", "ophiuroids"),
        ("Crinoidea", "class", "crinoid", "crinoids"),
        ("Gorgonocephalidae", "family", "gorgonocephalid", "gorgonocephalids"),
        ("Cladorhizidae", "family", "cladorhizid", "cladorhizids"),
        ("Amphipoda", "order", "amphipod", "amphipods"),
        ("Gastropoda", "class", "gastropod", "gastropods"),
        ("Scleractinia", "order", "scleractinian", "scleractinians"),
        ("Antipatharia", "order", "antipatharian", "antipatharians"),
        ("Brachyura", "infraorder", "brachyuran", "brachyurans"),
        ("Caridea", "infraorder", "caridean", "carideans"),
        ("Anthozoa", "class", "anthozoan", "anthozoans"),
        ("Crustacea", "subphylum", "crustacean", "crustaceans"),
        ("Ctenophora", "phylum", "ctenophore", "ctenophores"),
        ("Siphonophorae", "order", "siphonophore", "siphonophores"),
        ("Polychaeta", "class", "polychaete", "polychaetes"),
        ("Stauromedusae", "order", "stauromedusa", "stauromedusae"),
        ("Demospongiae", "class", "demosponge", "demosponges"),
        ("Brisingida", "order", "brisingid", "brisingids"),
        ("Enteropneusta", "class", "enteropneust", "enteropneusts"),
        ("Ophidiiformes", "order", "ophidiiform", "ophidiiforms"),
    ],
)
def test_a_group_in_english(name: str, rank: str, singular: str, plural: str) -> None:
    forms = english_forms(name, rank)
    assert (singular, plural) in list(zip(forms[::2], forms[1::2], strict=True))


@pytest.mark.parametrize(
    ("name", "rank"),
    [
        ("Munida", "genus"),
        ("Brisinga", "genus"),
        ("Munida sarsi", "species"),
        ("Chaceon affinis", "family"),
        ("Idae", "family"),
        ("Porifera", "phylum"),
        ("", ""),
    ],
)
def test_no_english_form(name: str, rank: str) -> None:
    assert english_forms(name, rank) == ()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["ending"] + "-" + row["english"])
def test_every_ending_makes_the_word_of_its_example_and_has_a_source(row: dict[str, str]) -> None:
    name, word = row["example"].split(": ")
    article, form = word.split(" ")
    assert article in ("a", "an")
    assert row["source"]
    assert any(form in english_forms(name, rank)[::2] for rank in row["ranks"].split("|"))


@given(
    st.text("abcdefghijklmnop", max_size=6).map(str.capitalize),
    st.sampled_from([row["ending"] for row in ROWS]),
    st.sampled_from([rank for row in ROWS for rank in row["ranks"].split("|")]),
)
def test_forms_come_in_pairs_are_new_words_and_keys(stem: str, ending: str, rank: str) -> None:
    name = stem + ending
    forms = english_forms(name, rank)
    assert len(forms) % 2 == 0
    assert len(set(forms)) == len(forms)
    for singular, plural in zip(forms[::2], forms[1::2], strict=True):
        assert singular != name.lower()
        assert plural in (singular + "s", singular + "e")
        assert spoken_key(singular) == singular


def test_most_families_of_a_real_list_have_a_form(demo_seas: Checklist) -> None:
    families = [taxon.scientific_name for taxon in demo_seas if taxon.rank == "family"]
    without = [name for name in families if not english_forms(name, "family")]
    # Family names of animals end in -idae: ICZN Code, article 29.2 (from memory); those of algae and plants do not.
    assert all(not name.endswith("idae") for name in without)
    assert len(without) < len(families) / 10
