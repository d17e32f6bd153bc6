"""Checklists from delimited files: facts of the shared lists, other people's columns and slips."""

from __future__ import annotations

import csv
import gzip
import hashlib
import io
from pathlib import Path

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.schemas.problems import InputError, Problem
from earwitness.taxonomy.checklist import COLUMNS, Checklist
from earwitness.taxonomy.columns import TERMS
from earwitness.taxonomy.load import load_checklist
from earwitness.taxonomy.tables import data_rows

from .conftest import SHARED

SMALL = """\
taxonID,parentNameUsageID,scientificName,taxonRank,vernacularName
1,,Cnidaria,phylum,
2,1,Actiniaria,order,sea anemone|anemone
3,2,Actinia,genus,
4,3,"Actinia equina (Linnaeus, 1758)",Species,"beadlet anemone | Beadlet"
"""


def write(folder: Path, text: str | bytes, name: str = "list.csv") -> Path:
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def rows_of(path: Path) -> list[dict[str, str]]:
    """The rows as the csv module reads them: the independent count."""
    data = path.read_bytes()
    text = (gzip.decompress(data) if path.suffix == ".gz" else data).decode("utf-8")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def severities(checklist: Checklist) -> list[tuple[int, str]]:
    return [(problem.line, problem.severity) for problem in checklist.problems]


# The shared lists


def test_demo_seas_has_the_rows_of_its_file(demo_seas: Checklist, demo_seas_path: Path) -> None:
    rows = rows_of(demo_seas_path)
    assert len(demo_seas) == len(rows) == 1200
    assert demo_seas.taxa["taxonID"].to_list() == [row["taxonID"] for row in rows]
    assert demo_seas.taxa["scientificName"].to_list() == [row["scientificName"] for row in rows]
    assert demo_seas.taxa["acceptedNameUsageID"].to_list() == [row["acceptedNameUsageID"] for row in rows]
    spoken = [[name for name in row["vernacularName"].split("|") if name] for row in rows]
    assert demo_seas.taxa["vernacularNames"].to_list() == spoken
    assert demo_seas.problems == ()


def test_demo_seas_synonyms_are_resolved(demo_seas: Checklist, demo_seas_path: Path) -> None:
    synonyms = [i for i, row in enumerate(rows_of(demo_seas_path)) if row["taxonomicStatus"] == "synonym"]
    assert len(synonyms) == 54
    assert [i for i in range(len(demo_seas)) if demo_seas.accepted(i) != i] == synonyms
    (lophelia,) = demo_seas.find("Lophelia pertusa")
    accepted = demo_seas.taxon(demo_seas.accepted(lophelia))
    assert accepted.scientific_name == "Desmophyllum pertusum"
    assert demo_seas.lineage(lophelia) == demo_seas.lineage(accepted.index)


def test_demo_seas_lineages_follow_the_parents_of_the_file(demo_seas: Checklist, demo_seas_path: Path) -> None:
    rows = rows_of(demo_seas_path)
    by_id = {row["taxonID"]: i for i, row in enumerate(rows)}
    for i, row in enumerate(rows):
        expected, parent = [], rows[by_id[row["acceptedNameUsageID"]]]["parentNameUsageID"]
        while parent:
            expected.append(by_id[parent])
            parent = rows[by_id[parent]]["parentNameUsageID"]
        assert demo_seas.lineage(i) == tuple(expected)


def test_marine_ncbi_has_the_facts_of_its_file(marine_ncbi: Checklist, marine_ncbi_path: Path) -> None:
    rows = rows_of(marine_ncbi_path)
    assert len(marine_ncbi) == len(rows)
    assert marine_ncbi.taxa["taxonID"].to_list() == [row["taxonID"] for row in rows]
    assert marine_ncbi.accepted_rows.tolist() == list(range(len(rows)))
    spoken = sum(1 for row in rows if row["vernacularName"])
    assert marine_ncbi.taxa["vernacularNames"].list.len().gt(0).sum() == spoken
    ids = {row["taxonID"] for row in rows}
    outside = sum(1 for row in rows if row["parentNameUsageID"] and row["parentNameUsageID"] not in ids)
    assert outside > 0
    notes = [problem for problem in marine_ncbi.problems if "parent" in problem.reason]
    assert [(note.line, note.severity) for note in notes] == [(0, "noted")]
    assert notes[0].reason.startswith(f"{outside} rows")


def test_marine_ncbi_keeps_every_cell_that_was_given(marine_ncbi: Checklist, marine_ncbi_path: Path) -> None:
    rows = rows_of(marine_ncbi_path)
    for column in ("kingdom", "phylum", "class", "order", "family", "genus", "taxonRank"):
        found = marine_ncbi.taxa[column].to_list()
        assert [(i, row[column]) for i, row in enumerate(rows) if row[column] and row[column] != found[i]] == []


def test_marine_ncbi_homonyms_are_those_of_the_file(marine_ncbi: Checklist, marine_ncbi_path: Path) -> None:
    lines: dict[str, list[int]] = {}
    for line, row in enumerate(rows_of(marine_ncbi_path), start=2):
        lines.setdefault(marine_ncbi.taxon(line - 2).scientific_name.casefold(), []).append(line)
        assert row["taxonID"] == marine_ncbi.taxa["taxonID"][line - 2]
    second = {found[1] for found in lines.values() if len(found) > 1}
    assert {problem.line for problem in marine_ncbi.problems if "homonym" in problem.reason} == second
    assert len(marine_ncbi.find("ctenophora")) == len(lines["ctenophora"]) == 2


def test_hash_is_of_the_bytes(demo_seas: Checklist, demo_seas_path: Path) -> None:
    assert demo_seas.sha256 == hashlib.sha256(demo_seas_path.read_bytes()).hexdigest()
    assert demo_seas.name == "demo_seas"


# One small list, written in many ways


def check_small(checklist: Checklist) -> None:
    assert checklist.taxa.columns == list(COLUMNS)
    assert checklist.taxa["scientificName"].to_list() == [
        "Cnidaria",
        "Actiniaria",
        "Actinia",
        "Actinia equina",
    ]
    taxon = checklist.taxon(3)
    assert (taxon.authorship, taxon.rank, taxon.genus) == ("(Linnaeus, 1758)", "species", "Actinia")
    assert (taxon.phylum, taxon.order, taxon.class_, taxon.family) == ("Cnidaria", "Actiniaria", "", "")
    assert taxon.vernaculars == ("beadlet anemone", "Beadlet")
    assert (taxon.taxon_id, taxon.parent, checklist.lineage(3)) == ("4", 2, (2, 1, 0))


def in_other_separator(separator: str) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator="\n").writerows(csv.reader(io.StringIO(SMALL)))
    return out.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        SMALL.encode(),
        SMALL.encode("utf-8-sig"),
        SMALL.encode("utf-16"),
        SMALL.replace("\n", "\r\n").encode(),
        SMALL.replace("\n", "\r").encode(),
        SMALL.rstrip("\n").encode(),
        SMALL.replace("\n", "\n\n").encode(),
        in_other_separator("\t").encode(),
        in_other_separator(";").encode(),
        in_other_separator("|").encode(),
        gzip.compress(SMALL.encode()),
        gzip.compress(SMALL[:50].encode()) + gzip.compress(SMALL[50:].encode()),
    ],
    ids=[
        "plain",
        "bom",
        "utf16",
        "crlf",
        "cr",
        "no end",
        "blank lines",
        "tab",
        ";",
        "|",
        "gzip",
        "gzip members",
    ],
)
def test_ways_to_write_a_table(tmp_path: Path, data: bytes) -> None:
    checklist = load_checklist(write(tmp_path, data))
    check_small(checklist)
    assert checklist.problems == ()


@pytest.mark.parametrize("form", ["{}", "dwc:{}", "http://rs.tdwg.org/dwc/terms/{}", " {} "])
@pytest.mark.parametrize("case", [str, str.upper, str.lower])
def test_columns_are_known_by_their_term(tmp_path: Path, form: str, case: type[str]) -> None:
    header, body = SMALL.split("\n", 1)
    named = ",".join(form.format(case(term)) for term in header.split(","))
    check_small(load_checklist(write(tmp_path, f"{named}\n{body}")))


def test_columns_are_known_by_alias(tmp_path: Path) -> None:
    body = SMALL.split("\n", 1)[1]
    check_small(load_checklist(write(tmp_path, f"AphiaID,parent id,Latin_name,Rank,Common Name\n{body}")))


def test_a_mapping_names_what_no_rule_knows(tmp_path: Path) -> None:
    body = SMALL.split("\n", 1)[1]
    path = write(tmp_path, f"Nummer,Oben,Artname,Stufe,Sprich\n{body}")
    mapping = {"nummer": "taxonID", "Oben": "parentNameUsageID", "Artname": "dwc:scientificName"}
    check_small(load_checklist(path, columns={**mapping, "Stufe": "taxonrank", "Sprich": "vernacularName"}))
    with pytest.raises(InputError, match="no column 'Unten'; found 'Nummer', 'Oben'"):
        load_checklist(path, columns={"Unten": "taxonID"})
    with pytest.raises(InputError, match="no use for the term 'depth'"):
        load_checklist(path, columns={"Oben": "depth"})


def test_a_mapping_wins_over_a_known_column(tmp_path: Path) -> None:
    path = write(tmp_path, "scientificName,checked\nActinia equina,Actinia fragacea\n")
    checklist = load_checklist(path, columns={"checked": "scientificName"})
    assert checklist.find("Actinia fragacea") == (0,)


def test_a_term_wins_over_an_alias_and_a_second_column_is_reported(tmp_path: Path) -> None:
    path = write(tmp_path, "name,scientificName,dwc:scientificName\nanemone,Actinia equina,Actinia\n")
    checklist = load_checklist(path)
    assert checklist.taxon(0).scientific_name == "Actinia equina"
    assert [problem.severity for problem in checklist.problems if "second column" in problem.reason] == ["skipped"]


def test_aliases_point_at_terms_that_are_read_and_have_a_source() -> None:
    rows = data_rows("columns.csv")
    assert {row["term"] for row in rows} <= set(TERMS)
    assert all(row["source"] for row in rows)
    published = SHARED / "standards" / "tdwg_terms.csv"
    if not published.exists():
        pytest.skip("the published list of terms is not beside this checkout")
    listed = pl.read_csv(published, infer_schema=False)
    names = {value for column in listed.columns for value in listed[column]}
    assert set(TERMS) <= names


# What is not as it should be


def test_names_missing_is_one_clear_error(tmp_path: Path) -> None:
    with pytest.raises(InputError) as error:
        load_checklist(write(tmp_path, "code,depth\n1,200\n"))
    assert error.value.problem.line == 1
    assert "found 'code', 'depth'" in error.value.problem.reason
    assert "scientificName" in error.value.problem.expected


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "empty"),
        (b"\n\n", "empty"),
        (b"taxonID,scientificName\n", "no row can be used"),
        (b"taxonID,scientificName\n1,\n", "no row can be used"),
        (b"scientificName\n\0\0\0", "zero bytes"),
        (gzip.compress(SMALL.encode())[:-20], "ends too early"),
        (b"\x1f\x8bnothing", "damaged"),
        (b"PK\x03\x04nothing", "zip"),
    ],
)
def test_unusable_files(tmp_path: Path, data: bytes, reason: str) -> None:
    path = write(tmp_path, data)
    with pytest.raises(InputError, match=reason) as error:
        load_checklist(path)
    assert error.value.problem.file == str(path)


def test_no_such_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load_checklist(tmp_path / "absent.csv")


def test_old_windows_encoding_is_read_and_noted(tmp_path: Path) -> None:
    text = 'scientificName\n"Munidopsis serricornis (Lovén, 1852)"\n'
    checklist = load_checklist(write(tmp_path, text.encode("cp1252")))
    assert checklist.taxon(0).authorship == "(Lovén, 1852)"
    assert checklist.problems[0].severity == "mended"
    assert "Windows-1252" in checklist.problems[0].reason


def test_bad_lines_cost_themselves_only(tmp_path: Path) -> None:
    text = (
        "taxonID,scientificName,taxonRank\n"
        "1,Actinia,genus\n"
        '2,"Actinia equina,species\n'  # opens a quotation that nothing closes
        "3,Actinia fragacea,species,more,cells\n"
        '4,"Actinia\nfragacea ","species"\n'  # a cell over two lines
        '5,"Actinia, equina,species\n'
        "5,,species\n"
        "6,Bolocera\n"
        "7,Cerianthus,genus,,\n"
    )
    checklist = load_checklist(write(tmp_path, text))
    assert checklist.taxa["taxonID"].to_list() == ["1", "2", "4", "6", "7"]
    assert checklist.taxon(2).scientific_name == "Actinia fragacea"
    found = [(line, severity) for line, severity in severities(checklist) if severity != "noted"]
    assert found == [(3, "mended"), (4, "skipped"), (7, "skipped"), (8, "skipped")]


def test_tab_separated_values_have_no_quoting_of_their_own(tmp_path: Path) -> None:
    text = 'taxonID\tscientificName\tremark\n1\tActinia\t"so called\n2\tBolocera\t\n3\tUrticina\t"here" too\n'
    checklist = load_checklist(write(tmp_path, text))
    assert checklist.taxa["scientificName"].to_list() == ["Actinia", "Bolocera", "Urticina"]
    assert checklist.problems == ()


def test_control_characters_are_blanks(tmp_path: Path) -> None:
    path = write(tmp_path, "taxonID,scientificName\n1,Actinia\x0bequina\x1f\n2,\x01\n")
    checklist = load_checklist(path)
    assert checklist.taxa["scientificName"].to_list() == ["Actinia equina"]
    assert severities(checklist) == [(3, "skipped")]


def test_ids_are_made_from_names_and_stay_the_same(tmp_path: Path) -> None:
    text = "scientificName,kingdom\nCtenophora,Animalia\nCtenophora,Chromista\nBeroe cucumis Fabr.,Animalia\n"
    checklist = load_checklist(write(tmp_path, text))
    ids = checklist.taxa["taxonID"].to_list()
    assert ids == ["name:Ctenophora", "name:Ctenophora#2", "name:Beroe cucumis"]
    assert load_checklist(write(tmp_path, text, "again.csv")).taxa["taxonID"].to_list() == ids
    assert checklist.problems[0] == Problem(
        str(tmp_path / "list.csv"),
        0,
        "3 rows have no taxonID; made from their names (name:Genus species)",
        "a column taxonID",
        "mended",
    )


def test_one_row_a_vernacular_name_becomes_one_taxon(tmp_path: Path) -> None:
    text = "scientificName,common name\nActinia equina,beadlet\nActinia equina,beadlet anemone\n"
    checklist = load_checklist(write(tmp_path, text))
    assert [taxon.vernaculars for taxon in checklist] == [("beadlet", "beadlet anemone")]
    assert (3, "mended") in severities(checklist)


def test_an_authorship_column_is_cut_from_the_name(tmp_path: Path) -> None:
    text = 'scientificName,authority\nAus bus odd [1],odd [1]\nAus cus Sm.,\n"Aus dus Smith, 1900",Sm.\n'
    taxa = load_checklist(write(tmp_path, text)).taxa
    assert taxa["scientificName"].to_list() == ["Aus bus", "Aus cus", "Aus dus"]
    assert taxa["scientificNameAuthorship"].to_list() == ["odd [1]", "Sm.", "Sm."]


def test_informal_names_stay_as_written(tmp_path: Path) -> None:
    names = ["Calcinea indet.", "Bathymodiolus sp. 1", "Bathymodiolus sp. 2", "sea anemone", "Isididae USNM"]
    checklist = load_checklist(write(tmp_path, "scientificName\n" + "\n".join(names) + "\n"))
    assert checklist.taxa["scientificName"].to_list() == names
    assert any(problem.reason.startswith("5 names") for problem in checklist.problems)


def test_parents_from_rank_columns_where_there_are_no_ids(tmp_path: Path) -> None:
    text = (
        "scientificName,taxonRank,kingdom,phylum,family,genus\n"
        "Animalia,kingdom,,,,\n"
        "Cnidaria,phylum,Animalia,,,\n"
        "Actinia equina,species,Animalia,Cnidaria,Actiniidae,Actinia\n"
        "Actinia equina mediterranea,subspecies,Animalia,Cnidaria,Actiniidae,Actinia\n"
        "Actiniidae,family,Animalia,Cnidaria,,\n"
    )
    checklist = load_checklist(write(tmp_path, text))
    names = checklist.taxa["scientificName"].to_list()
    lineage = [names[row] for row in checklist.lineage(3)]
    assert lineage == ["Actinia equina", "Actiniidae", "Cnidaria", "Animalia"]
    assert checklist.is_same_or_ancestor(names.index("Cnidaria"), 3)
    assert not checklist.is_same_or_ancestor(3, names.index("Cnidaria"))
    assert checklist.taxa["parentNameUsageID"].to_list()[2] == "name:Actiniidae"


def test_parents_by_name(tmp_path: Path) -> None:
    text = "scientificName,parent\nActinia,\nActinia equina,Actinia Linnaeus\nBolocera,Actiniidae\n"
    assert load_checklist(write(tmp_path, text)).parent_rows.tolist() == [-1, 0, -1]


def test_look_ups(tmp_path: Path) -> None:
    checklist = load_checklist(write(tmp_path, SMALL))
    assert checklist.find("  actinia   EQUINA ") == (3,)
    assert checklist.find("Actinia equ") == ()
    assert (checklist.by_id("2"), checklist.by_id("9")) == (1, None)
    assert [taxon.index for taxon in checklist] == [0, 1, 2, 3]
    assert checklist.taxon(2) is checklist.taxon(2)
    for row in (-1, 4):
        for ask in (checklist.taxon, checklist.accepted, checklist.lineage):
            with pytest.raises(IndexError):
                ask(row)


cells = st.text(st.characters(codec="utf-8", exclude_categories=["Cc"], include_characters="\n\t"), max_size=12)


@given(st.lists(st.tuples(cells, cells, cells), min_size=1, max_size=6), st.sampled_from(",;\t"))
def test_any_quoted_table_gives_what_the_csv_module_reads(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[str, str, str]], separator: str
) -> None:
    """Nothing is lost: each record is a taxon, or has a problem at its line."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator, quoting=csv.QUOTE_ALL, lineterminator="\n")
    writer.writerows([("scientificName", "taxonID", "x"), ("Aus first", "0", ""), *rows])
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(out.getvalue().encode())
    checklist = load_checklist(path)
    skipped = sum(1 for problem in checklist.problems if problem.severity == "skipped")
    joined = sum(1 for problem in checklist.problems if "joined" in problem.reason)
    assert len(checklist) + skipped + joined == len(rows) + 1
    assert checklist.taxa["taxonID"].is_unique().all()
    named = sum(1 for name, _, _ in rows if name.split())
    assert len(checklist) + joined == named + 1
