"""Corrections: what a file says against a plain replay of it, and what is written against other readers of CSV."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.schemas import InputError
from earwitness.taxonomy import Checklist, Taxon, load_checklist
from earwitness.taxonomy.corrections import (
    COLUMNS,
    LONGEST_HEARD,
    Corrections,
    corrections_path,
    load_corrections,
    record,
    undo,
)
from earwitness.taxonomy.fold import spoken_key

NOON = datetime(2031, 6, 14, 12, tzinfo=UTC)
HEARD = "chasey on a finneys"

# Real taxa; the two of one name are homonyms. Names from the NCBI Taxonomy and WoRMS, from memory.
LIST = """\
taxonID,scientificName,taxonRank,taxonomicStatus,acceptedNameUsageID,vernacularName
1,Chaceon affinis,species,accepted,1,deep-sea red crab
2,Chaceon,genus,accepted,2,
3,Desmophyllum pertusum,species,accepted,3,
4,Lophelia pertusa,species,synonym,3,
5,Talorchestia,genus,accepted,5,
6,Talorchestia,genus,accepted,6,
"""


@pytest.fixture(scope="module")
def listed(tmp_path_factory: pytest.TempPathFactory) -> Checklist:
    path = tmp_path_factory.mktemp("list") / "taxa.csv"
    path.write_text(LIST, encoding="utf-8")
    return load_checklist(path)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "taxa.corrections.csv"


@pytest.fixture
def read(listed: Checklist, path: Path) -> Callable[..., Corrections]:
    """Corrections of a file with these rows under a header of all columns, or of the file as it lies there."""

    def load(*rows: str, header: str = ",".join(COLUMNS)) -> Corrections:
        if rows:
            path.write_text("\n".join((header, *rows)) + "\n", encoding="utf-8")
        return load_corrections(path, listed)

    return load


def taxon(listed: Checklist, taxon_id: str) -> Taxon:
    row = listed.by_id(taxon_id)
    assert row is not None
    return listed.taxon(row)


def names(found: Corrections, key: str = HEARD) -> list[str]:
    return [found.checklist.taxon(row).scientific_name for row in found.names_for(key)]


def test_no_file_is_no_corrections(read: Callable[..., Corrections]) -> None:
    found = read()
    assert (found.statements, found.problems, found.sha256, found.keys) == ((), (), "", frozenset())
    assert found.names_for(HEARD) == ()
    assert not found.is_no_name(HEARD)


def test_what_is_recorded_is_known_at_once(listed: Checklist, path: Path, read: Callable[..., Corrections]) -> None:
    record(path, "Chasey on a  Finney's!", taxon(listed, "1"), by="A. Reader", note="clear, twice", now=NOON)
    assert path.read_text("utf-8") == (
        "heard,scientificName,taxonID,action,by,at,note\n"
        'Chasey on a Finney\'s!,Chaceon affinis,1,means,A. Reader,2031-06-14T12:00:00Z,"clear, twice"\n'
    )
    found = read()
    assert names(found) == ["Chaceon affinis"]
    assert found.keys == {HEARD}
    assert found.problems == ()
    assert len(found.sha256) == 64


def test_those_who_disagree_are_all_kept_the_last_one_first(
    listed: Checklist, path: Path, read: Callable[..., Corrections]
) -> None:
    for minute, taxon_id in enumerate(["2", "1", "4", "2"]):
        record(path, HEARD, taxon(listed, taxon_id), now=NOON + timedelta(minutes=minute))
    assert names(read()) == ["Chaceon", "Desmophyllum pertusum", "Chaceon affinis"]
    assert len(read().about(HEARD)) == 4


def test_the_last_word_says_whether_it_is_a_name(
    listed: Checklist, path: Path, read: Callable[..., Corrections]
) -> None:
    record(path, HEARD, taxon(listed, "1"), now=NOON)
    record(path, HEARD, None, now=NOON + timedelta(seconds=1))
    assert read().is_no_name(HEARD)
    assert names(read()) == []
    record(path, HEARD, taxon(listed, "2"), now=NOON + timedelta(seconds=2))
    assert not read().is_no_name(HEARD)
    assert names(read()) == ["Chaceon", "Chaceon affinis"]


def test_undo_takes_back_one_name_or_all(listed: Checklist, path: Path, read: Callable[..., Corrections]) -> None:
    for taxon_id in ("1", "3", "2"):
        record(path, HEARD, taxon(listed, taxon_id), now=NOON)
    before = path.read_bytes()
    # By its synonym: it is the same taxon.
    gone = undo(path, listed, HEARD, taxon(listed, "4"), now=NOON)
    assert [s.name for s in gone] == ["Desmophyllum pertusum"]
    assert names(read()) == ["Chaceon", "Chaceon affinis"]
    gone = undo(path, listed, "CHASEY on a Finneys", by="B. Reader", now=NOON)
    assert [s.name for s in gone] == ["Chaceon", "Chaceon affinis"]
    assert read().keys == frozenset()
    assert [s.stands for s in read().statements] == [False] * 5
    assert path.read_bytes().startswith(before)
    record(path, HEARD, taxon(listed, "1"), now=NOON)
    assert names(read()) == ["Chaceon affinis"]


def test_undo_of_nothing_is_refused(listed: Checklist, path: Path) -> None:
    with pytest.raises(InputError, match="no correction of 'glass' stands"):
        undo(path, listed, "glass")
    assert not path.exists()
    record(path, HEARD, taxon(listed, "1"))
    before = path.read_bytes()
    with pytest.raises(InputError, match="as Chaceon stands"):
        undo(path, listed, HEARD, taxon(listed, "2"))
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "rows",
    [
        (f"{HEARD},Chaceon,2,means,,2031-06-14T12:00:00Z,",),
        (f"{HEARD},Chaceon,2,means,,2031-06-14T12:00:00.75Z,",),
        (f"{HEARD},Chaceon,2,means,,2031-06-14T23:00:00+11:00,",),
        ("other words,Chaceon,2,means,,2031-06-14T12:00:00Z,", f"{HEARD},Chaceon,2,,,,"),
    ],
)
def test_undo_counts_though_the_other_clock_was_fast(
    rows: tuple[str, ...], listed: Checklist, path: Path, read: Callable[..., Corrections]
) -> None:
    assert names(read(*rows)) == ["Chaceon"]
    undo(path, listed, HEARD, now=NOON - timedelta(days=1))
    assert names(read()) == []
    undone = read().statements[-1]
    assert undone.action == "undo"


def test_two_columns_by_hand_will_do(read: Callable[..., Corrections]) -> None:
    found = read(f"{HEARD};Chaceon affinis", ";", "the thing;", header="heard;scientificName")
    assert names(found) == ["Chaceon affinis"]
    assert [(p.line, p.reason) for p in found.problems] == [(4, "neither a name nor an action")]


@pytest.mark.parametrize(
    ("row", "reason", "severity"),
    [
        ("...,Chaceon,2,means,,,", "heard '...' has no letters a-z", "skipped"),
        ("42,Chaceon,2,means,,,", "heard '42' has no letters a-z", "skipped"),
        (",Chaceon,2,means,,,", "heard '' has no letters a-z", "skipped"),
        ("words,,,means,,,", "action 'means' without a name", "skipped"),
        ("words,,,,,,", "neither a name nor an action", "skipped"),
        ("words,Chaceon,2,no name,,,", "action 'no name' with a name", "skipped"),
        ("words,Chaceon,2,perhaps,,,", "action 'perhaps' is not understood", "skipped"),
        ("words,Chaseon,,means,,,", "'Chaseon' is not in the checklist", "skipped"),
        ("words,,99,means,,,", "'99' is not in the checklist", "skipped"),
        ("words,Talorchestia,,means,,,", "'Talorchestia' stands for 2 taxa of the checklist", "skipped"),
        ("words,Chaceon,1,means,,,", "taxonID '1' is not that of 'Chaceon'; the name is followed", "mended"),
        ("words,Chaceon,2,means,,yesterday,", "at 'yesterday' is no time; taken to be as old", "mended"),
        ("words,Chaceon,2,means,,9999-12-31T23:00:00-05:00,", "at '9999-12-31T23:00:00-05:00' is no", "mended"),
        ("wo\0rds,Chaceon,2,means,,,", "holds unreadable characters", "skipped"),
        ("words,Chaceon,2,means,,,,,,surplus", "10 cells in this line", "skipped"),
        ('"words,Chaceon,2', "the cells of this line cannot be told apart", "skipped"),
    ],
)
def test_bad_row_is_a_problem_and_the_others_count(
    row: str, reason: str, severity: str, read: Callable[..., Corrections], path: Path
) -> None:
    good = f"{HEARD},Chaceon affinis,1,means,,2031-06-14T12:00:00Z,"
    found = read(good, row, good)
    assert [(p.file, p.line, p.severity) for p in found.problems] == [(str(path), 3, severity)]
    assert found.problems[0].reason.startswith(reason)
    assert names(found) == ["Chaceon affinis"]
    assert names(found, "words") == (["Chaceon"] if severity == "mended" else [])


def test_a_homonym_is_told_by_its_id(read: Callable[..., Corrections], listed: Checklist) -> None:
    found = read(f"{HEARD},Talorchestia,6,means,,,")
    assert found.names_for(HEARD) == (listed.by_id("6"),)
    assert found.problems == ()


def test_a_bad_name_that_was_taken_back_is_no_problem(read: Callable[..., Corrections]) -> None:
    assert read("words,Chaseon,,means,,,", "words,Chaseon,,undo,,,").problems == ()
    assert read("words,Chaseon,,means,,,", "words,,,undo,,,").problems == ()
    assert len(read("words,Chaseon,,means,,,", "words,Chaceon,,undo,,,").problems) == 1


@pytest.mark.parametrize(
    "heard", ["", "  ", "...", "1 2 3", "\n", "глубина", "a" * (LONGEST_HEARD + 1), "half \ud800", "\ufffd a"]
)
def test_words_that_cannot_be_compared_are_refused(heard: str, listed: Checklist, path: Path) -> None:
    with pytest.raises(InputError):
        record(path, heard, taxon(listed, "1"))
    with pytest.raises(InputError):
        undo(path, listed, heard)
    assert not path.exists()


def test_text_comes_back_as_it_was(listed: Checklist, path: Path) -> None:
    heard = ["=1+1 crab", "-2 crabs", "@sum(a)", 'a "b", c', "naïve œuf", "'tis", "a;b"]
    for words in heard:
        record(path, words, taxon(listed, "1"), by=words, note=f"{words}\n{words}", now=NOON)
    said = load_corrections(path, listed).statements
    assert [(s.heard, s.by, s.note) for s in said] == [(words, words, f"{words} {words}") for words in heard]
    assert [s.key for s in said] == [spoken_key(words) for words in heard]


def test_times_are_rfc_3339_in_utc(listed: Checklist, path: Path) -> None:
    """RFC 3339, section 5.6: date-time with the offset Z."""
    record(path, HEARD, taxon(listed, "1"), now=NOON.astimezone(timezone(timedelta(hours=-7))))
    record(path, HEARD, taxon(listed, "1"))
    first, second = load_corrections(path, listed).statements
    assert second.at == "2031-06-14T12:00:00Z" or first.at == "2031-06-14T12:00:00Z"
    for said in (first, second):
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", said.at)


@pytest.mark.parametrize(
    ("checklist", "beside"),
    [
        ("lists/taxa.csv", "lists/taxa.corrections.csv"),
        ("taxa.csv.gz", "taxa.corrections.csv"),
        ("north.2031.tsv", "north.2031.corrections.csv"),
        ("archive.zip", "archive.corrections.csv"),
        ("taxa", "taxa.corrections.csv"),
    ],
)
def test_corrections_lie_beside_the_checklist(checklist: str, beside: str) -> None:
    assert corrections_path(checklist) == Path(beside)


def test_corrections_of_a_folder_lie_beside_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "archive.v2"
    folder.mkdir()
    assert corrections_path(folder) == tmp_path / "archive.v2.corrections.csv"
    monkeypatch.chdir(folder)
    assert corrections_path(".").resolve() == tmp_path / "archive.v2.corrections.csv"


SAID = st.tuples(st.sampled_from(["red crab", "coral"]), st.sampled_from(["means", "no name", "undo", "undo all"]),
                 st.sampled_from(["1", "2", "3", "4"]))  # fmt: skip


def replay(said: Sequence[tuple[str, str, str]], listed: Checklist) -> dict[str, list[str]]:
    """What stands of each words, oldest first: the plain reading of the log."""
    stands: dict[str, list[str]] = {}
    for heard, action, taxon_id in said:
        accepted = listed.taxon(taxon(listed, taxon_id).accepted).taxon_id
        now = stands.setdefault(heard, [])
        if action == "undo all":
            now.clear()
        elif action == "undo":
            stands[heard] = [one for one in now if one != accepted]
        else:
            now.append(accepted if action == "means" else "")
    return stands


@given(st.lists(SAID, max_size=12), st.data())
def test_the_order_of_joined_files_does_not_matter(
    listed: Checklist,
    tmp_path_factory: pytest.TempPathFactory,
    said: list[tuple[str, str, str]],
    data: st.DataObject,
) -> None:
    lines = []
    for second, (heard, action, taxon_id) in enumerate(said):
        one = taxon(listed, taxon_id)
        cells = [one.scientific_name, one.taxon_id] if action in ("means", "undo") else ["", ""]
        at = f"2031-06-14T12:00:{second:02d}Z"
        lines.append(",".join([heard, *cells, action.removesuffix(" all"), "", at, ""]))
    mixed = data.draw(st.permutations([",".join(COLUMNS), *lines]))
    path = tmp_path_factory.mktemp("joined") / "c.csv"
    path.write_text("\n".join([",".join(COLUMNS), *mixed]) + "\n", encoding="utf-8")
    found = load_corrections(path, listed)
    assert found.problems == ()
    for heard, stands in replay(said, listed).items():
        assert found.is_no_name(heard) == (stands[-1:] == [""])
        newest = list(dict.fromkeys(one for one in reversed(stands) if one))
        ids = [listed.taxon(row).taxon_id for row in found.names_for(heard)]
        assert ids == ([] if found.is_no_name(heard) else newest)
