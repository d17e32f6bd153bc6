"""Strings, sets and maps of tries against Python's own list, set and dict, in memory and mapped."""

from __future__ import annotations

import mmap
import pickle
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from earwitness.taxonomy.mapped import Strings, TrieMap, TrieSet, open_map, open_set, open_strings, save_parts

TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=8) | st.text(
    "ab ", max_size=4
)
ODD = ["", "a", "a", "a b", "æ", "œ", "é", "e\u0301", "Ж", "海", "\U00010400", "x" * 70]


def mapped(thing: Any, opened: Callable[[Path, str], Any]) -> Any:
    """The same thing, written and opened again; a mapping outlives the file's name."""
    with TemporaryDirectory() as folder:
        save_parts(Path(folder), "thing", thing.parts())
        return opened(Path(folder), "thing")


@given(st.lists(TEXTS, max_size=12))
@example(ODD)
@example([])
@example([""])
def test_strings_are_a_list(texts: list[str]) -> None:
    made = Strings.of(texts)
    for strings in (made, mapped(made, open_strings), pickle.loads(pickle.dumps(made))):
        assert list(strings) == texts
        assert len(strings) == len(texts)
        assert [strings[i] for i in range(-len(texts), len(texts))] == texts * 2
        assert strings[1:7:2] == texts[1:7:2]
        for outside in (len(texts), -len(texts) - 1):
            with pytest.raises(IndexError):
                strings[outside]


HEARD = TEXTS | st.sampled_from(["\0", "a\0", "\0a", "ab\0b"])


@given(st.lists(TEXTS, max_size=12), HEARD)
@example(ODD, "b")
@example(ODD, "a\0")
@example([], "")
def test_a_trie_set_is_a_set(texts: list[str], other: str) -> None:
    made = TrieSet.of(texts)
    for strings in (made, mapped(made, open_set), pickle.loads(pickle.dumps(made))):
        assert strings == set(texts)
        assert len(strings) == len(set(texts))
        assert [text in strings for text in [*texts, other]] == [text in set(texts) for text in [*texts, other]]
        assert strings & {other, "a"} == set(texts) & {other, "a"}
        assert "\udc80" not in strings
        assert 3 not in strings


@given(st.lists(st.tuples(TEXTS, st.integers(-5, 2**31 - 1)), max_size=12), HEARD)
@example([(text, number) for number, text in enumerate(ODD)], "b")
@example([], "")
def test_a_trie_map_is_a_dict_of_lists(pairs: list[tuple[str, int]], other: str) -> None:
    plain: dict[str, tuple[int, ...]] = {}
    for text, number in pairs:
        plain[text] = (*plain.get(text, ()), number)
    made = TrieMap.of([text for text, _ in pairs], np.array([number for _, number in pairs], dtype=np.int32))
    for numbers in (made, mapped(made, open_map), pickle.loads(pickle.dumps(made))):
        assert numbers == plain
        assert len(numbers) == len(plain)
        assert numbers.get(other, "none") == plain.get(other, "none")
        assert (other in numbers) == (other in plain)
        assert numbers.get("\udc80") is None
        with pytest.raises(KeyError):
            numbers["not there at all"]


def test_zero_bytes_are_refused() -> None:
    with pytest.raises(ValueError, match="zero byte"):
        TrieSet.of(["a", "a\0"])


def test_what_was_opened_lies_in_the_file(tmp_path: Path) -> None:
    save_parts(tmp_path, "thing", Strings.of(ODD).parts())
    letters: Any = open_strings(tmp_path, "thing").letters
    assert not letters.flags.writeable
    while isinstance(letters, np.ndarray):
        letters = letters.base
    assert isinstance(letters, mmap.mmap)


def test_a_folder_may_have_any_name(tmp_path: Path) -> None:
    folder = tmp_path / "Zoë 海"
    folder.mkdir()
    save_parts(folder, "thing", TrieSet.of(ODD).parts())
    assert open_set(folder, "thing") == set(ODD)
