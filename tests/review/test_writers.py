"""Eight at once: no decision is lost, none is there twice, and every conflict is told to the one who was later."""

from __future__ import annotations

import threading
from collections import Counter

import pytest

from earwitness.pipeline.review import ConflictError, Desk, Request
from earwitness.schemas import validate
from tests.review import made
from tests.review.apart import Say, apart
from tests.review.made import Ground

WRITERS, EACH = 8, 12
SHARED = (made.PAIR, made.LOBSTER, made.MOO)


def write(desk: Desk, name: str, say: Say, wait: threading.Barrier | None = None) -> None:
    """Decide EACH times on shared events, always on what was seen before the others could write."""
    if wait:
        wait.wait()
    for turn in range(EACH):
        uid, event = f"{name}-{turn}", SHARED[turn % len(SHARED)]
        while True:
            seen = desk.version(event)
            request = Request(uid, "change", {event: seen}, {"individualCount": hash_of(uid)})
            try:
                [decision] = desk.decide(request, name).decisions
            except ConflictError as error:
                [conflict] = error.conflicts
                assert conflict.by != name
                assert conflict.stands > seen
                assert conflict.row is not None
                say(f"conflict {uid} {conflict.stands}")
                continue
            say(f"done {uid} {decision.number} {seen}")
            break
    say("end")


def hash_of(uid: str) -> int:
    """A count that tells who set it."""
    name, _, turn = uid.partition("-")
    return 10_000 + int(name.removeprefix("W")) * 1000 + int(turn)


def check(desk: Desk, said: list[str]) -> None:
    done = [line.split() for line in said if line.startswith("done")]
    assert Counter(said)["end"] == WRITERS
    assert len(done) == WRITERS * EACH
    decisions = desk.history.decisions
    # None lost, none double.
    assert Counter(d.uid for d in decisions) == Counter(uid for _, uid, _, _ in done)
    assert {int(number): uid for _, uid, number, _ in done} == {d.number: d.uid for d in decisions}
    assert [d.number for d in decisions] == list(range(1, WRITERS * EACH + 1))
    # None overwritten unseen: each was made on what the one before it left.
    for event in SHARED:
        count: object = 1
        version = 0
        for decision in desk.history.of_event(event):
            [change] = decision.changes
            assert change.before is not None
            assert change.after is not None
            assert change.before["individualCount"] == count
            assert next(int(seen) for _, uid, _, seen in done if uid == decision.uid) == version
            count, version = change.after["individualCount"], decision.number
        assert desk.row(event)["individualCount"] == count
    validate("event", desk.rows.values())


def test_eight_processes(ground: Ground, database: str) -> None:
    """As many servers on one database, started at the same moment."""
    children = [
        apart(lambda say, n=n: write(ground.desk(database), f"W{n}", say))  # type: ignore[misc]
        for n in range(WRITERS)
    ]
    assert [child.wait() for child in children] == [0] * WRITERS
    desk = ground.desk(database)
    check(desk, [line for child in children for line in child.said])
    desk.close()


@pytest.mark.parametrize("desks", [1, WRITERS])
def test_eight_threads(ground: Ground, database: str, desks: int) -> None:
    """As many people in one server, and as many servers in one process."""
    opened = [ground.desk(database) for _ in range(desks)]
    said: list[str] = []
    wait = threading.Barrier(WRITERS)
    threads = [
        threading.Thread(target=write, args=(opened[n % desks], f"W{n}", said.append, wait)) for n in range(WRITERS)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    last = opened[0]
    last.refresh()
    check(last, said)
    if desks > 1:
        assert any(line.startswith("conflict") for line in said)
    for desk in opened:
        desk.close()


def test_each_sees_the_others(ground: Ground, database: str) -> None:
    one, other = ground.desk(database), ground.desk(database)
    made.Hands(one, "Ann").do("accept", made.PAIR)
    assert other.row(made.PAIR)["reviewStatus"] == "draft"
    decisions, changed = other.refresh()
    assert [d.reviewer for d in decisions] == ["Ann"]
    assert changed == {made.PAIR}
    assert other.row(made.PAIR) == one.row(made.PAIR)
    assert other.refresh() == ([], set())
    one.close()
    other.close()
