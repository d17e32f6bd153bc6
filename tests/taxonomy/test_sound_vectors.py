"""Sound vectors: features against a plain count, and the same vector whatever stands beside a string."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from earwitness.taxonomy import sound_vectors
from earwitness.taxonomy.channel import LONGEST
from earwitness.taxonomy.hearing import SOUNDS
from earwitness.taxonomy.pronounce import PHONES, pronounce, pronounce_all
from earwitness.taxonomy.sound_vectors import FEATURES, PAIR_PARTS, PHONE_PARTS, described, learned_map, unit_rows
from earwitness.taxonomy.tables import data_rows

CLASSES = {PHONES[row["phone"]]: row["class"] for row in data_rows("sound_classes.csv")}
CLASS_NUMBERS = {name: n for n, name in enumerate(["vowel", *sorted(set(CLASSES.values()) - {"vowel"})])}
BASE, EDGE = 40, 39

STRING = st.text(SOUNDS, max_size=14) | st.text(SOUNDS + "é?7 海", max_size=LONGEST + 9)
STRINGS = st.lists(STRING, max_size=5)


def in_parts(where: float, parts: int) -> Iterator[tuple[int, float]]:
    place = where * (parts - 1)
    low = min(int(place), parts - 2)
    yield low, 1 - (place - low)
    yield low + 1, place - low


def plain_features(string: str) -> dict[int, float]:
    """Counted one by one: phones by part, pairs of classes by part, triples of classes, pairs of phones."""
    phones = [SOUNDS.index(c) for c in string[:LONGEST] if c in SOUNDS]
    bones: list[int] = []
    for number in (CLASS_NUMBERS[CLASSES[SOUNDS[p]]] for p in phones):
        if number or not bones or bones[-1]:
            bones.append(number)
    found: dict[int, float] = defaultdict(float)
    for place, phone in enumerate(phones):
        for part, share in in_parts((place + 0.5) / len(phones), PHONE_PARTS):
            found[phone * PHONE_PARTS + part] += share
    begin = PHONE_PARTS * BASE
    edged = [EDGE, *bones, EDGE]
    for place, (one, two) in enumerate(pairwise(edged)):
        for part, share in in_parts((place + 0.5) / (len(edged) - 1), PAIR_PARTS):
            found[begin + (one * BASE + two) * PAIR_PARTS + part] += share
    begin += PAIR_PARTS * BASE**2
    for one, two, three in zip(edged, edged[1:], edged[2:], strict=False):
        found[begin + (one * BASE + two) * BASE + three] += 1
    begin += BASE**3
    edged = [EDGE, *phones, EDGE]
    for one, two in pairwise(edged):
        found[begin + one * BASE + two] += 1
    return {feature: share for feature, share in found.items() if share}


@given(STRINGS)
@example(["", "AAA", "kAAsi", "sk" * 40, "?", "k"])
@example([])
def test_features_are_those_of_a_plain_count(strings: list[str]) -> None:
    rows = described(strings)
    assert rows.shape == (len(strings), FEATURES)
    for row, string in enumerate(strings):
        found = rows[[row]].tocoo()
        given_shares = {int(c): float(v) for c, v in zip(found.col, found.data, strict=True) if v}
        assert given_shares == pytest.approx(plain_features(string), abs=1e-5)


@given(STRINGS)
@example([])
@example(["", "é?7", "kAsi"])
def test_vectors_have_length_one_or_are_zero(strings: list[str]) -> None:
    vectors = learned_map().vectors(strings)
    assert vectors.shape == (len(strings), learned_map().matrix.shape[1])
    assert vectors.dtype == np.float32
    for string, vector in zip(strings, vectors, strict=True):
        silent = not set(string[:LONGEST]) & set(SOUNDS)
        assert np.linalg.norm(vector) == pytest.approx(0 if silent else 1, abs=1e-5)


@given(STRINGS, STRING)
def test_a_vector_does_not_depend_on_its_neighbours(strings: list[str], string: str) -> None:
    (alone,) = learned_map().vectors([string])
    assert learned_map().vectors([*strings, string, *strings])[len(strings)].tolist() == alone.tolist()


@given(STRING)
def test_characters_that_are_no_phones_are_silent(string: str) -> None:
    bare = "".join(c for c in string[:LONGEST] if c in SOUNDS)
    one, other = learned_map().vectors([string, bare])
    assert one.tolist() == other.tolist()


def test_many_strings_are_worked_on_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    strings = [SOUNDS[i % 39] + SOUNDS[i // 39 % 39] + SOUNDS[::-1][i % 7] for i in range(2000)] + ["", "é"]
    whole = learned_map().vectors(strings)
    monkeypatch.setattr(sound_vectors, "_AT_ONCE", 33)
    assert learned_map().vectors(strings).tolist() == whole.tolist()


def test_more_strings_than_are_worked_on_at_once() -> None:
    some = ["kAsi", "", "pEn", "skwId"]
    count = sound_vectors._AT_ONCE // len(some) + 1
    vectors = learned_map().vectors(some * count)
    assert len(vectors) > sound_vectors._AT_ONCE
    assert np.array_equal(vectors, np.tile(learned_map().vectors(some), (count, 1)))


def test_a_very_long_string_is_cut() -> None:
    said = pronounce("bathynomus" * 1000)
    assert len(said) > LONGEST
    one, other = learned_map().vectors([said, said[:LONGEST]])
    assert one.tolist() == other.tolist()
    assert described([said]).nnz < 6 * LONGEST


@pytest.mark.parametrize(
    ("heard", "meant", "other"),
    [
        ("night", "knight", "squid"),
        ("chasey on a finneys", "chaceon affinis", "gammarus decorosus"),
        ("goodness decrisis", "gammarus decorosus", "chaceon affinis"),
        ("senolaria ultima", "sinularia ultima", "sinularia flexibilis"),
    ],
)
def test_what_sounds_alike_lies_near(heard: str, meant: str, other: str) -> None:
    said, right, wrong = learned_map().vectors(pronounce_all([heard, meant, other]))
    assert said @ right > said @ wrong + 0.2


def test_unit_rows() -> None:
    rows = unit_rows(np.array([[3.0, 4.0], [0.0, 0.0], [-2.0, 0.0]]))
    assert rows.tolist() == [pytest.approx([0.6, 0.8]), [0, 0], [-1, 0]]
