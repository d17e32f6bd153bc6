"""A desk that is served for real, at a port of its own, and clients at it."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import httpx

from earwitness.pipeline.review import Desk
from earwitness.pipeline.review.web import Settings, make_app
from earwitness.pipeline.review.web.serving import serve_in, take_address


@dataclass
class Place:
    """A served desk."""

    desk: Desk
    settings: Settings
    app: Any

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.settings.port}"

    def client(self, **headers: str) -> httpx.Client:
        # Certificates are not looked at, and would take a while to load.
        return httpx.Client(base_url=self.url, headers=headers, timeout=20, verify=False)

    def key(self) -> dict[str, str]:
        return {"X-Desk-Key": self.settings.key}

    def post(self, path: str, body: Any, **headers: str) -> httpx.Response:
        with self.client() as client:
            return client.post(path, json=body, headers=self.key() | headers)

    def get(self, path: str, **headers: str) -> httpx.Response:
        with self.client() as client:
            return client.get(path, headers=headers)


@contextmanager
def served(desk: Desk, media: Path | None = None, **told: Any) -> Iterator[Place]:
    """The desk at a free port of the loopback address, served in a thread."""
    with take_address("127.0.0.1", 0) as place:
        settings = replace(Settings("Ann", media, port=place.getsockname()[1]), **told)
        app = make_app(desk, settings)
        there = threading.Event()
        server = serve_in(app, when_there=there.set)
        thread = threading.Thread(target=server.run, args=([place],), daemon=True)
        thread.start()
        assert there.wait(20)
        try:
            yield Place(desk, settings, app)
        finally:
            server.should_exit = True
            thread.join(20)
            assert not thread.is_alive()
