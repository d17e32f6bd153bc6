"""Others' decisions as they happen: within a second, across servers, and past clients that are slow or gone."""

from __future__ import annotations

import json
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path
from typing import Any

import httpx
import pytest

from earwitness.pipeline.review import Desk
from earwitness.pipeline.review.web import live
from earwitness.pipeline.review.web.doors import TokenDoor
from tests.review import made
from tests.review.web_desk import Place, served

SOON = 20.0
"""Seconds that a test waits for what takes less than one: time decides no test."""


@pytest.fixture
def place(desk: Desk) -> Iterator[Place]:
    with served(desk) as there:
        yield there


def events(lines: Iterator[str]) -> Iterator[tuple[str, Any]]:
    """Server-sent events, as the standard reads them."""
    kind, data = "message", ""
    for line in lines:
        name, _, value = line.partition(": ")
        if name == "event":
            kind = value
        elif name == "data":
            data += value
        elif not line and data:
            yield kind, json.loads(data)
            kind, data = "message", ""


class Listener:
    """A client that listens, in a thread of its own."""

    def __init__(self, place: Place, since: int = 0, seconds: float = SOON):
        self.heard: list[tuple[str, Any]] = []
        self._news = threading.Condition()
        self._place, self._path = place, f"/api/changes?since={since}&seconds={seconds}"
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()
        self.wait(lambda: bool(self.heard))

    def _listen(self) -> None:
        with self._place.client() as client, client.stream("GET", self._path) as told:
            for event in events(told.iter_lines()):
                with self._news:
                    self.heard.append(event)
                    self._news.notify_all()

    def wait(self, condition: Any) -> None:
        with self._news:
            assert self._news.wait_for(condition, SOON), self.heard

    def decisions(self) -> list[int]:
        return [one["number"] for kind, told in self.heard if kind == "decisions" for one in told["decisions"]]

    def people(self) -> dict[str, list[str]]:
        found: dict[str, list[str]] = [told for kind, told in self.heard if kind == "reviewers"][-1]
        return found

    def ended(self) -> bool:
        self._thread.join(SOON)
        return not self._thread.is_alive()


def accept(name: str, uid: str, version: int = 0) -> dict[str, Any]:
    return {"uid": uid, "action": "accept", "targets": [{"eventID": name, "version": version}]}


def test_a_decision_is_heard_with_its_events(place: Place) -> None:
    listener = Listener(place)
    began = time.monotonic()
    place.post("/api/decisions", accept(made.PAIR, "a"))
    listener.wait(lambda: listener.decisions() == [1])
    print(f"heard after {time.monotonic() - began:.3f} s")
    told = next(told for kind, told in listener.heard if kind == "decisions")
    assert set(told) == {"decisions", "columns", "events", "gone", "counts", "last"}
    assert told["last"] == 1
    assert told["counts"]["accepted"] == 1
    row = dict(zip(told["columns"], told["events"][0], strict=True))
    assert (row["eventID"], row["version"]) == (made.PAIR, 1)


def test_servers_of_one_database_hear_each_other(run: Path, database: str) -> None:
    """On SQLite, and on a real PostgreSQL."""
    with ExitStack() as stack:
        desks = [stack.enter_context(closing(made.opened(run, database))) for _ in range(2)]
        first, second = (stack.enter_context(served(desk)) for desk in desks)
        listener = Listener(first)
        second.post("/api/decisions", accept(made.PAIR, "a"))
        listener.wait(lambda: listener.decisions() == [1])
        told = first.post("/api/decisions", accept(made.PAIR, "b"))
        assert told.status_code == 409


def test_who_was_away_hears_what_was_missed_once(place: Place) -> None:
    for number, name in enumerate((made.PAIR, made.LOBSTER, made.MOO)):
        place.post("/api/decisions", accept(name, f"u{number}"))
    listener = Listener(place, since=1)
    listener.wait(lambda: len(listener.decisions()) == 2)
    assert listener.decisions() == [2, 3]


def test_much_comes_in_parts_that_follow_each_other(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "MOST_AT_ONCE", 2)
    hands = made.Hands(place.desk, "Bob")
    for _ in range(5):
        hands.do("note", made.PAIR, note="again")
    listener = Listener(place)
    listener.wait(lambda: len(listener.decisions()) == 5)
    assert [told["last"] for kind, told in listener.heard if kind == "decisions"] == [2, 4, 5]


def test_who_is_here_is_told(desk: Desk) -> None:
    with served(desk, door=TokenDoor("a token that nobody guesses")) as place:
        streams = []
        for name in ("Ann", "Bob"):
            client = place.client()
            told = client.post("/api/session", json={"name": name, "secret": "a token that nobody guesses"})
            key = told.json()["key"]
            streams.append((client, client.stream("GET", f"/api/changes?seconds={SOON}"), key))
        (ann, first, _), (bob, second, key) = streams
        with closing(ann), closing(bob), first as heard:
            lines = events(heard.iter_lines())
            assert next(lines) == ("reviewers", {"reviewers": [], "here": ["Ann"]})
            with second as other:
                others = events(other.iter_lines())
                assert next(others)[1]["here"] == ["Ann", "Bob"]
                assert next(lines)[1]["here"] == ["Ann", "Bob"]
                # Leaving ends the stream at once.
                bob.delete("/api/session", headers={"X-Desk-Key": key})
                assert list(others) == []
            assert next(lines)[1]["here"] == ["Ann"]


def test_a_client_that_is_gone_is_let_go(place: Place) -> None:
    listener = Listener(place)
    raw = socket.create_connection(("127.0.0.1", place.settings.port))
    raw.sendall(f"GET /api/changes HTTP/1.1\r\nHost: 127.0.0.1:{place.settings.port}\r\n\r\n".encode())
    until = time.monotonic() + SOON
    while len(place.app.state.live._here) < 2 and time.monotonic() < until:
        time.sleep(0.02)
    assert len(place.app.state.live._here) == 2
    raw.close()
    while len(place.app.state.live._here) > 1 and time.monotonic() < until:
        time.sleep(0.02)
    assert len(place.app.state.live._here) == 1
    place.post("/api/decisions", accept(made.PAIR, "a"))
    listener.wait(lambda: listener.decisions() == [1])


def test_a_client_that_does_not_read_keeps_nobody_waiting(place: Place) -> None:
    """It asks for more than its window holds, and reads nothing."""
    hands = made.Hands(place.desk, "Bob")
    for _ in range(300):
        hands.do("note", made.PAIR, note="x" * 1500)
    with socket.socket() as slow:
        slow.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
        slow.connect(("127.0.0.1", place.settings.port))
        slow.sendall(f"GET /api/changes HTTP/1.1\r\nHost: 127.0.0.1:{place.settings.port}\r\n\r\n".encode())
        listener = Listener(place, since=300)
        for number, name in enumerate((made.LOBSTER, made.MOO)):
            assert place.post("/api/decisions", accept(name, f"u{number}")).status_code == 200
        listener.wait(lambda: listener.decisions() == [301, 302])


def test_there_is_room_for_so_many_and_no_more(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "MOST_LISTENERS", 1)
    first = Listener(place)
    told = place.get("/api/changes?seconds=0")
    assert (told.status_code, told.json()["problem"]["kind"]) == (503, "closed")
    assert first.heard


def test_a_stream_lasts_as_long_as_was_asked_for(place: Place) -> None:
    assert place.get("/api/changes?seconds=0").text.startswith(": here\n\n")
    assert Listener(place, seconds=0.1).ended()


def test_signs_of_life_come_where_nothing_happens(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live, "BEAT", 0.05)
    assert ": still here\n\n" in place.get("/api/changes?seconds=0.3").text


def test_streams_end_when_the_server_does(desk: Desk) -> None:
    with served(desk) as place:
        listeners = [Listener(place, seconds=600) for _ in range(3)]
    assert all(listener.ended() for listener in listeners)


def test_a_database_that_is_gone_for_a_while_ends_no_stream(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    from sqlalchemy.exc import OperationalError

    listener = Listener(place)
    since, asked = place.desk.store.since, threading.Event()

    def gone(number: int) -> Any:
        asked.set()
        raise OperationalError("select", {}, ConnectionError("gone"))

    with monkeypatch.context() as patch:
        patch.setattr(place.desk.store, "since", gone)
        assert asked.wait(SOON)
    assert place.desk.store.since.__func__ is since.__func__  # type: ignore[attr-defined]
    place.post("/api/decisions", accept(made.PAIR, "a"))
    listener.wait(lambda: listener.decisions() == [1])


def test_the_page_of_an_open_desk_can_be_left_open(place: Place) -> None:
    with httpx.Client(base_url=place.url, verify=False) as client, client.stream("GET", "/api/changes") as told:
        assert next(told.iter_lines()) == ": here"
