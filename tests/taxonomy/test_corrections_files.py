"""Files of corrections as people and spreadsheets leave them: read, added to, refused."""

from __future__ import annotations

import contextlib
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.schemas import InputError
from earwitness.taxonomy import Checklist, load_checklist
from earwitness.taxonomy.corrections import COLUMNS, load_corrections, record
from tests.taxonomy.test_corrections import HEARD, LIST, names, taxon

NOON = datetime(2031, 6, 14, 12, tzinfo=UTC)


@pytest.fixture(scope="module")
def listed(tmp_path_factory: pytest.TempPathFactory) -> Checklist:
    path = tmp_path_factory.mktemp("list") / "taxa.csv"
    path.write_text(LIST, encoding="utf-8")
    return load_checklist(path)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "taxa.corrections.csv"


MANNERS = {
    "semicolons": "heard;scientificName;taxonID;action;by;at;note\n",
    "tabs": "heard\tscientificName\ttaxonID\taction\tby\tat\tnote\n",
    "CRLF": "heard,scientificName,taxonID,action,by,at,note\r\nsome words,Chaceon,2,,,,\r\n",
    "CR": "heard,scientificName,taxonID,action,by,at,note\rsome words,Chaceon,2,,,,\r",
    "byte order mark": "\ufeffheard,scientificName,taxonID,action,by,at,note\n",
    "other order, own column": "checked,note,at,by,action,taxonID,scientificName,heard\nyes,,,,,2,Chaceon,some words\n",
    "no line end": "heard,scientificName,taxonID,action,by,at,note\nsome words,Chaceon,2,,,,",
    "broken off": 'heard,scientificName,taxonID,action,by,at,note\nsome words,Chaceon,2,,,,\n"bro',
    "blank": " \n",
    "blank lines first": "\n \n\t\nheard,scientificName,taxonID,action,by,at,note\nwords,Chaceon,2,,,,\n",
}


@pytest.mark.parametrize("manner", MANNERS)
def test_a_row_is_added_in_the_manner_of_the_file(manner: str, listed: Checklist, path: Path) -> None:
    before = MANNERS[manner].encode()
    path.write_bytes(before)
    known = load_corrections(path, listed)
    for taxon_id in ("1", "2"):
        record(path, HEARD, taxon(listed, taxon_id), note="a, b; c\td", now=NOON)
    assert path.read_bytes().startswith(before)
    found = load_corrections(path, listed)
    assert names(found) == ["Chaceon", "Chaceon affinis"]
    assert [s for s in found.statements if s.key != HEARD] == list(known.statements)
    assert [p.line for p in found.problems] == ([3] if manner == "broken off" else [])


def test_files_of_other_encodings_are_read(listed: Checklist, path: Path) -> None:
    text = "heard;scientificName\r\ncafé crab;Chaceon\r\n"
    path.write_bytes(text.encode("cp1252"))
    found = load_corrections(path, listed)
    assert names(found, "cafe crab") == ["Chaceon"]
    assert [p.severity for p in found.problems] == ["mended"]
    path.write_bytes(text.encode("utf-16"))
    assert names(load_corrections(path, listed), "cafe crab") == ["Chaceon"]


@pytest.mark.parametrize("text", ["a,b\n1,2\n", "heard\nwords\n", "\0\0\0", "\r\r", '"', "x" * 200_000])
def test_what_is_no_file_of_corrections_is_refused_or_empty(text: str, listed: Checklist, path: Path) -> None:
    path.write_bytes(text.encode())
    if text.strip():
        with pytest.raises(InputError, match="no header of corrections"):
            load_corrections(path, listed)
    else:
        assert load_corrections(path, listed).statements == ()


def test_a_place_that_cannot_be_read(listed: Checklist, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load_corrections(tmp_path, listed)


@given(st.binary(max_size=200))
def test_no_bytes_make_it_crash(listed: Checklist, tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    path = tmp_path_factory.mktemp("bytes") / "c.csv"
    path.write_bytes(",".join(COLUMNS).encode() + b"\n" + data)
    found = load_corrections(path, listed)
    assert all(s.line > 1 for s in found.statements)
    path.write_bytes(data)
    # Without the header there is nothing to be read.
    with contextlib.suppress(InputError):
        assert load_corrections(path, listed).statements == ()
