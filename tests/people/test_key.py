"""The key of pseudonyms: what it gives, what it keeps, what it refuses."""

from __future__ import annotations

import csv
import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earwitness.pipeline.people import check_key, extend_key, refuse_key_within
from earwitness.schemas import InputError


def rows(path: Path) -> list[tuple[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return [(row["name"], row["pseudonym"]) for row in csv.DictReader(lines)]


def test_names_are_numbered_as_they_come(tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    assert extend_key(key, ["Odette", "S1", "Limpet"]) == {"odette": "Person 1", "s1": "Person 2", "limpet": "Person 3"}
    assert rows(key) == [("Odette", "Person 1"), ("S1", "Person 2"), ("Limpet", "Person 3")]
    assert extend_key(key, ["Bram", "odette", "LIMPET"])["bram"] == "Person 4"
    assert rows(key)[3:] == [("Bram", "Person 4")]
    assert list(tmp_path.iterdir()) == [key]


def test_the_key_is_its_owners_alone(tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    extend_key(key, ["Odette"])
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    key.chmod(0o644)
    extend_key(key, ["Bram"])
    assert stat.S_IMODE(key.stat().st_mode) == 0o600


def test_entries_stay_byte_for_byte(tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    before = "﻿note;name;pseudonym\r\nchief;Odette Vane;Speaker A\r\n;Bram;Person 7".encode()
    key.write_bytes(before)
    entries = extend_key(key, ["Odette Vane", "Odette", "Ida"])
    assert entries == {"odette vane": "Speaker A", "bram": "Person 7", "odette": "Speaker A", "ida": "Person 8"}
    assert key.read_bytes() == before + b"\r\n;Odette;Speaker A\r\n;Ida;Person 8\r\n"


def test_nothing_new_leaves_the_file_alone(tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    extend_key(key, ["Odette"])
    number = key.stat().st_ino
    assert extend_key(key, ["odette"]) == {"odette": "Person 1"}
    assert key.stat().st_ino == number


def test_a_full_name_and_its_parts_are_one_person(tmp_path: Path) -> None:
    entries = extend_key(tmp_path / "key.csv", ["Odette", "Odette Vane", "Vane", "Ida"])
    assert [entries[name] for name in ("odette", "odette vane", "vane", "ida")] == ["Person 1"] * 3 + ["Person 2"]


def test_two_names_may_be_given_one_pseudonym_by_hand(tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    key.write_text("name,pseudonym\nOdette,Person 1\nLimpet,Person 1\n", encoding="utf-8")
    assert extend_key(key, ["Limpet"])["limpet"] == "Person 1"


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "safe").mkdir()
    link = tmp_path / "key.csv"
    link.symlink_to(tmp_path / "safe" / "real.csv")
    extend_key(link, ["Odette"])
    assert link.is_symlink()
    assert rows(tmp_path / "safe" / "real.csv") == [("Odette", "Person 1")]


def test_runs_at_once_lose_nothing(tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    names = [f"Name{chr(97 + n % 26)}{chr(97 + n // 26)}" for n in range(60)]
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda name: extend_key(key, [name]), names))
    written = rows(key)
    assert sorted(name for name, _ in written) == sorted(names)
    assert len({pseudonym for _, pseudonym in written}) == 60


@given(st.lists(st.text(max_size=12), max_size=6))
def test_any_label_comes_back(tmp_path_factory: pytest.TempPathFactory, names: list[str]) -> None:
    """Whatever a label holds: it is read again as it was written, and is no formula to a spreadsheet."""
    key = tmp_path_factory.mktemp("key") / "key.csv"
    names = [name for name in names if name.isprintable()]
    first = dict(extend_key(key, names))
    assert dict(extend_key(key, names)) == first
    if key.exists():
        assert not [line for line in key.read_text("utf-8").splitlines() if line.startswith(("=", "+", "-", "@"))]


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"who,what\nOdette,Person 1\n", "key.csv:1: has no columns name and pseudonym"),
        (b"name,pseudonym\nOdette,\n", "key.csv:2: a name without its pseudonym"),
        (b"name,pseudonym\nOdette,Person 1\n\nodette,Person 2\n", "key.csv:4: a name has two pseudonyms"),
        (b"name,pseudonym\nOd\xe9tte,Person 1\n", "key.csv: is not UTF-8"),
        (b"WEBVTT\n\n00:00.000 --> 00:01.000\nHello.\n", "key.csv:1: has no columns"),
    ],
)
def test_what_is_no_key_is_refused_and_left_alone(content: bytes, told: str, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    key.write_bytes(content)
    for use in (check_key, lambda path: extend_key(path, ["Ida"])):
        with pytest.raises(InputError) as refused:
            use(key)
        assert told in str(refused.value)
    assert key.read_bytes() == content


def test_a_place_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for place, told in ((tmp_path / "no" / "key.csv", "no such folder"), (tmp_path, "is a folder")):
        with pytest.raises(InputError, match=told):
            check_key(place)
    with pytest.raises(InputError):
        check_key(tmp_path / "file" / "key.csv")


@pytest.mark.parametrize("inside", ["out/key.csv", "out/deep/key.csv", "out", "other/../out/key.csv", "link/key.csv"])
def test_a_key_among_the_results_is_refused(inside: str, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "other").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "out")
    with pytest.raises(InputError, match="folder of results"):
        refuse_key_within(tmp_path / inside, tmp_path / "out")


def test_a_key_beside_the_results_is_taken(tmp_path: Path) -> None:
    refuse_key_within(tmp_path / "out.csv", tmp_path / "out")
    refuse_key_within(tmp_path / "key.csv", tmp_path / "out")
