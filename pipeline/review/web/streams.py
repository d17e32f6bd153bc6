"""Parts of an answer come in as they are made; they are sent until the client is gone, and then let go at once."""

from __future__ import annotations

from collections.abc import AsyncGenerator, Mapping
from contextlib import aclosing

import anyio
from starlette.responses import Response
from starlette.types import Receive, Scope, Send


class Stream(Response):
    """An answer in parts. What waits for a slow client waits in its own task alone."""

    def __init__(
        self,
        parts: AsyncGenerator[bytes, None],
        status_code: int = 200,
        headers: Mapping[str, str] | None = None,
        kind: str | None = None,
    ):
        super().__init__(None, status_code, headers, kind)
        if not any(name.lower() == "content-length" for name in headers or {}):
            del self.headers["Content-Length"]
        self._parts = parts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send until either side ends."""
        async with aclosing(self._parts), anyio.create_task_group() as both:

            async def watch() -> None:
                while (await receive())["type"] != "http.disconnect":
                    pass
                both.cancel_scope.cancel()

            both.start_soon(watch)
            await send({"type": "http.response.start", "status": self.status_code, "headers": self.raw_headers})
            async for part in self._parts:
                await send({"type": "http.response.body", "body": part, "more_body": True})
            await send({"type": "http.response.body", "body": b"", "more_body": False})
            both.cancel_scope.cancel()
