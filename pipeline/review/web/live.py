"""What others decide, as it happens: the history comes in, server-sent events go out.

One look at the store every quarter of a second serves all who listen, and hears of people on other servers of one
database as well. Each listener reads on from where it is, at its own pace: a slow or vanished one keeps nobody waiting.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncGenerator, Callable, Iterable
from typing import Any

from sqlalchemy.exc import SQLAlchemyError
from starlette.concurrency import run_in_threadpool

from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.views import told
from earwitness.pipeline.review.web.json_text import dumped

EVERY = 0.25
"""Seconds between looks at the store."""
NOTICED = 1.0
"""Seconds within which a stream ends whose listener may no longer listen."""
BEAT = 15.0
"""Seconds between signs of life."""
MOST_AT_ONCE = 200
"""Decisions in one event; who was long away gets several."""
MOST_LISTENERS = 200


class Live:
    """All who listen to one desk."""

    def __init__(self, desk: Desk):
        self._desk = desk
        self._here: list[str] = []
        self._watch: asyncio.Task[None] | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._news = asyncio.Event()
        self._ended = False
        self._told = 0

    @property
    def is_full(self) -> bool:
        """Whether there is no room for another listener."""
        return len(self._here) >= MOST_LISTENERS

    def nudge(self) -> None:
        """Something was decided here: have listeners look now. From any thread."""
        if self._loop is not None and not self._loop.is_closed():
            with contextlib.suppress(RuntimeError):
                self._loop.call_soon_threadsafe(self._tell)

    def end(self) -> None:
        """Let all streams end; new ones end at once."""
        self._ended = True
        self._tell()

    async def listen(
        self, name: str, since: int, lasts: float | None = None, stays: Callable[[], bool] = lambda: True
    ) -> AsyncGenerator[bytes, None]:
        """Server-sent events for one listener.

        Args:
            name: who listens.
            since: number of the last decision that the listener knows.
            lasts: seconds until the stream ends by itself; None: it goes on.
            stays: whether the listener may go on.
        """
        if self._loop is not asyncio.get_running_loop():
            self._loop, self._news = asyncio.get_running_loop(), asyncio.Event()
        self._here.append(name)
        self._tell()
        if self._watch is None or self._watch.done():
            self._watch = asyncio.create_task(self._look())
        try:
            async with contextlib.aclosing(self._parts(since, lasts, stays)) as parts:
                async for part in parts:
                    yield part
        finally:
            self._here.remove(name)
            self._tell()
            if not self._here and self._watch is not None:
                self._watch.cancel()

    async def _parts(self, since: int, lasts: float | None, stays: Callable[[], bool]) -> AsyncGenerator[bytes, None]:
        assert self._loop is not None
        ends = None if lasts is None else self._loop.time() + lasts
        beat = self._loop.time() + BEAT
        people: Any = None
        yield b": here\n\n"
        while True:
            news = self._news
            if not stays():
                return
            if (now := self._people()) != people:
                people = now
                yield _event("reviewers", people)
            while self._desk.last > since:
                upto = min(self._desk.last, since + MOST_AT_ONCE)
                data = await run_in_threadpool(self._data, since, upto)
                since = upto
                yield _event("decisions", data, since)
            if self._ended or (ends is not None and self._loop.time() >= ends):
                return
            left = min(beat, beat if ends is None else ends) - self._loop.time()
            if not news.is_set():
                with contextlib.suppress(TimeoutError):
                    await asyncio.wait_for(news.wait(), min(max(left, 0), NOTICED))
            if self._loop.time() >= beat:
                beat = self._loop.time() + BEAT
                yield b": still here\n\n"

    def _data(self, since: int, upto: int) -> dict[str, Any]:
        decisions = self._desk.history.decisions[since:upto]
        events = dict.fromkeys(change.event_id for decision in decisions for change in decision.changes)
        # `last` is where this event leads, which may be before the last decision of all.
        return told(self._desk, decisions, events) | {"last": upto}

    def _people(self) -> dict[str, list[str]]:
        return {"reviewers": self._desk.history.reviewers, "here": _unique(self._here)}

    def _tell(self) -> None:
        news, self._news = self._news, asyncio.Event()
        news.set()

    async def _look(self) -> None:
        """Look at the store for as long as anybody listens."""
        while True:
            # A database that does not answer may answer again; writing says so meanwhile.
            with contextlib.suppress(SQLAlchemyError):
                await run_in_threadpool(self._desk.refresh)
            if self._desk.last != self._told:
                self._told = self._desk.last
                self._tell()
            await asyncio.sleep(EVERY)


def _unique(names: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(names))


def _event(kind: str, data: Any, number: int | None = None) -> bytes:
    told_id = b"" if number is None else b"id: %d\n" % number
    return b"event: %s\n%sdata: %s\n\n" % (kind.encode(), told_id, dumped(data))
