"""What went wrong, as the API tells it: `{"problem": {"kind", "message", "remedy"}}` with the status that fits."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from sqlalchemy.exc import SQLAlchemyError
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from earwitness.pipeline.review import views
from earwitness.pipeline.review.decisions import ConflictError, RefusedError
from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.web.json_text import Json

_STATUS = {"unknown": 404, "invalid": 422, "nothing": 404, "closed": 503}
_LOG = logging.getLogger("uvicorn.error")
_WORDS = {400: "unreadable", 404: "unknown", 405: "method"}


class TurnedAwayError(Exception):
    """A request that may not be: status, kind, message and remedy."""

    def __init__(
        self, status: int, kind: str, message: str, remedy: str = "", headers: Mapping[str, str] | None = None
    ):
        super().__init__(message)
        self.status, self.kind, self.message, self.remedy, self.headers = status, kind, message, remedy, headers

    def answer(self) -> Response:
        """The same as a response."""
        return problem(self.status, self.kind, self.message, self.remedy, self.headers)


def problem(
    status: int, kind: str, message: str, remedy: str = "", headers: Mapping[str, str] | None = None, **more: Any
) -> Response:
    """An answer that says what went wrong."""
    told = {"problem": {"kind": kind, "message": message, "remedy": remedy, **more}}
    return Json(told, status, dict(headers or {}))


class Mishaps:
    """Answers where the application itself fails; what it was stands on the terminal that the desk was started in."""

    def __init__(self, app: ASGIApp):
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        begun = False

        async def sending(message: Message) -> None:
            nonlocal begun
            begun = begun or message["type"] == "http.response.start"
            await send(message)

        try:
            await self._app(scope, receive, sending)
        except Exception:
            if begun:
                raise
            _LOG.exception("a defect")
            answer = problem(500, "defect", "the desk made a mistake", "try again, and report it if it comes back")
            await answer(scope, receive, send)


def tell_problems(app: FastAPI, desk: Desk) -> None:
    """Have the application answer so, whatever goes wrong in it."""

    @app.exception_handler(RefusedError)
    def refused(_: Request, error: RefusedError) -> Response:
        return problem(_STATUS.get(error.kind, 422), error.kind, error.message, error.remedy)

    @app.exception_handler(ConflictError)
    def conflict(_: Request, error: ConflictError) -> Response:
        events = [views.conflict_json(desk, one) for one in error.conflicts]
        return problem(409, "conflict", str(error), "look at what stands now, and decide again", events=events)

    @app.exception_handler(TurnedAwayError)
    def turned_away(_: Request, error: TurnedAwayError) -> Response:
        return error.answer()

    @app.exception_handler(RequestValidationError)
    def not_understood(_: Request, error: RequestValidationError) -> Response:
        first = error.errors()[0]
        if first["type"] == "json_invalid":
            return problem(400, "unreadable", "the body is no JSON", "see /api/openapi.json")
        where = ".".join(str(part) for part in first["loc"])[:200]
        return problem(422, "invalid", f"{where}: {first['msg']}", "see /api/openapi.json")

    @app.exception_handler(HTTPException)
    def other(_: Request, error: HTTPException) -> Response:
        kind = _WORDS.get(error.status_code, "error")
        return problem(error.status_code, kind, str(error.detail), "see /api/openapi.json", error.headers)

    @app.exception_handler(SQLAlchemyError)
    def unreachable(_: Request, error: SQLAlchemyError) -> Response:
        reason = " ".join(str(error.__cause__ or error).split())[:200]
        return problem(503, "closed", f"the database does not answer ({reason})", "try again")
