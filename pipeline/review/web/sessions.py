"""Who is signed in: a secret in a cookie comes in, a person with a key for writes goes out. Kept in memory alone.

A session ends when it was not used for hours, after some days, when its person leaves or may no longer come in; and
with the program.
"""

from __future__ import annotations

import hashlib
import secrets
import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

HOUR = 3600.0
IDLE, LONGEST = 12 * HOUR, 72 * HOUR
"""Seconds without use, and in all: a watch at sea, and three days. Own choice."""
MOST = 1000
"""Sessions at once; the one that was used longest ago goes first."""


@dataclass(frozen=True, slots=True)
class Session:
    """Somebody at the desk: the name that decisions bear, and the key that writes bear."""

    name: str
    key: str


@dataclass(slots=True)
class _Kept:
    session: Session
    mark: str | None
    began: float
    used: float


class Sessions:
    """All who are signed in. Safe to use from several threads.

    Args:
        clock: seconds.
        mark: what a name's session rests on now (see `Door.mark`): it ends when that is another, or None.
    """

    def __init__(
        self, clock: Callable[[], float] = time.monotonic, mark: Callable[[str], str | None] = lambda name: ""
    ):
        self._clock, self.mark = clock, mark
        self._lock = threading.Lock()
        self._kept: OrderedDict[bytes, _Kept] = OrderedDict()

    def begin(self, name: str, mark: str | None = "") -> tuple[str, Session]:
        """Let somebody in, on a mark that stood when they knocked: the secret for the cookie, and the session."""
        secret, session = secrets.token_urlsafe(32), Session(name, secrets.token_urlsafe(24))
        now = self._clock()
        with self._lock:
            self._kept[_digest(secret)] = _Kept(session, mark, now, now)
            while len(self._kept) > MOST:
                self._kept.popitem(last=False)
        return secret, session

    def of(self, secret: str | None, *, use: bool = True) -> Session | None:
        """The session of a secret; to look without `use` does not prolong it."""
        if not secret:
            return None
        now, name = self._clock(), _digest(secret)
        with self._lock:
            kept = self._kept.get(name)
            if kept is None:
                return None
            if now - kept.used > IDLE or now - kept.began > LONGEST or self.mark(kept.session.name) != kept.mark:
                del self._kept[name]
                return None
            if use:
                kept.used = now
                self._kept.move_to_end(name)
            return kept.session

    def end(self, secret: str | None) -> None:
        """Somebody leaves."""
        with self._lock:
            self._kept.pop(_digest(secret or ""), None)


def _digest(secret: str) -> bytes:
    # Looked up by its digest: how long that takes tells nothing of the secret.
    return hashlib.sha256(secret.encode("utf-8", "replace")).digest()


class Attempts:
    """How often somebody may err at the door.

    Args:
        most: failures within the time.
        within: seconds.
    """

    def __init__(self, most: int, within: float, clock: Callable[[], float] = time.monotonic):
        self._most, self._within, self._clock = most, within, clock
        self._lock = threading.Lock()
        self._failed: OrderedDict[str, list[float]] = OrderedDict()

    def wait(self, who: str) -> float:
        """Seconds until another attempt is heard; 0: now."""
        with self._lock:
            failed = self._fresh(who)
            return max(0.0, failed[-self._most] + self._within - self._clock()) if len(failed) >= self._most else 0.0

    def fail(self, who: str) -> None:
        """An attempt failed."""
        with self._lock:
            self._failed[who] = [*self._fresh(who), self._clock()][-self._most :]
            self._failed.move_to_end(who)
            while len(self._failed) > 10_000:
                self._failed.popitem(last=False)

    def forget(self, who: str) -> None:
        """An attempt went well."""
        with self._lock:
            self._failed.pop(who, None)

    def _fresh(self, who: str) -> list[float]:
        oldest = self._clock() - self._within
        return [at for at in self._failed.get(who, ()) if at > oldest]
