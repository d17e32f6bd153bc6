"""Eight reviewers at once, over HTTP: no decision is lost, conflicts are told, everybody hears of everything."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from earwitness.pipeline.review import open_desk
from earwitness.pipeline.review.web.doors import TokenDoor
from earwitness.schemas import validate
from tests.review import made
from tests.review.many import NAMES, sign_in, work
from tests.review.web_desk import served

TOKEN = "a token that nobody guesses"
SECONDS, PAUSE, EACH = 1.0, 0.02, 5
EVENTS = (made.PAIR, made.LOBSTER, made.CALLOGORGIA, made.PAIR_2)


def test_nothing_is_lost_and_nothing_overwritten(run: Path, database: str) -> None:
    desk = open_desk(run, database=database)
    with closing(desk), served(desk, door=TokenDoor(TOKEN)) as place:
        reviewers = [sign_in(place.url, name, TOKEN) for name in NAMES]

        def enough() -> bool:
            return all(len(one.confirmed) >= EACH for one in reviewers) and any(one.conflicts for one in reviewers)

        last = work(reviewers, EVENTS, SECONDS, PAUSE, enough)
    assert [one.went_wrong for one in reviewers] == [[]] * len(NAMES)
    confirmed = {uid: number for one in reviewers for uid, (number, _) in one.confirmed.items()}
    assert min(len(one.confirmed) for one in reviewers) >= EACH
    with closing(open_desk(run, database=database)) as after:
        decisions = after.history.decisions
        # All that was confirmed, under its number, and nothing else: what conflicted was not written.
        assert {decision.uid: decision.number for decision in decisions} == confirmed
        assert [decision.number for decision in decisions] == list(range(1, len(decisions) + 1))
        assert {decision.reviewer for decision in decisions} == set(NAMES)
        _each_stands_on_the_one_before(decisions)
        validate("event", after.rows.values())
    conflicts = [number for one in reviewers for stands in one.conflicts.values() for number in stands.values()]
    assert conflicts, "nobody was ever in another's way: the test tells nothing"
    assert set(conflicts) <= set(confirmed.values())
    for one in reviewers:
        assert sorted(one.heard)[:last] == list(range(1, last + 1))


def _each_stands_on_the_one_before(decisions: object) -> None:
    """What a decision says was there before is what the decision before it left: nobody wrote over another unseen."""
    stands: dict[tuple[str, str], object] = {}
    assert isinstance(decisions, list | tuple)
    for decision in decisions:
        for change in decision.changes:
            for column, value in (change.before or {}).items():
                assert stands.get((change.event_id, column), value) == value, decision.uid
            for column, value in (change.after or {}).items():
                stands[change.event_id, column] = value
