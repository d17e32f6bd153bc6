"""Accepted taxa, parents and what can be wrong with them; properties are checked by a plain walk."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.taxonomy.checklist import Checklist
from earwitness.taxonomy.load import load_checklist
from earwitness.taxonomy.resolve import follow, inherited, is_not_accepted, without_loops
from earwitness.taxonomy.tables import data_rows

HEADER = "taxonID,acceptedNameUsageID,acceptedNameUsage,parentNameUsageID,scientificName,taxonomicStatus"


@pytest.fixture
def load(tmp_path: Path) -> object:
    def loaded(*rows: str, header: str = HEADER) -> Checklist:
        path = tmp_path / "list.csv"
        path.write_text("\n".join((header, *rows)) + "\n", encoding="utf-8")
        return load_checklist(path)

    return loaded


def said(checklist: Checklist) -> list[tuple[int, str, str]]:
    """Line, severity and the start of each problem."""
    return [(p.line, p.severity, " ".join(p.reason.split()[:4])) for p in checklist.problems]


def test_chains_end_at_the_accepted_taxon(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load(
        "1,2,,,Aus bus,synonym", "2,3,,,Aus cus,synonym", "3,3,,,Aus dus,accepted", "4,,,,Aus eus,accepted"
    )
    assert checklist.accepted_rows.tolist() == [2, 2, 2, 3]
    assert checklist.taxa["acceptedNameUsageID"].to_list() == ["3", "3", "3", "4"]
    assert checklist.problems == ()


def test_accepted_by_name_where_there_is_no_id(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load(
        "1,,Aus dus Smith,,Aus bus,synonym",  # by name, authorship aside
        "2,9,aus DUS,,Aus cus,synonym",  # the ID is no use, the name is
        "3,,Aus dus,,Aus dus,accepted",  # its own name
        "4,,Aus xus,,Aus eus,synonym",
        "5,,Hom,,Aus fus,synonym",
        "6,,,,Hom,accepted",
        "7,,,,Hom,accepted",
        "8,,Hom,,Hom,accepted",
    )
    assert checklist.accepted_rows.tolist() == [2, 2, 2, 3, 4, 5, 6, 7]
    reasons = {problem.line: problem.reason for problem in checklist.problems}
    assert reasons[5] == "the accepted name 'Aus xus' is not in the list; kept as a taxon of its own"
    assert reasons[6] == "the accepted name 'Hom' stands for 3 taxa of the list; kept as a taxon of its own"
    assert set(reasons) == {5, 6, 8}  # line 8: the homonym


def test_loops_and_orphans_are_kept_with_a_note(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load(
        "1,2,,,Aus bus,synonym",
        "2,1,,,Aus cus,synonym",
        "3,1,,,Aus dus,synonym",  # leads into the loop
        "4,99,,,Aus eus,synonym",  # points nowhere
        "5,,,,Aus fus,synonym",  # points at nothing
        "6,6,,,Aus gus,synonym",  # points at itself
        "7,4,,,Aus hus,synonym",  # follows the orphan as far as it goes
    )
    assert checklist.accepted_rows.tolist() == [0, 1, 2, 3, 4, 5, 3]
    lines = sorted(problem.line for problem in checklist.problems)
    assert lines == [2, 3, 4, 5, 6, 7]
    assert {problem.severity for problem in checklist.problems} == {"noted"}
    reasons = {problem.line: problem.reason for problem in checklist.problems}
    assert "loop" in reasons[4]
    assert "'99' is not in the list" in reasons[5]


def test_accepted_by_status_but_pointing_elsewhere(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load("1,2,,,Aus bus,accepted", "2,,,,Aus cus,accepted")
    assert checklist.accepted_rows.tolist() == [1, 1]
    assert said(checklist) == [(2, "noted", "'Aus bus' is called")]


def test_duplicate_ids(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load(
        "1,,,,Aus,accepted,dab",
        "1,,,,Bus,accepted,",  # another name: kept under another ID
        "1,,,,Aus,accepted,dabber",  # the same name again
        "2,1,,,Cus,synonym,",
        "1#2,,,,Dus,accepted,",
        header=HEADER + ",vernacularName",
    )
    assert checklist.taxa["taxonID"].to_list() == ["1", "1#3", "2", "1#2"]
    assert checklist.taxon(0).vernaculars == ("dab", "dabber")
    assert checklist.accepted(2) == 0
    assert [(line, severity) for line, severity, _ in said(checklist)] == [(3, "mended"), (4, "mended")]


def test_homonyms_and_synonyms_of_one_taxon(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load("1,,,,Ctenophora,accepted", "2,,,,ctenophora,accepted", "3,1,,,Aus,synonym", "4,1,,,Aus,synonym")
    assert checklist.find("Ctenophora") == (0, 1)
    homonyms = [problem for problem in checklist.problems if "homonym" in problem.reason]
    assert [(problem.line, problem.severity) for problem in homonyms] == [(3, "noted")]


def test_blank_names_are_skipped_by_line(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load("1,,,,Aus,accepted", "2,,,,,accepted", '3,,,,"  ",accepted', "4,2,,,Bus,synonym")
    assert checklist.taxa["scientificName"].to_list() == ["Aus", "Bus"]
    assert said(checklist)[:2] == [(3, "skipped", "no scientific name"), (4, "skipped", "no scientific name")]
    assert said(checklist)[2][0] == 5  # the synonym of a skipped row is an orphan


def test_parent_loops_are_cut_once(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load(
        "1,,,3,Aus,accepted",
        "2,,,1,Bus,accepted",
        "3,,,2,Cus,accepted",
        "4,,,3,Dus,accepted",
        "5,,,5,Eus,accepted",  # its own parent: a top
        "6,,,,Fus,accepted",
    )
    assert checklist.parent_rows.tolist() == [-1, 0, 1, 2, -1, -1]
    assert checklist.lineage(3) == (2, 1, 0)
    assert checklist.taxa["parentNameUsageID"].to_list() == [None, "1", "2", "3", None, None]
    assert said(checklist) == [(2, "mended", "the parents of 'Aus'")]


def test_a_synonym_as_parent_stands_for_its_accepted_taxon(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load("1,2,,,Old,synonym", "2,,,,New,accepted", "3,,,1,New bus,accepted", "4,3,,,New cus,synonym")
    assert checklist.lineage(2) == checklist.lineage(3) == (1,)
    assert checklist.is_same_or_ancestor(0, 3)  # Old is New, which is above
    assert checklist.is_same_or_ancestor(3, 2)  # two names of one taxon
    assert checklist.taxon(3).parent == 1


def test_parents_outside_the_list_are_one_note(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load("1,,,90,Aus,accepted", "2,,,91,Bus,accepted", "3,,,1,Aus bus,accepted")
    assert said(checklist) == [(0, "noted", "2 rows have a")]
    assert checklist.taxa["parentNameUsageID"].to_list() == ["90", "91", "1"]
    assert checklist.parent_rows.tolist() == [-1, -1, 0]


def test_ranks_are_filled_from_the_parents_and_the_name(load) -> None:  # type: ignore[no-untyped-def]
    checklist = load(
        "1,,,Animalia,kingdom,,",
        "2,,1,Aidae,family,,Given",
        "3,,2,Aus,genus,,",
        "4,,3,Aus bus,species,,",
        "5,4,,Xus bus,species,,",
        "6,,,Bus cus,species,,",
        header="taxonID,acceptedNameUsageID,parentNameUsageID,scientificName,taxonRank,kingdom,order",
    )
    filled = checklist.taxa.select("kingdom", "order", "family", "genus").rows()
    aus = ("Animalia", "Given", "Aidae", "Aus")
    assert filled[2:5] == [aus, aus, aus]
    assert filled[0] == ("Animalia", None, None, None)
    assert filled[1] == ("Animalia", "Given", "Aidae", None)
    assert filled[5] == (None, None, None, "Bus")


@pytest.mark.parametrize("status", ["synonym", "Heterotypic_Synonym", "unaccepted", "misapplied", "not-accepted"])
def test_statuses_that_are_not_accepted(status: str) -> None:
    assert is_not_accepted(pl.Series([status, "accepted", "valid", "doubtful", None])).tolist() == [True] + [False] * 4
    assert all(row["source"] for row in data_rows("statuses.csv"))


# Any pointers at all

pointer_lists = st.integers(1, 40).flatmap(
    lambda size: st.lists(st.integers(-1, size - 1), min_size=size, max_size=size)
)


def walk(pointers: list[int], row: int) -> int | None:
    """Where the chain from `row` ends; None in a loop."""
    for _ in range(len(pointers) + 1):
        if pointers[row] in (-1, row):
            return row
        row = pointers[row]
    return None


@given(pointer_lists)
def test_follow_is_a_walk_to_the_end(pointers: list[int]) -> None:
    own = np.arange(len(pointers))
    array = np.array(pointers, np.int32)
    ends, looped = follow(np.where(array == -1, own, array).astype(np.int32))
    for row in range(len(pointers)):
        end = walk(pointers, row)
        assert looped[row] == (end is None)
        assert end is None or ends[row] == end


@given(pointer_lists)
def test_without_loops_every_chain_ends_and_nothing_else_changes(pointers: list[int]) -> None:
    mended, cut = without_loops(np.array(pointers, np.int32))
    parents = mended.tolist()
    assert all(walk(parents, row) is not None for row in range(len(parents)))
    changed = {row for row in range(len(parents)) if parents[row] != pointers[row] and pointers[row] != row}
    assert changed == set(cut)
    for row in cut:  # each cut row stood on a loop, and was its first
        loop, at = [row], pointers[row]
        while at != row:
            loop.append(at)
            at = pointers[at]
        assert row == min(loop)


@given(pointer_lists, st.data())
def test_inherited_is_the_nearest_value_above(pointers: list[int], data: st.DataObject) -> None:
    parents, _ = without_loops(np.array(pointers, np.int32))
    has = data.draw(st.lists(st.booleans(), min_size=len(pointers), max_size=len(pointers)))
    sources = inherited(np.array(has), parents)
    for row in range(len(has)):
        at = row
        while at != -1 and not has[at]:
            at = int(parents[at])
        assert sources[row] == at


@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12), st.integers(0, 9)), min_size=1, max_size=12))
def test_any_list_resolves(tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[int, int, int]]) -> None:
    """Random accepted and parent IDs, some absent: loading ends, and so does every lineage."""
    path = tmp_path_factory.getbasetemp() / "graph.csv"
    lines = [f"{i},{accepted},{parent},Aus{'abcdefghij'[name]}" for i, (accepted, parent, name) in enumerate(rows)]
    header = "taxonID,acceptedNameUsageID,parentNameUsageID,scientificName\n"
    path.write_text(header + "\n".join(lines), encoding="utf-8")
    checklist = load_checklist(path)
    assert len(checklist) == len(rows)
    for row in range(len(rows)):
        accepted = checklist.accepted(row)
        assert checklist.accepted(accepted) == accepted
        lineage = checklist.lineage(row)
        assert len(set(lineage)) == len(lineage)
        assert accepted not in lineage
        assert all(checklist.accepted(above) == above for above in lineage)
        for other in range(len(rows)):
            above = other == accepted or checklist.accepted(other) in (accepted, *lineage)
            assert checklist.is_same_or_ancestor(other, row) == above
