"""Vernacular names in singular and plural. Expected forms: ordinary English, from memory."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.plurals import name_forms
from earwitness.taxonomy.tables import data_rows


@pytest.mark.parametrize(
    "forms",
    [
        ("bird's nest sponge", "bird's nest sponges"),
        ("starfish", "starfishes"),
        ("goosefish", "goosefishes"),
        ("octopus", "octopuses", "octopi", "octopodes"),
        ("anemone", "anemones"),
        ("sea lily", "sea lilies"),
        ("man-of-war", "men-of-war"),
        ("portuguese man of war", "portuguese men of war"),
        ("dead man's fingers",),
        ("squid", "squids"),
        ("shrimp", "shrimps"),
        ("chromis", "chromises"),
        ("white bream", "white breams"),
        ("bass", "basses"),
        ("walrus", "walruses"),
        ("medusa", "medusae", "medusas"),
        ("cusk-eel", "cusk-eels"),
        ("pearl of likoma", "pearls of likoma"),
        ("flower of the wave", "flowers of the wave"),
        ("gulf of mexico flounder", "gulf of mexico flounders"),
        ("brittle star", "brittle stars"),
        ("venus's flower basket", "venus's flower baskets"),
        ("species",),
        ("sea louse", "sea lice"),
        ("hagfish", "hagfishes"),
        ("glass", "glasses"),
        ("anthias",),
    ],
)
def test_every_form_gives_all_forms(forms: tuple[str, ...]) -> None:
    assert {form: name_forms(form) for form in forms} == dict.fromkeys(forms, forms)


@pytest.mark.parametrize(
    "label",
    [
        "squat lobster and hermit crab",
        "shark and ray",
        "whales & dolphins",
        "trouts, salmons or chars",
        "1938",
    ],
)
def test_labels_of_groups_stay(label: str) -> None:
    assert name_forms(label) == (label,)


def test_case_blanks_and_curly_apostrophes() -> None:
    assert name_forms("  Venus\u2019s  Flower Basket ") == ("venus's flower basket", "venus's flower baskets")
    assert name_forms("  ") == ()


@given(st.text(max_size=20))
def test_forms_of_anything_are_lower_case_and_distinct(text: str) -> None:
    forms = name_forms(text)
    assert len(set(forms)) == len(forms)
    assert all(form == " ".join(form.split()) for form in forms)
    assert bool(forms) == bool(text.split())


def test_forms_of_the_shared_list_lead_back_to_each_other(marine_ncbi: Checklist) -> None:
    """Plural input gives its singular: true of 99 % of real names (not of "ayus" and "mokis": -us, -is)."""
    spoken = sorted({name for names in marine_ncbi.taxa["vernacularNames"].to_list() for name in names})
    assert len(spoken) > 11_000
    torn = [name for name in spoken if {name_forms(form) for form in name_forms(name)} != {name_forms(name)}]
    assert len(torn) < len(spoken) / 100


def test_every_listed_word_has_a_source() -> None:
    rows = data_rows("plurals.csv")
    assert {row["kind"] for row in rows} == {"suffix", "word", "fixed"}
    assert all(row["source"] and row["forms"] for row in rows)
