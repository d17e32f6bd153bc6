"""The application of one desk: everything that a request passes, in order, and the routes."""

from __future__ import annotations

from importlib.metadata import version

from fastapi import FastAPI
from starlette.middleware.gzip import GZipMiddleware

from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.web.entering import entering
from earwitness.pipeline.review.web.films import Films
from earwitness.pipeline.review.web.guard import Guard
from earwitness.pipeline.review.web.headers import SafeHeaders
from earwitness.pipeline.review.web.live import Live
from earwitness.pipeline.review.web.pages import pages
from earwitness.pipeline.review.web.problems import Mishaps, tell_problems
from earwitness.pipeline.review.web.reading import listening, reading, showing
from earwitness.pipeline.review.web.sessions import Sessions
from earwitness.pipeline.review.web.settings import Settings
from earwitness.pipeline.review.web.stack_json import StackJson
from earwitness.pipeline.review.web.writing import writing

_ABOUT = """The desk on which people correct the suggestions of one run. Its own page uses nothing else.

Writes bear the header `X-Desk-Key`, which `GET /api/run` tells, and a `uid` of your choice: a request that is sent
again under the same uid is written once. An event has a `version`; a decision names the one you saw, and where another
stands nothing is written (409).
"""


def make_app(desk: Desk, settings: Settings) -> FastAPI:
    """The application of one desk.

    `app.state.live.end()` ends its open streams, `app.state.stack()` writes all events.
    """
    app = FastAPI(
        title="earwitness review desk",
        version=version("earwitness"),
        description=_ABOUT,
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        redirect_slashes=False,
    )
    sessions = Sessions(mark=settings.door.mark) if settings.door else Sessions()
    live, films = Live(desk), Films(desk, settings.media)
    stack = StackJson(desk)
    app.state.live, app.state.stack = live, stack
    tell_problems(app, desk)
    app.include_router(reading(desk, settings, films, stack))
    app.include_router(listening(settings, live, sessions))
    app.include_router(showing(settings, films))
    app.include_router(writing(desk, settings, live))
    app.include_router(entering(settings, sessions, live))
    app.include_router(pages(settings))
    # The last one added comes first.
    app.add_middleware(GZipMiddleware, minimum_size=2000, compresslevel=4)
    app.add_middleware(Mishaps)
    app.add_middleware(Guard, settings=settings, sessions=sessions)
    app.add_middleware(SafeHeaders)
    return app
