"""The quick check against jsonschema: it never calls fine what jsonschema finds fault with, over mutated real rows."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from earwitness.schemas import ContractError, contract, load_schema, quick, validate
from earwitness.schemas.quick import is_plain, quick_check
from tests.publish import made
from tests.schemas import real

NAMES = ("event", "mention", "utterance", "problem", "run")
DATE = "2031-06-14T08:12:12Z"
JSON_VALUES = st.one_of(
    st.sampled_from([None, True, False, 0, 1, -1, 0.0, 1.0, 1.5, 90.5, -0.0, 1e300, 10**30, "", "x", "0" * 64, DATE]),
    st.sampled_from([[], {}, [None], ["a", 1], [[0, 1, 0.5, 0.75]], {"scientificName": "x"}, {"invented": 1}]),
    st.sampled_from(["occurrence", "marker", "measurement", "substrate", "accepted", "draft", "unverified", "alive"]),
)
"""Values that both checks take for the same."""
OTHER_VALUES = st.sampled_from(
    [
        *(float("nan"), float("inf"), Decimal("0.5"), (), ("a",), [("a",)], {"a": ()}, {1: "a"}, b"a", DATE + "\n"),
        *("٢٠٣١-06-14T08:12:12Z", "0" * 64 + "\n", "\ud800", {"\ud800": 1}, {"a"}, object, frozenset()),
    ]
)
"""Values on which they may differ: then jsonschema is asked."""


@cache
def real_rows(name: str) -> list[dict[str, Any]]:
    """Rows of the built-in dive, of a run made by hand, and a run's summary and problems."""
    run = real.run()
    problem = {"file": "a.vtt", "line": 3, "severity": "noted", "reason": "odd", "expected": ""}
    found: dict[str, list[dict[str, Any]]] = {
        "event": [*run.events, *made.rows()],
        "mention": run.mentions,
        "utterance": run.utterances,
        "problem": [problem],
        "run": [run.summary],
    }
    return found[name]


def check(name: str) -> quick.Check:
    return contract._quick(name)


def faults(name: str, row: object) -> bool:
    return next(iter(contract._validator(name).iter_errors(row)), None) is not None


def places(value: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Ways to all values within a value."""
    for key, part in value.items() if isinstance(value, dict) else enumerate(value):
        yield (*way, key)
        if isinstance(part, dict | list):
            yield from places(part, (*way, key))


@st.composite
def mutated(draw: st.DrawFn, values: st.SearchStrategy[Any]) -> tuple[str, dict[str, Any]]:
    """A real row of a schema with up to three values taken away, exchanged or added."""
    name = draw(st.sampled_from(NAMES))
    row = copy.deepcopy(draw(st.sampled_from(real_rows(name))))
    for _ in range(draw(st.integers(0, 3))):
        *above, last = draw(st.sampled_from(list(places(row)) or [("invented",)]))
        held: Any = row
        for key in above:
            held = held[key]
        new = copy.deepcopy(draw(values))
        match draw(st.sampled_from(["set", "set", "drop", "add", "swap"])):
            case "drop":
                held.pop(last, None) if isinstance(held, dict) else held.pop(last)
            case "add":
                held.update(invented=new) if isinstance(held, dict) else held.append(new)
            case "swap" if row:
                held[last] = copy.deepcopy(row[draw(st.sampled_from(list(row)))])
            case _:
                held[last] = new
    return name, row


def test_real_rows_pass_by_the_quick_check_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in NAMES:
        assert all(map(check(name), real_rows(name))), name
    monkeypatch.setattr(contract, "_validator", lambda name: pytest.fail(f"jsonschema was asked about a {name}"))
    for name in NAMES:
        validate(name, real_rows(name))


@given(mutated(JSON_VALUES))
@settings(max_examples=300)
def test_on_json_the_two_agree(case: tuple[str, dict[str, Any]]) -> None:
    name, row = case
    # A swap may set a row within itself, deeper than the quick check looks.
    assume(is_plain(row))
    assert check(name)(row) != faults(name, row)


@given(mutated(OTHER_VALUES | JSON_VALUES))
@settings(max_examples=300)
def test_what_is_called_fine_jsonschema_calls_fine(case: tuple[str, dict[str, Any]]) -> None:
    name, row = case
    if check(name)(row):
        assert not faults(name, row)


@given(mutated(OTHER_VALUES | JSON_VALUES))
def test_the_word_is_jsonschemas_with_the_quick_check_and_without(case: tuple[str, dict[str, Any]]) -> None:
    name, row = case
    with pytest.MonkeyPatch.context() as patch:
        told = _told(name, row)
        patch.setattr(contract, "_quick", lambda _: lambda value: False)
        assert told == _told(name, row)


def _told(name: str, row: dict[str, Any]) -> str:
    try:
        validate(name, [row])
    except ContractError as error:
        return str(error)
    return "fine"


def test_without_its_package_jsonschema_checks_every_row(monkeypatch: pytest.MonkeyPatch) -> None:
    assert quick.HAS_QUICK
    monkeypatch.setattr(quick, "HAS_QUICK", False)
    monkeypatch.setattr(contract, "_quick", lambda name: quick_check(load_schema(name), {}))
    validate("event", made.rows())
    with pytest.raises(ContractError, match=r"^event row 2: certainty: 7 is greater than the maximum of 1$"):
        validate("event", [made.rows()[1], made.rows()[1] | {"certainty": 7}])


def test_an_iterator_is_read_once_and_the_row_is_counted() -> None:
    rows = iter([*made.rows(), made.rows()[0] | {"startTime": -1}, made.rows()[0]])
    with pytest.raises(ContractError, match=r"^event row 9: startTime: -1 is less than the minimum of 0$"):
        validate("event", rows)
    assert len(list(rows)) == 1


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        # To jsonschema a tuple is no array, NaN a number, and a pattern one of Python's.
        ({"alternatives": ()}, "alternatives: () is not of type 'array'"),
        ({"certaintyCues": ["so", ("sure",)]}, r"certaintyCues.1: \('sure',\) is not of type 'string'"),
        ({"eventDate": "٢٠٣١-06-14T08:12:12Z"}, None),
        ({"eventDate": DATE + "\n"}, None),
        ({"timeUncertainty": float("nan")}, None),
    ],
)
def test_where_others_differ_jsonschema_has_the_word(change: dict[str, Any], fault: str | None) -> None:
    row = made.rows()[1] | change
    assert not check("event")(row)
    if fault is None:
        validate("event", [row])
    else:
        with pytest.raises(ContractError, match=fault.replace("()", r"\(\)")):
            validate("event", [row])


def test_formats_are_notes_to_both() -> None:
    """Draft 2020-12, validation, 7.2.1: without the assertion vocabulary a format is an annotation."""
    schema = {"type": "string", "format": "date"}
    assert quick_check(schema, {})("no date")
    assert contract.Draft202012Validator(schema).is_valid("no date")


def test_deep_values_are_left_to_jsonschema() -> None:
    deep: Any = "x"
    for _ in range(100_000):
        deep = [deep]
    assert not is_plain(deep)
    assert is_plain(json.loads('{"a": [{"b": [[1, null, 0.5, "x", true]]}]}'))
