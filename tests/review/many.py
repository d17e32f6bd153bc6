"""Several reviewers at one served desk at once, each a client of the public API with an ear to its stream of changes.

Everybody draws from the same few events, so that some decide on what another has just decided on: these must be told of
the conflict. What each was told is kept, to be held against what stands in the end.
"""

from __future__ import annotations

import json
import random
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import httpx

NAMES = ("Ines Calder", "Bo Lund", "Amara Osei", "Piet Roos", "Yuki Mori", "Sana Qadir", "Tom Vale", "Lea Brandt")


@dataclass
class Reviewer:
    """One of them: what it sent, what it was told, and when it heard of others' decisions."""

    name: str
    client: httpx.Client
    ear: httpx.Client
    key: str
    versions: dict[str, int] = field(default_factory=dict)
    confirmed: dict[str, tuple[int, float]] = field(default_factory=dict)
    """uid -> number of the decision, and when it was sent."""
    conflicts: dict[str, dict[str, int]] = field(default_factory=dict)
    """uid -> the version that stands of each event that somebody else had decided on."""
    heard: dict[int, float] = field(default_factory=dict)
    """Number of a decision -> when the stream told of it."""
    went_wrong: list[str] = field(default_factory=list)

    def decide(self, chance: random.Random, events: Sequence[str], turn: int) -> None:
        """One decision, on what this reviewer knows of the event."""
        uid, event = f"{self.name}-{turn}", chance.choice(events)
        body: dict[str, Any] = {"uid": uid, "targets": [{"eventID": event, "version": self.versions.get(event, 0)}]}
        body |= chance.choice(
            (
                {"action": "change", "set": {"individualCount": chance.randint(1, 900)}},
                {"action": "accept"},
                {"action": "reject", "reason": "unclear"},
                {"action": "note", "note": f"{self.name}, {turn}"},
            )
        )
        sent = time.perf_counter()
        answer = self.client.post("/api/decisions", json=body, headers={"X-Desk-Key": self.key})
        told = answer.json()
        if answer.status_code == 200:
            [decision] = told["decisions"]
            self.confirmed[uid] = (decision["number"], sent)
            self._take(told["decisions"])
        elif answer.status_code == 409:
            self.conflicts[uid] = {one["eventID"]: one["decision"]["number"] for one in told["problem"]["events"]}
            for one in told["problem"]["events"]:
                self._take([one["decision"]])
        else:
            self.went_wrong.append(f"{answer.status_code}: {answer.text[:300]}")

    def _take(self, decisions: Sequence[dict[str, Any]]) -> None:
        for decision in decisions:
            for change in decision["changes"]:
                event = change["eventID"]
                self.versions[event] = max(self.versions.get(event, 0), decision["number"])

    def listen(self, listening: threading.Event, ends: threading.Event) -> None:
        """Hear of decisions until the end."""
        try:
            with self.ear.stream("GET", "/api/changes", params={"since": 0}, timeout=60) as stream:
                listening.set()
                kind = ""
                for line in stream.iter_lines():
                    if line.startswith("event: "):
                        kind = line.removeprefix("event: ")
                    elif line.startswith("data: ") and kind == "decisions":
                        now = time.perf_counter()
                        decisions = json.loads(line.removeprefix("data: "))["decisions"]
                        for decision in decisions:
                            self.heard.setdefault(decision["number"], now)
                        self._take(decisions)
                    if ends.is_set():
                        return
        except httpx.HTTPError as error:
            if not ends.is_set():
                self.went_wrong.append(f"the stream ended: {error!r}")


def sign_in(url: str, name: str, token: str) -> Reviewer:
    """Somebody who has come in by the desk's token."""
    client = httpx.Client(base_url=url, timeout=30)
    assert client.post("/api/session", json={"name": name, "secret": token}).status_code < 300
    told = client.get("/api/run").json()
    assert told["me"] == name
    return Reviewer(name, client, httpx.Client(base_url=url, cookies=client.cookies, timeout=60), told["key"])


def work(
    reviewers: Sequence[Reviewer],
    events: Sequence[str],
    seconds: float,
    pause: float,
    enough: Callable[[], bool] = lambda: True,
) -> int:
    """Let all of them decide at once, then let all be heard.

    Args:
        reviewers: those who decide.
        events: what they decide on.
        seconds: for how long at least.
        pause: seconds between one's decisions, on average.
        enough: what has to be true before they stop, within two minutes.

    Returns:
        The number of the last decision that was made in that time.
    """
    ends, quiet = threading.Event(), threading.Event()
    ears = [threading.Event() for _ in reviewers]

    def decide(reviewer: Reviewer, number: int) -> None:
        chance = random.Random(number)
        turn = 0
        try:
            while not ends.is_set():
                turn += 1
                reviewer.decide(chance, events, turn)
                ends.wait(chance.uniform(0, 2 * pause))
        except Exception as error:
            reviewer.went_wrong.append(repr(error))

    listeners = [
        threading.Thread(target=one.listen, args=(ear, quiet), daemon=True)
        for one, ear in zip(reviewers, ears, strict=True)
    ]
    deciders = [threading.Thread(target=decide, args=(one, n)) for n, one in enumerate(reviewers)]
    for thread in listeners:
        thread.start()
    for ear in ears:
        assert ear.wait(30)
    for thread in deciders:
        thread.start()
    began = time.perf_counter()
    time.sleep(seconds)
    while not enough() and time.perf_counter() < began + 120:
        time.sleep(0.05)
    ends.set()
    for thread in deciders:
        thread.join(60)
    last = max((number for one in reviewers for number, _ in one.confirmed.values()), default=0)
    until = time.perf_counter() + 20
    while time.perf_counter() < until and any(len(one.heard) < last for one in reviewers):
        time.sleep(0.05)
    quiet.set()
    # A stream is left when it tells something: a last decision has all of them do so.
    deadline = time.perf_counter() + 20
    turn = 0
    while any(thread.is_alive() for thread in listeners) and time.perf_counter() < deadline:
        turn -= 1
        reviewers[0].decide(random.Random(8), events, turn)
        time.sleep(0.3)
    for thread in listeners:
        thread.join(20)
    for one in reviewers:
        one.client.close()
        one.ear.close()
    return last


def latencies(reviewers: Sequence[Reviewer]) -> list[float]:
    """Seconds from a decision's being sent to each other reviewer's hearing of it."""
    sent = {number: (one, at) for one in reviewers for number, at in one.confirmed.values()}
    return [
        other.heard[number] - at for number, (one, at) in sent.items() for other in reviewers
        if other is not one and number in other.heard
    ]  # fmt: skip
