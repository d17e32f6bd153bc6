"""What whoever starts the desk decides."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from pathlib import Path

from earwitness.pipeline.review.web.doors import Door


@dataclass(frozen=True, slots=True)
class Settings:
    """How the desk is served.

    Args:
        reviewer: whose decisions they are, where nobody signs in.
        media: folder with the recordings' videos and sounds.
        key: what writes have to bear in X-Desk-Key, where nobody signs in; with a door each session has its own.
        door: who may come in; None: whoever reaches the loopback address.
        host, port: where the desk listens.
        names: further names that it answers to, like that of a proxy.
        secure: whether browsers reach it by https alone: it speaks TLS, or a proxy in front of it does.
    """

    reviewer: str
    media: Path | None = None
    key: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    door: Door | None = None
    host: str = "127.0.0.1"
    port: int = 0
    names: tuple[str, ...] = ()
    secure: bool = False

    @property
    def cookie(self) -> str:
        """Name of the session's cookie: cookies do not tell ports apart, so it does."""
        return f"{'__Host-' if self.secure else ''}desk-{self.port}"
