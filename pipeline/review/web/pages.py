"""The pages and what they are made of: files that come with the program, and nothing else."""

from __future__ import annotations

import gzip
import hashlib
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib.resources import files

from fastapi import APIRouter
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from earwitness.pipeline.review.web.problems import TurnedAwayError
from earwitness.pipeline.review.web.ranges import known
from earwitness.pipeline.review.web.settings import Settings

# Not by `mimetypes`: what a system has there may differ, and with `nosniff` a wrong type is not run.
_TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"}
_PAGES = {"/": "desk.html", "/agreement": "agreement.html"}
_PLACE = files("earwitness.pipeline.review") / "page"


@dataclass(frozen=True, slots=True)
class _Part:
    """A file that a page is made of, as it is and packed."""

    content: bytes
    packed: bytes
    kind: str
    etag: str

    def answer(self, headers: Headers) -> Response:
        """What a request gets."""
        told = {"ETag": self.etag, "Cache-Control": "no-cache", "Vary": "Accept-Encoding"}
        if known(headers.get("if-none-match"), self.etag):
            return Response(status_code=304, headers=told)
        if "gzip" in headers.get("accept-encoding", ""):
            return Response(self.packed, headers=told | {"Content-Encoding": "gzip"}, media_type=self.kind)
        return Response(self.content, headers=told, media_type=self.kind)


@cache
def _parts() -> dict[str, _Part]:
    """All of them, read and packed once: a page asks for thirty before it can show anything."""
    found = {}
    for item in _PLACE.iterdir():
        kind = next((kind for ending, kind in _TYPES.items() if item.name.endswith(ending)), None)
        if kind is not None:
            content = item.read_bytes()
            etag = f'"{hashlib.sha256(content).hexdigest()[:32]}"'
            found[item.name] = _Part(content, gzip.compress(content, mtime=0), kind, etag)
    return found


def pages(settings: Settings) -> APIRouter:
    """The desk, the door, and their parts."""
    router = APIRouter(include_in_schema=False)

    def page(request: Request) -> Response:
        text = (_PLACE / _PAGES[request.url.path]).read_text("utf-8")
        return HTMLResponse(text.replace("{{ key }}", escape(request.state.session.key)))

    for path in _PAGES:
        router.add_api_route(path, page, methods=["GET", "HEAD"])

    @router.get("/sign-in")
    def door(request: Request) -> Response:
        if settings.door is None or request.state.session is not None:
            return RedirectResponse("/", 303)
        return HTMLResponse((_PLACE / "sign_in.html").read_text("utf-8"))

    @router.get("/favicon.ico")
    def icon() -> Response:
        return RedirectResponse("/static/desk.svg", 308)

    async def part(request: Request) -> Response:
        there = _parts().get(request.path_params["name"])
        if there is None:
            raise TurnedAwayError(404, "unknown", "there is no such file")
        return there.answer(request.headers)

    router.add_route("/static/{name}", part, methods=["GET"])
    return router
