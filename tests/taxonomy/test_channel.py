"""The noisy channel against a plain table of alignments, and against edit distances of RapidFuzz where it is one."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from rapidfuzz.distance import Indel, Levenshtein

from earwitness.taxonomy import channel as channel_module
from earwitness.taxonomy.channel import LONGEST, UNITS, Channel, Costs, learned, read_costs
from earwitness.taxonomy.hearing import LETTERS, SOUNDS
from earwitness.taxonomy.pronounce import pronounce
from earwitness.taxonomy.tables import data_rows

ABC = "abc"
UNKNOWN = "?"
DEAR = 6.0
"""What a symbol put in or left out costs where nothing is known of it."""


def plain_cost(heard: str, name: str, costs: Costs) -> float:
    """The cheapest cutting of two strings into units, by a table filled cell by cell."""

    def price(of_name: str, of_heard: str) -> float:
        known = costs.get((of_name, of_heard))
        if known is not None:
            return known
        if len(of_name) + len(of_heard) == 1:
            return DEAR
        if len(of_name) == len(of_heard) == 1 and UNKNOWN in of_name + of_heard:
            return 0.5 if of_name == of_heard else DEAR
        return float("inf")

    best: dict[tuple[int, int], float] = {}
    for i, j in product(range(len(name) + 1), range(len(heard) + 1)):
        steps = [
            best[i - of_name, j - of_heard] + price(name[i - of_name : i], heard[j - of_heard : j])
            for of_name, of_heard in ((0, 1), (1, 0), *UNITS)
            if of_name <= i and of_heard <= j
        ]
        best[i, j] = min(steps, default=0.0)
    return best[len(name), len(heard)]


def runs(length: int) -> st.SearchStrategy[str]:
    return st.text(ABC, min_size=length, max_size=length)


PRICE = st.floats(0, 9, width=32)
UNIT = st.sampled_from([(0, 1), (1, 0), *UNITS]).flatmap(lambda unit: st.tuples(runs(unit[0]), runs(unit[1])))
COSTS = st.dictionaries(UNIT, PRICE, max_size=25)
STRING = st.text(ABC + UNKNOWN, max_size=9)
PAIRS = st.lists(st.tuples(STRING, STRING), min_size=1, max_size=6)


@given(COSTS, PAIRS)
@example({("abc", "b"): 0.25, ("c", "abc"): 0.5}, [("babc", "abcc"), ("", "abc"), ("abc", "")])
@example({("abc", "ca"): 0.25, ("ab", "cab"): 0.5}, [("cacab", "abcab"), ("ca", "abc"), ("cab", "ab")])
@example({("ab", "ba"): 0.125, ("a", "bb"): 0.25, ("bb", "a"): 0.25}, [("baabb", "abba"), ("?ba", "?ab"), ("?", "a")])
def test_costs_are_those_of_a_plain_table(costs: dict[tuple[str, str], float], pairs: list[tuple[str, str]]) -> None:
    heard, names = zip(*pairs, strict=True)
    together = Channel(ABC, costs).costs(heard, names)
    assert together == pytest.approx([plain_cost(h, n, costs) for h, n in pairs], abs=1e-4)
    # Neither the neighbours in the batch nor their lengths matter, to the last bit.
    alone = [Channel(ABC, costs).costs([h], [n])[0] for h, n in pairs]
    assert together.tolist() == alone
    assert Channel(ABC, costs).costs(heard[::-1], names[::-1]).tolist() == alone[::-1]


@pytest.mark.parametrize("size", UNITS)
def test_a_unit_of_every_size_is_used(size: tuple[int, int]) -> None:
    of_name, of_heard = "abc"[: size[0]], "cba"[: size[1]]
    channel = Channel(ABC, {(of_name, of_heard): 0.25})
    assert channel.costs(["b" + of_heard], [of_name + "b"])[0] > 0.25
    assert channel.costs([of_heard], [of_name])[0] == 0.25
    assert channel.costs([of_heard * 2], [of_name * 2])[0] == 0.5


def edits(alphabet: str, changed: float) -> dict[tuple[str, str], float]:
    """Every symbol put in or left out for 1, kept for 0, changed for this much."""
    costs = {(a, b): 0.0 if a == b else changed for a, b in product(alphabet, repeat=2)}
    return costs | {(a, ""): 1.0 for a in alphabet} | {("", a): 1.0 for a in alphabet}


WORD = st.text("abcde", max_size=LONGEST + 6)
SIMPLE = {changed: Channel("abcde", edits("abcde", changed)) for changed in (1.0, 2.0)}


@given(st.lists(st.tuples(WORD, WORD), max_size=5))
@example([("abcde" * 13, "abcde" * 12 + "edcba"), ("", "a" * LONGEST), ("a" * 70, "b")])
@example([])
def test_with_unit_costs_it_is_an_edit_distance(pairs: list[tuple[str, str]]) -> None:
    """Reference: Levenshtein and indel distance of RapidFuzz."""
    heard, names = [h for h, _ in pairs], [n for _, n in pairs]
    cut = [(h[:LONGEST], n[:LONGEST]) for h, n in pairs]
    assert SIMPLE[1.0].costs(heard, names).tolist() == [Levenshtein.distance(h, n) for h, n in cut]
    assert SIMPLE[2.0].costs(heard, names).tolist() == [Indel.distance(h, n) for h, n in cut]


def test_many_pairs_are_worked_on_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    words = ["".join(word) for size in range(5) for word in product("abd", repeat=size)]
    heard, names = [word for word in words for _ in range(9)], (words * 9)[: 9 * len(words)]
    whole = SIMPLE[1.0].costs(heard, names)
    monkeypatch.setattr(channel_module, "_AT_ONCE", 7)
    assert len(heard) > 1000
    assert SIMPLE[1.0].costs(heard, names).tolist() == whole.tolist()
    assert whole.tolist() == [Levenshtein.distance(h, n) for h, n in zip(heard, names, strict=True)]


@pytest.mark.parametrize(("heard", "name", "cost"), [("é", "é", 0.5), ("é", "ж", 0.5), ("é", "a", 6), ("", "海", 6)])
def test_symbols_outside_the_alphabet_are_one_symbol(heard: str, name: str, cost: float) -> None:
    channel = Channel(ABC, edits(ABC, 1.0))
    assert channel.costs([heard], [name]).tolist() == [cost]
    assert channel.costs([name], [heard]).tolist() == [cost]


@given(st.lists(st.text("abcé ñ", max_size=LONGEST + 9) | st.text(), max_size=5))
@example([])
@example([""])
@example(["", "a" * 200, "\ud800c", "a\0b\0"])
def test_symbols_lead_back_to_strings(strings: list[str]) -> None:
    channel = Channel(ABC, {})
    expected = ["".join(c if c in ABC else UNKNOWN for c in string[:LONGEST]) for string in strings]
    symbols = channel.symbols(strings)
    assert channel.strings(symbols) == expected
    assert np.count_nonzero(symbols, axis=1).tolist() == [min(len(string), LONGEST) for string in strings]


@pytest.mark.parametrize(("file", "alphabet"), [("channel_sounds.csv", SOUNDS), ("channel_letters.csv", LETTERS)])
def test_learned_costs(file: str, alphabet: str) -> None:
    costs = dict(read_costs(file))
    assert len(costs) == len(data_rows(file))
    assert all(row["source"] for row in data_rows(file))
    assert {(len(name), len(heard)) for name, heard in costs} <= {(0, 1), (1, 0), *UNITS}
    assert {symbol for unit in costs for side in unit for symbol in side} == set(alphabet)
    # Negative logs of probabilities; to keep a symbol is always the cheapest thing that can become of it alone.
    assert min(costs.values()) > 0
    for symbol in alphabet:
        others = [costs.get((symbol, other), 1e6) for other in ("", *alphabet) if other != symbol]
        assert costs[symbol, symbol] < min(others)


SOUNDEX: Sequence[Sequence[str]] = (("robert", "rupert"), ("rubin",), ("ashcraft", "ashcroft"), ("smith", "smythe"))
"""Words with the same code stand together (R163, R150, A261, S530): the usual worked examples of the American Soundex,
from memory; its rules are on the US National Archives' page on the Soundex indexing system."""


def test_names_that_soundex_calls_alike_are_nearer_than_others() -> None:
    channel = learned("channel_sounds.csv", SOUNDS)

    def cost(one: str, other: str) -> float:
        return float(max(channel.costs([pronounce(one), pronounce(other)], [pronounce(other), pronounce(one)])))

    checked = 0
    for group in SOUNDEX:
        strangers = [word for other in SOUNDEX if other is not group for word in other]
        for one, other in product(group, repeat=2):
            if one != other:
                checked += 1
                assert cost(one, other) < 0.75 * min(cost(one, stranger) for stranger in strangers)
    assert checked == 6
