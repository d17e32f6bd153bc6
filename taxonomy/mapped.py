"""Strings and look-ups that can lie in files and be read where they lie: columns come in, memory-mapped parts go out.

Each kind is made of named parts (arrays, tries), which `save_parts` writes and the `open_` functions map: opening takes
no longer for more, and processes share the memory. Refuses (OSError, ValueError, RuntimeError) files that cannot be
mapped; whether their content is whole has to be checked before.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence, Set
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeAlias, overload

import marisa_trie
import numpy as np
import numpy.typing as npt

Part: TypeAlias = "npt.NDArray[Any] | marisa_trie.Trie"


class Strings(Sequence[str]):
    """Strings end to end in UTF-8; a string is made when it is asked for.

    Args:
        letters: all bytes.
        begin: where each string begins, and where the last one ends.
    """

    def __init__(self, letters: npt.NDArray[np.uint8], begin: npt.NDArray[np.int64]):
        self.letters, self.begin = letters, begin

    @classmethod
    def of(cls, strings: Iterable[str]) -> Strings:
        """Strings stored end to end."""
        encoded = [string.encode() for string in strings]
        begin = np.zeros(len(encoded) + 1, dtype=np.int64)
        np.cumsum(np.fromiter(map(len, encoded), dtype=np.int64, count=len(encoded)), out=begin[1:])
        return cls(np.frombuffer(b"".join(encoded), dtype=np.uint8), begin)

    def parts(self) -> dict[str, Part]:
        """What has to be kept."""
        return {"letters": self.letters, "begin": self.begin}

    def __len__(self) -> int:
        return len(self.begin) - 1

    @overload
    def __getitem__(self, at: int) -> str: ...
    @overload
    def __getitem__(self, at: slice) -> list[str]: ...
    def __getitem__(self, at: int | slice) -> str | list[str]:
        if isinstance(at, slice):
            return [self[i] for i in range(*at.indices(len(self)))]
        if not -len(self) <= at < len(self):
            raise IndexError(f"string {at} of {len(self)}")
        at %= len(self)
        return self.letters[self.begin.item(at) : self.begin.item(at + 1)].tobytes().decode()

    def __iter__(self) -> Iterator[str]:
        letters, bounds = self.letters.tobytes(), self.begin.tolist()
        return (letters[a:b].decode() for a, b in pairwise(bounds))


class _Keyed:
    """What a set and a map over a static trie have in common: its strings."""

    trie: marisa_trie.Trie

    def __len__(self) -> int:
        return len(self.trie)

    def __iter__(self) -> Iterator[str]:
        return iter(self.trie)

    def __contains__(self, string: object) -> bool:
        return key_number(self.trie, string) is not None


class TrieSet(_Keyed, Set[str]):
    """A set of strings in a static trie."""

    def __init__(self, trie: marisa_trie.Trie):
        self.trie = trie

    @classmethod
    def of(cls, strings: Iterable[str]) -> TrieSet:
        """The set of these strings."""
        return cls(_trie(list(strings)))

    @classmethod
    def _from_iterable(cls, things: Iterable[Any]) -> Set[Any]:
        return frozenset(things)

    def parts(self) -> dict[str, Part]:
        """What has to be kept."""
        return {"trie": self.trie}


class TrieMap(_Keyed, Mapping[str, tuple[int, ...]]):
    """Strings to numbers, several each: a static trie numbers the strings, two flat arrays hold what each leads to.

    Args:
        trie: the strings.
        begin: where the numbers of each string begin, and where the last one's end.
        values: all numbers.
    """

    def __init__(self, trie: marisa_trie.Trie, begin: npt.NDArray[np.int32], values: npt.NDArray[np.int32]):
        self.trie, self.begin, self.values_by_key = trie, begin, values

    @classmethod
    def of(cls, strings: Collection[str], values: npt.NDArray[np.int32]) -> TrieMap:
        """Each string leads to the value beside it; the values of one string keep their order."""
        trie = _trie(strings)
        numbers = np.fromiter(map(trie.key_id, strings), dtype=np.int32, count=len(strings))
        begin = np.zeros(len(trie) + 1, dtype=np.int32)
        np.cumsum(np.bincount(numbers, minlength=len(trie)), out=begin[1:])
        return cls(trie, begin, values[np.argsort(numbers, kind="stable")].astype(np.int32))

    def parts(self) -> dict[str, Part]:
        """What has to be kept."""
        return {"trie": self.trie, "begin": self.begin, "values": self.values_by_key}

    def __getitem__(self, string: str) -> tuple[int, ...]:
        number = key_number(self.trie, string)
        if number is None:
            raise KeyError(string)
        return tuple(self.values_by_key[self.begin.item(number) : self.begin.item(number + 1)].tolist())


def _trie(strings: Collection[str]) -> marisa_trie.Trie:
    """A trie of strings without zero bytes, at which the library's look-ups end.

    Raises:
        ValueError: a string has one.
    """
    if any("\0" in string for string in strings):
        raise ValueError("a string with a zero byte cannot be looked up")
    return marisa_trie.Trie(strings)


def key_number(trie: marisa_trie.Trie, string: object) -> int | None:
    """The number a trie has for a string, or None."""
    if not isinstance(string, str) or "\0" in string:
        return None
    try:
        number: int | None = trie.get(string)
    except UnicodeEncodeError:
        # Half a surrogate pair, as arguments that are no text bring along, is in no list.
        return None
    return number


def save_parts(folder: Path, name: str, parts: Mapping[str, Part]) -> None:
    """Write parts as NAME.PART.npy and NAME.PART.trie.

    Raises:
        OSError: the folder cannot be written.
    """
    for kind, part in parts.items():
        if isinstance(part, marisa_trie.Trie):
            # Through Python, as the library's own writing tells of a full disk by a bare RuntimeError.
            (folder / f"{name}.{kind}.trie").write_bytes(part.tobytes())
        else:
            np.save(folder / f"{name}.{kind}.npy", part, allow_pickle=False)


def open_array(path: Path) -> npt.NDArray[Any]:
    """The array of a .npy file, mapped and read-only."""
    # Not the subclass numpy.memmap: each number read from that costs several times as much.
    mapped: npt.NDArray[Any] = np.load(path, mmap_mode="r", allow_pickle=False).view(np.ndarray)
    return mapped


def open_trie(path: Path) -> marisa_trie.Trie:
    """The trie of a file, mapped."""
    trie = marisa_trie.Trie()
    trie.mmap(str(path))
    return trie


def open_strings(folder: Path, name: str) -> Strings:
    """Strings that `save_parts` wrote."""
    return Strings(open_array(folder / f"{name}.letters.npy"), open_array(folder / f"{name}.begin.npy"))


def open_set(folder: Path, name: str) -> TrieSet:
    """A set that `save_parts` wrote."""
    return TrieSet(open_trie(folder / f"{name}.trie.trie"))


def open_map(folder: Path, name: str) -> TrieMap:
    """A map that `save_parts` wrote."""
    trie = open_trie(folder / f"{name}.trie.trie")
    return TrieMap(trie, open_array(folder / f"{name}.begin.npy"), open_array(folder / f"{name}.values.npy"))
