"""What every request has to pass, before any route: the host, where it comes from, who it is, its key, its size.

Whatever a route forgets is refused here: without a session nothing is read but the door, and nothing is written without
the session's key.
"""

from __future__ import annotations

import asyncio
import hmac
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.requests import cookie_parser
from starlette.responses import RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from earwitness.pipeline.review.web.hosts import Hosts
from earwitness.pipeline.review.web.problems import TurnedAwayError
from earwitness.pipeline.review.web.sessions import Session, Sessions
from earwitness.pipeline.review.web.settings import Settings

LARGEST_BODY = 512 * 1024
"""Bytes; own choice, a thousand events with long names fit."""
PATIENCE = 30.0
"""Seconds until a body has to be there."""
_READS = ("GET", "HEAD", "OPTIONS")
_PAGES = ("/", "/agreement")
_DOOR = ("/sign-in", "/api/session")
_MOVED = ("navigate", "nested-navigate")


class Guard:
    """Passes on what may be; `request.state.session` says who it is, `request.state.secret` the cookie's value."""

    def __init__(self, app: ASGIApp, settings: Settings, sessions: Sessions):
        self._app, self._settings, self._sessions = app, settings, sessions
        self._hosts = Hosts(settings.host, settings.names)
        self._anybody = Session(settings.reviewer, settings.key)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
            return
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        try:
            session = self._let_in(scope)
            if scope["method"] not in _READS:
                receive = await self._with_body(Headers(scope=scope), receive)
        except TurnedAwayError as error:
            await error.answer()(scope, receive, send)
            return
        if session is None and scope["path"] in _PAGES:
            await RedirectResponse("/sign-in", 303)(scope, receive, send)
            return
        await self._app(scope, receive, send)

    def _let_in(self, scope: Scope) -> Session | None:
        headers, path, method = Headers(scope=scope), scope["path"], scope["method"]
        if not self._hosts.allows(headers.get("host")):
            remedy = "the address that the desk printed when it was started, or --known-as"
            raise TurnedAwayError(400, "host", "this desk does not answer to that name", remedy)
        self._refuse_elsewhere(headers, path, method)
        secret = cookie_parser(headers.get("cookie", "")).get(self._settings.cookie)
        session = self._sessions.of(secret, use=path != "/api/changes") if self._settings.door else self._anybody
        scope.setdefault("state", {}).update(session=session, secret=secret)
        is_door = path in _DOOR or path.startswith("/static/")
        if session is None and not is_door and path not in _PAGES:
            raise TurnedAwayError(401, "sign-in", "nobody is signed in", "POST /api/session, or /sign-in in a browser")
        if method not in _READS and not (path == "/api/session" and method == "POST"):
            # Signing in has no session yet; leaving one asks for its key like every write.
            expected = session.key if session else ""
            given = headers.get("x-desk-key", "")
            if not expected or not hmac.compare_digest(given.encode(), expected.encode()):
                remedy = "load the page again; programs find the key in GET /api/run"
                raise TurnedAwayError(403, "key", "the header X-Desk-Key is not this session's key", remedy)
        return session

    def _refuse_elsewhere(self, headers: Headers, path: str, method: str) -> None:
        """Requests that a page of elsewhere makes in somebody's browser."""
        site, mode = headers.get("sec-fetch-site", "none"), headers.get("sec-fetch-mode", "")
        follows_link = method in ("GET", "HEAD") and mode in _MOVED and path in (*_PAGES, "/sign-in")
        if site not in ("same-origin", "none") and not follows_link:
            raise TurnedAwayError(403, "origin", "another page asks for this", "use the desk's own page")
        origin = headers.get("origin")
        if origin is None or method in ("GET", "HEAD"):
            return
        if _netloc(origin) != headers.get("host", "").lower():
            raise TurnedAwayError(403, "origin", "another page asks for this", "use the desk's own page")

    async def _with_body(self, headers: Headers, receive: Receive) -> Receive:
        """The request's body, read whole; too large, too slow or no JSON is refused."""
        told = headers.get("content-length", "0")
        if told.isdecimal() and int(told[:20]) > LARGEST_BODY:
            raise _too_large()
        parts: list[bytes] = []
        size = 0
        try:
            async with asyncio.timeout(PATIENCE):
                more = True
                while more:
                    message = await receive()
                    if message["type"] != "http.request":
                        break
                    parts.append(message.get("body", b""))
                    size += len(parts[-1])
                    more = message.get("more_body", False)
                    if size > LARGEST_BODY:
                        raise _too_large()
        except TimeoutError as error:
            raise TurnedAwayError(408, "slow", "the body did not come", "try again", {"Connection": "close"}) from error
        kind = headers.get("content-type", "").partition(";")[0].strip().lower()
        if size and kind != "application/json":
            raise TurnedAwayError(415, "media-type", f"a body of type {kind[:80]!r}", "application/json")
        body: Message | None = {"type": "http.request", "body": b"".join(parts), "more_body": False}

        async def again() -> Message:
            nonlocal body
            if body is None:
                return await receive()
            message, body = body, None
            return message

        return again


def _too_large() -> TurnedAwayError:
    remedy = f"up to {LARGEST_BODY} bytes; fewer events at once"
    return TurnedAwayError(413, "too-large", "the body is too large", remedy, {"Connection": "close"})


def _netloc(origin: str) -> str:
    try:
        return urlsplit(origin).netloc.lower()
    except ValueError:
        return ""
