"""Hearing: what is told of each name heard, against working it out pair by pair; odd words and odd lists."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from earwitness.taxonomy import NameIndex
from earwitness.taxonomy.channel import LONGEST
from earwitness.taxonomy.fold import letters_of
from earwitness.taxonomy.hearing import HEARD, NEAR, Ear, Hearings, learned_models, name_arrays
from earwitness.taxonomy.pronounce import pronounce, pronounce_all
from tests.taxonomy.deep_list import JUNK, index_of

HEARD_WORDS = ["chasey on a finneys", "goodness decrisis", "senolaria ultima", "vampire squids", "io"]
KEY = st.text("abcdefghijklmnopqrstuvwxyz ", max_size=30)
KEYS = st.lists(KEY | st.sampled_from(JUNK), max_size=4)


@pytest.fixture(scope="module")
def index(tmp_path_factory: pytest.TempPathFactory) -> NameIndex:
    return index_of(tmp_path_factory.mktemp("ear") / "list.csv")


@pytest.fixture(scope="module")
def names(index: NameIndex) -> list[str]:
    return [entry.key for entry in index.entries]


@pytest.fixture(scope="module")
def ear(names: list[str]) -> Ear:
    return Ear(name_arrays(names))


def rows_of(hearings: Hearings, query: int) -> list[list[object]]:
    """Everything told of one query's names."""
    mine = hearings.queries == query
    columns = (
        hearings.entries,
        hearings.sound_costs,
        hearings.letter_costs,
        hearings.sound_lengths,
        hearings.letter_lengths,
        hearings.edges,
    )
    return [column[mine].tolist() for column in columns]


def test_what_is_told_of_each_name(ear: Ear, names: list[str]) -> None:
    models, hearings = learned_models(), ear.hear(HEARD_WORDS)
    assert len(hearings.queries) > 4 * 20
    for row, (query, entry) in enumerate(zip(hearings.queries.tolist(), hearings.entries.tolist(), strict=True)):
        key, name = HEARD_WORDS[query], names[entry]
        said, meant = pronounce(key), pronounce(name)
        assert hearings.sound_costs[row] == models.sounds.costs([said], [meant])[0]
        assert hearings.letter_costs[row] == models.letters.costs([letters_of(key)], [letters_of(name)])[0]
        assert hearings.sound_lengths[row].tolist() == [len(said), len(meant)]
        assert hearings.letter_lengths[row].tolist() == [len(letters_of(key)), len(letters_of(name))]
        assert hearings.edges[row].tolist() == [said[0] == meant[0], said[-1] == meant[-1], key[0] == name[0]]


def test_the_cheapest_of_the_nearest_are_kept(ear: Ear) -> None:
    near, _ = ear.nearest(HEARD_WORDS, 30)
    many, few = ear.hear(HEARD_WORDS, 30, 30), ear.hear(HEARD_WORDS, 30, 4)
    for query in range(len(HEARD_WORDS)):
        entries, costs, *_ = rows_of(many, query)
        assert sorted(entries) == sorted(near[query].tolist())
        kept, kept_costs, *_ = rows_of(few, query)
        assert len(kept) == 4
        assert set(kept) <= set(entries)
        assert sorted(kept_costs) == sorted(costs)[:4]


def test_a_short_list_is_heard_whole(ear: Ear, names: list[str]) -> None:
    near, _ = ear.nearest(HEARD_WORDS, NEAR)
    assert HEARD < len(names) < NEAR
    for row in near.tolist():
        assert sorted(row[: len(names)]) == list(range(len(names)))
        assert set(row[len(names) :]) == {-1}
    assert Counter(ear.hear(HEARD_WORDS).queries.tolist()) == dict.fromkeys(range(len(HEARD_WORDS)), HEARD)


@given(KEYS)
@example([])
@example(JUNK)
@example([*HEARD_WORDS, "", "qz" * 5000])
def test_queries_do_not_depend_on_each_other(ear: Ear, keys: list[str]) -> None:
    together = ear.hear(keys)
    assert all(a <= b for a, b in pairwise(together.queries.tolist()))
    for query, key in enumerate(keys):
        assert rows_of(together, query) == rows_of(ear.hear([key]), 0)


@given(KEY | st.sampled_from(JUNK))
@example("a" * LONGEST)
@example("qz" * 5000)
def test_names_are_given_for_whatever_has_sounds(ear: Ear, key: str) -> None:
    hearings = ear.hear([key])
    length = len(pronounce(key))
    if not 0 < length <= LONGEST:
        assert len(hearings.entries) == 0
        return
    assert len(hearings.entries) == len(set(hearings.entries.tolist())) == HEARD
    assert np.all(np.isfinite(hearings.sound_costs))
    assert np.all(hearings.sound_costs > 0)
    assert np.all(np.isfinite(hearings.letter_costs))
    assert np.all(hearings.letter_costs >= 0)
    assert np.all(hearings.sound_lengths[:, 0] == length)


def test_where_words_end_does_not_matter(ear: Ear, names: list[str]) -> None:
    one, other = ear.hear(["deep sea red crab"]), ear.hear(["deep\nsea red crab"])
    assert rows_of(one, 0) == rows_of(other, 0)
    assert names[int(one.entries[np.argmin(one.sound_costs)])] == "deep sea red crab"


def test_sounds_of_names(ear: Ear, names: list[str]) -> None:
    assert ear.sounds_of(np.arange(len(names))) == [said[:LONGEST] for said in pronounce_all(names)]
    assert max(map(len, pronounce_all(names))) < LONGEST


def test_arrays_are_the_same_each_time(names: list[str]) -> None:
    one, other = name_arrays(names), name_arrays(names)
    assert {name: array.tobytes() for name, array in one.items()} == {n: a.tobytes() for n, a in other.items()}


@pytest.mark.parametrize("names", [[], ["io"], ["a"], ["x" * 60], ["bathynomus" * 9], ["squat lobster"] * 3])
def test_lists_of_hardly_any_names(names: list[str]) -> None:
    ear = Ear(name_arrays(names))
    for keys in ([], [""], JUNK, ["io", "squat lobsters"]):
        hearings = ear.hear(keys)
        sounding = [query for query, key in enumerate(keys) if 0 < len(pronounce(key)) <= LONGEST]
        assert hearings.queries.tolist() == [query for query in sounding for _ in names]
        for query in sounding:
            assert sorted(rows_of(hearings, query)[0]) == list(range(len(names)))
