"""The pages and what they are made of: files that come with the program, and nothing else."""

from __future__ import annotations

import hashlib
from html import escape
from importlib.resources import files

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from earwitness.pipeline.review.web.problems import TurnedAwayError
from earwitness.pipeline.review.web.ranges import known
from earwitness.pipeline.review.web.settings import Settings

# Not by `mimetypes`: what a system has there may differ, and with `nosniff` a wrong type is not run.
_TYPES = {".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml"}
_PAGES = {"/": "desk.html", "/agreement": "agreement.html"}
_PLACE = files("earwitness.pipeline.review") / "page"


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

    @router.get("/static/{name}")
    def part(request: Request, name: str) -> Response:
        kind = next((kind for ending, kind in _TYPES.items() if name.endswith(ending)), None)
        there = {item.name: item for item in _PLACE.iterdir()} if kind else {}
        if kind is None or name not in there:
            raise TurnedAwayError(404, "unknown", "there is no such file")
        content = there[name].read_bytes()
        headers = {"ETag": f'"{hashlib.sha256(content).hexdigest()[:32]}"', "Cache-Control": "no-cache"}
        if known(request.headers.get("if-none-match"), headers["ETag"]):
            return Response(status_code=304, headers=headers)
        return Response(content, headers=headers, media_type=kind)

    return router
