"""kill -9 while decisions are written: everything that was confirmed is there afterwards, and the desk opens."""

from __future__ import annotations

import random
import time

from earwitness.pipeline.review import Desk
from earwitness.pipeline.review.reviewed import reviewed_rows
from earwitness.schemas import validate
from tests.review import made
from tests.review.apart import Say, apart
from tests.review.made import Ground

TIMES = 10


def decide_for_ever(ground: Ground, database: str, name: str, say: Say) -> None:
    """Decide on one event after the other, over and over, and say the uid of what was confirmed."""
    desk = ground.desk(database)
    hands = made.Hands(desk, name)
    names = [row["eventID"] for row in made.events() if row["recordKind"] == "occurrence"]
    turn = 0
    while True:
        for event in names:
            turn += 1
            uid = f"{name}-{turn}"
            if turn % 7 == 0:
                desk.undo(uid, name)
            else:
                hands.do("change", event, columns={"individualCount": turn}, uid=uid)
            say(uid)


def test_nothing_confirmed_is_lost(ground: Ground, database: str) -> None:
    chance = random.Random(20)
    confirmed: list[str] = []
    for turn in range(TIMES):
        child = apart(lambda say, turn=turn: decide_for_ever(ground, database, f"R{turn}", say))  # type: ignore[misc]
        child.listen(chance.randint(1, 30))
        time.sleep(chance.random() / 50)
        child.kill()
        assert child.said, "it was killed before it had said anything"
        confirmed += child.said
        desk = ground.desk(database)
        known = [decision.uid for decision in desk.history.decisions]
        assert set(confirmed) <= set(known)
        # At most one more: written, and killed before it could be said.
        assert len(set(known) - set(confirmed)) <= turn + 1
        assert [decision.number for decision in desk.history.decisions] == list(range(1, len(known) + 1))
        validate("event", desk.rows.values())
        _can_go_on(desk, turn)
        confirmed.append(f"after-{turn}")
        desk.close()
    validate("event", reviewed_rows(ground.folder, database))


def _can_go_on(desk: Desk, turn: int) -> None:
    hands = made.Hands(desk, "Ann")
    [decision] = hands.do("note", made.PAIR, note=f"after {turn}", uid=f"after-{turn}").decisions
    assert decision.number == desk.last


def test_a_request_sent_again_after_a_crash_is_done_once(ground: Ground, database: str) -> None:
    """The browser never heard the answer and asks again: the decision may have been written or not."""
    for turn in range(5):

        def work(say: Say, turn: int = turn) -> None:
            desk = ground.desk(database)
            say("ready")
            made.Hands(desk, "Ann").do("note", made.PAIR, note=str(turn), uid=f"once-{turn}")

        child = apart(work)
        child.listen(1)
        time.sleep(turn / 200)
        child.kill()
        desk = ground.desk(database)
        made.Hands(desk, "Ann").do("note", made.PAIR, note=str(turn), uid=f"once-{turn}")
        assert [d.uid for d in desk.history.decisions] == [f"once-{n}" for n in range(turn + 1)]
        assert desk.own(made.PAIR)["reviewNote"] == str(turn)
        desk.close()
