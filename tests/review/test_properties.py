"""Whatever people do: rows keep the schema, undo in full gives the draft, and a newer draft keeps what was decided."""

from __future__ import annotations

import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from earwitness.pipeline.review import ConflictError, Desk, RefusedError, open_store, views
from earwitness.pipeline.review import stack as stack_module
from earwitness.pipeline.review.reviewed import as_left
from earwitness.pipeline.review.stack import Stack
from earwitness.pipeline.review.store import run_key
from earwitness.pipeline.table import RunFiles
from earwitness.schemas import columns, validate
from tests.review import made
from tests.review.made import Ground

EVENTS = [row["eventID"] for row in made.events()]
TAXA = ["t1", "t3", "t4", "t5", "t6", "t8", "t11", "t12"]
Step = tuple[str, dict[str, Any]]

GOOD: list[dict[str, Any]] = [
    {},
    {"individualCount": 0},
    {"individualCount": 7},
    {"organismQuantity": "dozens"},
    {"organismQuantity": None},
    {"identificationQualifier": "cf."},
    {"identificationQualifier": "sp."},
    {"certaintyTerm": "possible"},
    {"certainty": 0.3, "vitality": "dead"},
    {"behavior": "feeding, \x00 <b>\u202e=1+1"},
    {"endTime": 95.5},
    {"taxonRank": "family"},
    {"askNote": "?"},
    {"askNote": None},
]
"""What an occurrence takes."""
BAD: list[dict[str, Any]] = [
    {"individualCount": -2},
    {"certaintyTerm": None},
    {"certainty": 1.5},
    {"vitality": "undead"},
    {"startTime": 99.0},
    {"taxonRank": "tribe"},
    {"markerType": "sample", "eventID": "x"},
]
values = st.sampled_from(GOOD * 3 + BAD)
places = st.sampled_from(
    [
        {"recordingID": "saddle_01", "utteranceStart": 11.0, "beginsAt": 10, "endsAt": 13},
        {"recordingID": "saddle_02", "utteranceStart": 6.0, "beginsAt": 0, "endsAt": 4},
        {"recordingID": "saddle_02", "utteranceStart": 6.5, "beginsAt": 0, "endsAt": 4},
    ]
)
parts = st.lists(values | st.sampled_from(TAXA).map(lambda taxon: {"taxonID": taxon}), min_size=1, max_size=3)
steps: st.SearchStrategy[Step] = st.one_of(
    st.tuples(st.just("accept"), st.just({})),
    st.tuples(st.just("change"), st.fixed_dictionaries({"columns": values})),
    st.tuples(st.just("change"), st.fixed_dictionaries({"taxon_id": st.sampled_from(TAXA)})),
    st.tuples(st.just("reject"), st.fixed_dictionaries({"reason": st.sampled_from(["unclear", "no-name", "dull"])})),
    st.tuples(st.sampled_from(["ask", "note"]), st.fixed_dictionaries({"note": st.none() | st.text(max_size=9)})),
    st.tuples(st.just("reopen"), st.just({})),
    st.tuples(
        st.just("add"), st.fixed_dictionaries({"words": places, "taxon_id": st.sampled_from(TAXA), "columns": values})
    ),
    st.tuples(st.just("split"), st.fixed_dictionaries({"parts": parts})),
    st.tuples(st.just("merge"), st.fixed_dictionaries({"into": st.integers(0, 7)})),
    st.tuples(
        st.just("link"),
        st.fixed_dictionaries({"into": st.integers(0, 7), "relation": st.sampled_from(["on", "eating", "beside"])}),
    ),
)
whole_steps = st.tuples(
    steps, st.lists(st.sampled_from([0, 1, 2, 3, 4, 5, 8, 9]), min_size=1, max_size=2), st.sampled_from(["Ann", "Bob"])
)
back = st.tuples(st.sampled_from(["undo", "redo"]), st.just([]), st.sampled_from(["Ann", "Bob"]))
moves = st.lists(st.one_of(whole_steps, whole_steps, back), min_size=5, max_size=14)


@contextmanager
def a_place() -> Iterator[Path]:
    """A file for a history."""
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder) / "review.sqlite"


def pick(desk: Desk, number: int) -> str:
    """The sightings first, in order of time; then what cannot be named."""
    names = sorted(
        desk.rows, key=lambda name: (desk.rows[name]["recordKind"] != "occurrence", desk.rows[name]["startTime"])
    )
    return names[number % len(names)]


def step(desk: Desk, step: Step, numbers: list[int], name: str) -> None:
    """Do it, or be refused: then nothing has changed."""
    action, told = step
    told = dict(told)
    if "into" in told:
        told["into"] = pick(desk, told["into"])
    events = [] if action == "add" else list(dict.fromkeys(pick(desk, number) for number in numbers))
    before, last = dict(desk.rows), desk.last
    try:
        outcome = made.Hands(desk, name).do(action, *events, **told)
    except RefusedError:
        assert (desk.rows, desk.last) == (before, last)
        return
    touched = set(outcome.events)
    assert {name: row for name, row in desk.rows.items() if name not in touched} == {
        name: row for name, row in before.items() if name not in touched
    }
    validate("event", [desk.rows[name] for name in touched])
    for decision in outcome.decisions:
        for change in decision.changes:
            stood = before.get(change.event_id)
            for column, value in (change.before or {}).items():
                assert column not in columns("event") or stood is None or stood[column] == value


def take_back(desk: Desk, name: str, action: str) -> bool:
    hands = made.Hands(desk, name)
    if not (desk.history.to_undo(name) if action == "undo" else desk.history.to_redo(name)):
        with pytest.raises(RefusedError, match="nothing to"):
            hands.undo() if action == "undo" else hands.redo()
        return False
    hands.undo() if action == "undo" else hands.redo()
    return True


def play(desk: Desk, told: list[Any]) -> None:
    """Steps of several people, each in turn; what somebody has built on is not taken back."""
    for one, numbers, name in told:
        if isinstance(one, str):
            with suppress(ConflictError):
                take_back(desk, name, one)
        else:
            step(desk, one, numbers, name)


slow = settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])


@slow
@given(st.lists(whole_steps, min_size=4, max_size=10))
def test_undone_in_full_is_the_draft_and_redone_what_was_decided(ground: Ground, told: list[Any]) -> None:
    with a_place() as place:
        desk = ground.desk(place)
        for one, numbers, _ in told:
            step(desk, one, numbers, "Ann")
        decided, own = dict(desk.rows), {name: desk.own(name) for name in desk.rows}
        while take_back(desk, "Ann", "undo"):
            pass
        assert list(desk.rows.values()) == made.events()
        assert all(not any(desk.own(name).values()) for name in desk.rows)
        while take_back(desk, "Ann", "redo"):
            pass
        assert desk.rows == decided
        assert {name: desk.own(name) for name in desk.rows} == own
        desk.close()


@slow
@given(moves)
def test_reviewed_rows_keep_the_schema_and_another_server_sees_the_same(ground: Ground, told: list[Any]) -> None:
    with a_place() as place:
        desk = ground.desk(place)
        play(desk, told)
        validate("event", desk.rows.values())
        stack = Stack(ground.run, open_store(place, run_key(ground.run.recording_ids)))
        assert stack.rows == desk.rows
        rows = as_left(stack)
        validate("event", rows)
        assert {row["eventID"] for row in rows} == set(desk.rows)
        assert [row["recordingID"] for row in rows] == sorted(row["recordingID"] for row in rows)
        stack.close()
        desk.close()


@slow
@given(moves, st.sets(st.sampled_from(EVENTS)), st.sets(st.sampled_from(EVENTS)))
def test_a_newer_draft_keeps_every_decision(ground: Ground, told: list[Any], gone: set[str], other: set[str]) -> None:
    with a_place() as place:
        desk = ground.desk(place)
        play(desk, told)
        drafted = {
            name: row | ({"behavior": "otherwise"} if name in other else {})
            for name, row in ground.run.events.items()
            if name not in gone
        }
        newer = RunFiles(ground.run.folder, drafted, ground.run.mentions, (), ground.run.summary, "f" * 64)
        again = ground.desk(place, newer)
        for name, row in desk.rows.items():
            standing = desk.standing(name)
            if standing is not None and standing.is_decided:
                assert again.row(name) == row
                assert again.own(name) == desk.own(name)
            elif standing is None and name not in gone:
                assert again.row(name) == drafted[name]
            elif standing is not None and (standing.columns or standing.own):
                assert again.own(name) == desk.own(name)
        validate("event", again.rows.values())
        again.close()
        desk.close()


def counted(stack: Stack) -> dict[str, int]:
    """The counts as they are found by looking at every event."""
    states = Counter(row["reviewStatus"] for row in stack.rows.values())
    asks = sum(stack.own(name)["askNote"] is not None for name in stack.rows)
    return {"total": len(stack.rows), "ask": asks} | {
        state: states[state] for state in ("draft", "accepted", "changed", "rejected")
    }


@slow
@given(moves, st.sets(st.sampled_from(EVENTS)))
def test_counts_kept_in_step_are_those_of_a_full_count(ground: Ground, told: list[Any], gone: set[str]) -> None:
    with a_place() as place:
        desk = ground.desk(place)
        for move in told:
            play(desk, [move])
            assert desk.counts == counted(desk)
        drafted = {name: row for name, row in ground.run.events.items() if name not in gone}
        newer = RunFiles(ground.run.folder, drafted, ground.run.mentions, (), ground.run.summary, "f" * 64)
        # All at once, and beside a draft that lacks some of the events.
        for stack in (Stack(run, open_store(place, run_key(run.recording_ids))) for run in (ground.run, newer)):
            assert stack.counts == counted(stack)
            stack.close()
        desk.close()


def test_a_decision_looks_at_no_other_event_to_count(
    ground: Ground, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[str] = []
    count = stack_module._counted

    def counting(row: Any, standing: Any) -> Any:
        looked.append(row["eventID"])
        return count(row, standing)

    desk = ground.desk(tmp_path / "review.sqlite")
    monkeypatch.setattr(stack_module, "_counted", counting)
    outcome = made.Hands(desk, "Ann").do("accept", made.PAIR)
    told = views.outcome_json(desk, outcome)
    assert (told["counts"]["accepted"], told["counts"]["total"]) == (1, len(EVENTS))
    # As it stood, and as it stands.
    assert looked == [made.PAIR] * 2
    desk.close()
