"""Names taken apart, against hand-checked parts and against the GBIF name parser as an independent reference.

The names with authorship are from memory; the GBIF parser, not memory, is what they are checked against.
"""

from __future__ import annotations

import csv
import gzip
import io
import re
from pathlib import Path

import nameparser
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.taxonomy.names import (
    PLAIN_NAME,
    PLAIN_NAME_WITH_AUTHOR,
    ParsedName,
    not_plain,
    parse_name,
    sign_words,
)
from earwitness.taxonomy.tables import data_rows

AUTHORED = (Path(__file__).parent / "authored_names.txt").read_text(encoding="utf-8").splitlines()

DIFFERENT_AUTHORSHIP = {
    # The reference turns initials round, and drops or shortens "in": ours keeps what is written.
    "Dicopia antirrhinum Monniot C., 1972",
    "Nymphon grossipes (Fabricius, 1780) in O'Donoghue",
    "Eurythenes gryllus (Lichtenstein in Mandt, 1822)",
}


KNOWN_DIFFERENCES = {
    # name: (ours, theirs, why)
    "Tenellia poritophages": ("Tenellia poritophages", None, "taken for a virus"),
    "Cymonomoides delli": ("Cymonomoides delli", "Cymonomoides", "delli taken for a particle of an author"),
    "Anisochaeta kiwi mihi": ("Anisochaeta kiwi mihi", "Anisochaeta kiwi", "mihi is Latin for 'of me'"),
    "Nannocalanus minor Type II": ("", "Nannocalanus minor", "a code is not an author"),
    "Alpheus canalis blue antennae": ("", "Alpheus canalis antennae", "a description, not an epithet"),
    "salmonid fish": ("", "Salmonid fish", "English; ours wants the capital"),
    "Isididae USNM": ("", "Isididae", "a collection's code, not an author"),
    "Actiniaria stet.": ("Actiniaria", "Actiniaria stet", "an open-nomenclature sign, not an epithet"),
}


def reference(name: str) -> nameparser.ParsedName | None:
    """The GBIF parser's reading, None where it finds no (formal) name."""
    try:
        parsed = nameparser.parse(name)
    except nameparser.UnparsableNameError:
        return None
    return parsed if isinstance(parsed, nameparser.ParsedName) else None


def letters(text: str | None) -> str:
    return "".join(char for char in text or "" if char.isalnum())


@pytest.mark.parametrize("name", AUTHORED)
def test_agrees_with_gbif_parser_on_names_with_authors(name: str) -> None:
    ours, theirs = parse_name(name), reference(name)
    if theirs is None:
        assert not ours.parsed
        return
    assert ours.canonical == theirs.canonical_name_minimal()
    assert ours.subgenus == (theirs.infrageneric_epithet or "")
    same_authors = letters(ours.authorship) == letters(theirs.authorship_complete())
    assert same_authors == (name not in DIFFERENT_AUTHORSHIP)


def shared_names(path: Path) -> list[str]:
    data = path.read_bytes()
    text = (gzip.decompress(data) if path.suffix == ".gz" else data).decode()
    return [row["scientificName"] for row in csv.DictReader(io.StringIO(text, newline=""))]


def test_agrees_with_gbif_parser_on_the_shared_lists(demo_seas_path: Path, marine_ncbi_path: Path) -> None:
    names = shared_names(demo_seas_path)[::4] + shared_names(marine_ncbi_path)[::150]
    assert len(names) > 900
    differing = []
    for name in names:
        theirs = reference(name)
        if parse_name(name).canonical != (theirs.canonical_name_minimal() if theirs else ""):
            differing.append(name)
    assert set(differing) <= set(KNOWN_DIFFERENCES)


@pytest.mark.parametrize("name", KNOWN_DIFFERENCES)
def test_known_differences_from_gbif_parser(name: str) -> None:
    ours, theirs, why = KNOWN_DIFFERENCES[name]
    found = reference(name)
    assert (parse_name(name).canonical, found and found.canonical_name_minimal()) == (ours, theirs), why


@pytest.mark.parametrize(
    ("text", "canonical", "qualifier"),
    [
        # Signs of Horton et al. (2021) and Sigovini et al. (2016).
        ("Munidopsis cf. serricornis", "Munidopsis serricornis", "cf."),
        ("cf. Munidopsis serricornis", "Munidopsis serricornis", "cf."),
        ("Munidopsis aff. serricornis (Lovén, 1852)", "Munidopsis serricornis", "aff."),
        ("Bathymodiolus sp.", "Bathymodiolus", "sp."),
        ("Bathymodiolus spp.", "Bathymodiolus", "spp."),
        ("Bathymodiolus sp. 1", "Bathymodiolus", "sp. 1"),
        ("Bathymodiolus sp. A", "Bathymodiolus", "sp. A"),
        ("Bathymodiolus sp1", "Bathymodiolus", "sp1"),
        ("Bathymodiolus n. sp.", "Bathymodiolus", "n. sp."),
        ("Bathymodiolus sp. nov. 2", "Bathymodiolus", "sp. nov. 2"),
        ("Bathymodiolus sp. aff. brevior", "Bathymodiolus brevior", "sp. aff."),
        ("Actiniaria indet.", "Actiniaria", "indet."),
        ("Actiniaria stet.", "Actiniaria", "stet."),
        ("Munididae gen. et sp. indet.", "Munididae", "gen. et sp. indet."),
        ("Munidopsis serricornis sp. inc.", "Munidopsis serricornis", "sp. inc."),
        ("Munidopsis gen. inc.", "Munidopsis", "gen. inc."),
        ("?Munidopsis serricornis", "Munidopsis serricornis", "?"),
        ("Munidopsis serricornis?", "Munidopsis serricornis", "?"),
        ("Munidopsis (?) serricornis", "Munidopsis serricornis", "(?)"),
        ("Cyzicus grubei sensu lato", "Cyzicus grubei", "sensu lato"),
        ("Munidopsis crassa Smith, 1885 non Jones, 1850", "Munidopsis crassa", "non Jones, 1850"),
        ("sp. indet.", "", "sp. indet."),
    ],
)
def test_open_nomenclature(text: str, canonical: str, qualifier: str) -> None:
    parsed = parse_name(text)
    assert (parsed.canonical, parsed.qualifier) == (canonical, qualifier)
    assert parsed.parsed == bool(canonical)


def test_all_parts_of_a_long_name() -> None:
    text = "Aus (Bus) cus (L.) Sm. var. dus (Hook. f. ex Müll.) d'Orbigny et al., 1850"
    assert parse_name(text) == ParsedName(
        verbatim=text,
        canonical="Aus cus dus",
        genus="Aus",
        subgenus="Bus",
        specific_epithet="cus",
        infraspecific_epithet="dus",
        rank_marker="var.",
        authorship="(Hook. f. ex Müll.) d'Orbigny et al., 1850",
        rank="variety",
        parsed=True,
    )


@pytest.mark.parametrize("text", ["L. pertusa", "Lo. pertusa", "L. pertusa (Linnaeus, 1758)"])
def test_abbreviated_genus(text: str) -> None:
    parsed = parse_name(text)
    assert parsed.abbreviated_genus
    assert parsed.genus == text.split()[0]
    assert parsed.specific_epithet == "pertusa"


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("Xus \u00d7 yus", "Xus yus"),
        ("Xus x yus", "Xus yus"),
        ("\u00d7Agropogon littoralis", "Agropogon littoralis"),
        ("x Agropogon littoralis", "Agropogon littoralis"),
        ("Aus bus \u00d7 Aus cus", ""),
        ("Aus bus x cus", ""),
    ],
)
def test_hybrids(text: str, canonical: str) -> None:
    parsed = parse_name(text)
    assert parsed.hybrid
    assert parsed.canonical == canonical


@pytest.mark.parametrize(
    ("text", "rank"),
    [
        ("Munididae", "family"),
        ("Munidopsinae", "subfamily"),
        ("Asteroidea", None),
        ("Munida", None),
        ("Coryphaenoides (Nematonurus)", "subgenus"),
        ("Munida iris", "species"),
        ("Munida iris rutllanti", "subspecies"),
        ("Bulimina marginata d'Orbigny f. marginata", "form"),
    ],
)
def test_rank_from_the_shape_of_the_name(text: str, rank: str | None) -> None:
    assert parse_name(text).rank == rank


@pytest.mark.parametrize(
    "text", ["", " ", "L.", "catfish", "1938", "\u00d7", "(", "New World cichlids", "Unknown fish"]
)
def test_not_a_name(text: str) -> None:
    assert parse_name(text) == ParsedName(text, hybrid=text == "\u00d7")


MIXTURE = (
    "Aus bus cus L. sp. cf. (Bus) ( x var. f. fo ten Smith, Smith (Smith 1900 1900) & ? (?) n. et de "
    "sensu Bus-clade d'us unknown Munididae A \u00e9 Sm. x-us \u00d7 \u2019"
)
words = st.sampled_from(MIXTURE.split())


@given(st.one_of(st.text(), st.lists(words, max_size=8).map(" ".join)))
def test_never_raises_and_the_canonical_name_stands(text: str) -> None:
    parsed = parse_name(text)
    assert parsed.verbatim == text
    assert parsed.parsed == bool(parsed.canonical)
    if parsed.parsed:
        again = parse_name(parsed.canonical)
        assert again.canonical == parsed.canonical
        assert not again.authorship
        assert not again.qualifier


@given(st.lists(words, min_size=1, max_size=6).map(" ".join))
def test_the_fast_patterns_say_what_the_parser_says(text: str) -> None:
    """The loader settles names of these shapes without the parser."""
    column = pl.Series([text])
    groups = column.str.extract_groups(PLAIN_NAME_WITH_AUTHOR).struct.unnest().row(0)
    if column.str.contains(PLAIN_NAME).item() and not column.str.contains(not_plain()).item():
        assert parse_name(text).canonical == text
    elif groups[0] and not re.search(not_plain(), groups[0]):
        parsed = parse_name(text)
        assert (parsed.canonical, parsed.authorship) == groups


def test_fast_patterns_on_real_names(marine_ncbi_path: Path) -> None:
    names = pl.Series(shared_names(marine_ncbi_path))
    plain = names.filter(names.str.contains(PLAIN_NAME) & ~names.str.contains(not_plain()))
    assert len(plain) > 106_000
    assert [name for name in plain[::7] if parse_name(name).canonical != name] == []


def test_fast_patterns_on_names_with_authors() -> None:
    column = pl.Series(AUTHORED)
    groups = column.str.extract_groups(PLAIN_NAME_WITH_AUTHOR).struct.unnest()
    settled = [(name, *pair) for name, pair in zip(AUTHORED, groups.iter_rows(), strict=True) if pair[0]]
    settled = [row for row in settled if not re.search(not_plain(), row[1])]
    assert len(settled) > len(AUTHORED) / 2
    for name, canonical, authorship in settled:
        parsed = parse_name(name)
        assert (parsed.canonical, parsed.authorship) == (canonical, authorship)


def test_every_sign_has_a_source_and_a_known_kind() -> None:
    rows = data_rows("name_signs.csv")
    assert {row["kind"] for row in rows} == {
        "sign", "concept", "rank", "particle", "joint", "suffix", "placeholder"
    }  # fmt: skip
    assert all(row["source"] for row in rows)
    assert "indet" in sign_words("sign")
