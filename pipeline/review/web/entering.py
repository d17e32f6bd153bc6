"""The routes of the door: signing in and leaving."""

from __future__ import annotations

import ipaddress
import math

from fastapi import APIRouter
from starlette.requests import Request

from earwitness.pipeline.review.decisions import RefusedError
from earwitness.pipeline.review.web import answers
from earwitness.pipeline.review.web.doors import clean_name
from earwitness.pipeline.review.web.json_text import Json
from earwitness.pipeline.review.web.live import Live
from earwitness.pipeline.review.web.models import Knock
from earwitness.pipeline.review.web.problems import TurnedAwayError
from earwitness.pipeline.review.web.routes import Who, documented, failures
from earwitness.pipeline.review.web.sessions import LONGEST, Attempts, Sessions
from earwitness.pipeline.review.web.settings import Settings

BY_ADDRESS, BY_NAME = (10, 300.0), (50, 900.0)
"""Failures within seconds, after which an address or a name has to wait; own choice."""


def entering(settings: Settings, sessions: Sessions, live: Live) -> APIRouter:
    """How one comes in and goes."""
    _, needs = documented(settings)
    router = APIRouter(prefix="/api", tags=["session"])
    by_address, by_name = Attempts(*BY_ADDRESS), Attempts(*BY_NAME)

    @router.post(
        "/session",
        operation_id="signIn",
        response_model=answers.SignedIn,
        responses=failures(400, 401, 403, 404, 408, 413, 415, 422, 429),
    )
    def sign_in(knock: Knock, request: Request) -> Json:
        """Sign in with the desk's token or with your password; the answer sets a cookie."""
        if settings.door is None:
            raise RefusedError("unknown", "nobody signs in at this desk", "GET /api/run tells your key")
        name = clean_name(knock.name)
        if name is None:
            raise RefusedError("invalid", "that is no name", "1 to 100 printable characters")
        waits = ((by_address, _network(request)), (by_name, name.casefold()))
        wait = max(attempts.wait(whose) for attempts, whose in waits)
        if wait > 0:
            remedy = f"try again in {math.ceil(wait)} seconds"
            raise TurnedAwayError(
                429, "too-often", "too many attempts failed", remedy, {"Retry-After": f"{math.ceil(wait)}"}
            )
        # Before the look at the secret: if another is set meanwhile, this session is none.
        mark = sessions.mark(name)
        if not settings.door.admits(name, knock.secret):
            for attempts, whose in waits:
                attempts.fail(whose)
            raise TurnedAwayError(401, "sign-in", "name and secret do not fit", "ask whoever started the desk")
        for attempts, whose in waits:
            attempts.forget(whose)
        sessions.end(request.state.secret)
        secret, session = sessions.begin(name, mark)
        answer = Json({"me": session.name, "key": session.key})
        answer.set_cookie(
            settings.cookie,
            secret,
            max_age=int(LONGEST),
            path="/",
            secure=settings.secure,
            httponly=True,
            samesite="strict",
        )
        return answer

    @router.delete(
        "/session",
        operation_id="signOut",
        response_model=answers.SignedOut,
        dependencies=needs,
        responses=failures(400, 401, 403, 408, 413, 415),
    )
    def sign_out(request: Request, _: Who) -> Json:
        """Leave: the cookie is worth nothing from now on."""
        sessions.end(request.state.secret)
        live.nudge()
        answer = Json({"signedOut": True})
        answer.delete_cookie(settings.cookie, path="/", secure=settings.secure, httponly=True, samesite="strict")
        return answer

    return router


def _network(request: Request) -> str:
    """Whose attempts are counted together: an address, or the network of one that can choose among many."""
    host = request.client.host if request.client else ""
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        return host
    return str(ipaddress.ip_network((address, 64), strict=False)) if address.version == 6 else host
