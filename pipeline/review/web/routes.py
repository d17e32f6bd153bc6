"""What the routes share: who asks, and how failures are described in OpenAPI."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Depends, Security
from fastapi.security import APIKeyCookie, APIKeyHeader
from starlette.requests import Request

from earwitness.pipeline.review.web.answers import Problem
from earwitness.pipeline.review.web.sessions import Session
from earwitness.pipeline.review.web.settings import Settings

_MEANINGS = {
    400: "Not understood: the host is not this desk's, or the body is no JSON.",
    401: "Nobody is signed in.",
    403: "The key is not this session's, or another page asks.",
    404: "There is no such thing, or nothing to take back.",
    408: "The body did not come in time.",
    409: "Somebody else decided on one of the events since you saw it: nothing was written.",
    413: "The body is too large.",
    415: "The body is no JSON.",
    416: "Nothing of what was asked for is in the file.",
    422: "It cannot be meant so: nothing was written.",
    429: "Too many attempts; Retry-After says when to try again.",
    503: "The database does not answer, or too many listen.",
}


def failures(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The failures of a route, for OpenAPI."""
    return {status: {"model": Problem, "description": _MEANINGS[status]} for status in sorted(statuses)}


READING = failures(400, 401, 403, 503)
WRITING = failures(400, 401, 403, 404, 408, 409, 413, 415, 422, 503)


def who(request: Request) -> Session:
    """The session that the guard found."""
    session: Session = request.state.session
    return session


Who = Annotated[Session, Depends(who)]
KEY = APIKeyHeader(
    name="X-Desk-Key", scheme_name="key", description="The session's key: GET /api/run tells it.", auto_error=False
)
"""For OpenAPI: the guard checks it."""


def documented(settings: Settings) -> tuple[list[Any], list[Any]]:
    """What reading and writing ask for, as OpenAPI has it: a session where there is a door, and a key to write."""
    if settings.door is None:
        return [], [Security(KEY)]
    told = "POST /api/session sets it."
    cookie = APIKeyCookie(name=settings.cookie, scheme_name="session", description=told, auto_error=False)
    return [Security(cookie)], [Security(cookie), Security(KEY)]
