"""The routes that read: the run, its events, its talk, names, what changed."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from earwitness.pipeline.review import views
from earwitness.pipeline.review.agreement import Agreement, agreement_csv, agreement_json, agreement_on
from earwitness.pipeline.review.decisions import RefusedError
from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.redraft import redraft
from earwitness.pipeline.review.same_words import same_words
from earwitness.pipeline.review.web import answers
from earwitness.pipeline.review.web.films import Films
from earwitness.pipeline.review.web.json_text import Json, dumped
from earwitness.pipeline.review.web.live import Live
from earwitness.pipeline.review.web.media import send_media
from earwitness.pipeline.review.web.names import Names
from earwitness.pipeline.review.web.problems import TurnedAwayError
from earwitness.pipeline.review.web.ranges import known
from earwitness.pipeline.review.web.routes import READING, Who, documented, failures
from earwitness.pipeline.review.web.sessions import Sessions
from earwitness.pipeline.review.web.settings import Settings
from earwitness.pipeline.review.web.stack_json import StackJson
from earwitness.pipeline.review.web.streams import Stream

_SERVER_SENT = {
    "description": "Each event of the stream.",
    "type": "object",
    "required": ["event", "data"],
    "properties": {
        "event": {"enum": ["decisions", "reviewers"]},
        "data": {"type": "string", "contentMediaType": "application/json"},
        "id": {"type": "string", "description": "Of decisions: the number that the event leads to."},
    },
}
EventID = Annotated[str, Query(alias="eventID", min_length=1, max_length=500)]


def reading(desk: Desk, settings: Settings, films: Films, stack: StackJson) -> APIRouter:
    """What can be read."""
    needs, _ = documented(settings)
    router = APIRouter(prefix="/api", tags=["read"], dependencies=needs, responses=READING)
    # Only while the program runs: another history may have as many decisions.
    this_time = secrets.token_urlsafe(8)
    found_names = Names(desk)

    @router.get("/run", operation_id="getRun", response_model=answers.RunHead)
    def run(session: Who) -> Json:
        """The run as a whole: recordings, counts, who you are, and your key for writes."""
        desk.refresh()
        head = views.run_head(desk)
        head["recordings"] = [recording | films.told(recording["recordingID"]) for recording in head["recordings"]]
        door = settings.door.kind if settings.door else "open"
        return Json(head | {"me": session.name, "door": door, "key": session.key})

    @router.get("/events", operation_id="listEvents", response_model=answers.Events)
    def events(request: Request) -> Response:
        """All events, compact, as they stand."""
        desk.refresh()
        return _unless_known(request, f'"{this_time}-{desk.last}"', stack)

    @router.get(
        "/events/{event_id:path}", operation_id="getEvent", response_model=answers.Event, responses=failures(404, 422)
    )
    def event(event_id: str) -> Json:
        """One event with all about it: names to choose from, what was heard, its history."""
        return Json(views.details(desk, event_id))

    @router.get(
        "/utterances/{recording_id:path}",
        operation_id="listUtterances",
        response_model=answers.Utterances,
        responses=failures(404, 422),
    )
    def utterances(request: Request, recording_id: str) -> Response:
        """All that was said in a recording, with the names and cues in it."""
        if recording_id not in desk.talk.utterances:
            raise RefusedError("unknown", f"there is no recording {recording_id!r}", "a recording of this run")
        return _unless_known(request, f'"{this_time}"', lambda: dumped({"rows": views.talk(desk, recording_id)}))

    @router.get("/names", operation_id="findNames", response_model=answers.Names, responses=failures(422))
    def find_names(
        q: Annotated[str, Query(max_length=200, description="What was typed so far.")] = "",
        recording_id: Annotated[str | None, Query(alias="recordingID", max_length=500)] = None,
        event_id: Annotated[str | None, Query(alias="eventID", max_length=500)] = None,
        limit: Annotated[int, Query(ge=1, le=100)] = 12,
    ) -> Json:
        """Names of the checklist that fit what was typed; those of the event and of the dive come first."""
        return Json(found_names.find(q, recording_id, event_id, limit))

    @router.get(
        "/same-words", operation_id="listSameWords", response_model=answers.SameWords, responses=failures(404, 422)
    )
    def same(event_id: EventID) -> Json:
        """Undecided events that rest on the same heard words, to look at before deciding on all at once."""
        return Json(same_words(desk, event_id))

    @router.get("/redraft", operation_id="getRedraft", response_model=answers.Redraft)
    def newer_draft() -> Json:
        """What a newer draft says otherwise than the one that was decided on."""
        return Json(redraft(desk))

    def figures() -> Agreement:
        desk.refresh()
        return agreement_on(desk)

    @router.get("/agreement", operation_id="getAgreement", response_model=answers.Agreement)
    def how_they_agree() -> Json:
        """Reviewers compared with each other, and the draft with what people decided."""
        return Json(agreement_json(figures()))

    @router.get(
        "/agreement.csv",
        operation_id="getAgreementTable",
        response_class=Response,
        responses={200: {"description": "All figures as one table.", "content": {"text/csv": {}}}},
    )
    def table_of_agreement() -> Response:
        """The same as a table."""
        headers = {"Content-Disposition": 'attachment; filename="agreement.csv"'}
        return Response(agreement_csv(figures()).encode("utf-8", "replace"), headers=headers, media_type="text/csv")

    return router


def _unless_known(request: Request, etag: str, content: Callable[[], bytes]) -> Response:
    headers = {"ETag": etag, "Cache-Control": "private, no-cache"}
    if known(request.headers.get("if-none-match"), etag):
        return Response(status_code=304, headers=headers)
    return Response(content(), headers=headers, media_type="application/json")


def listening(settings: Settings, live: Live, sessions: Sessions) -> APIRouter:
    """What comes as it happens."""
    needs, _ = documented(settings)
    router = APIRouter(prefix="/api", tags=["read"], dependencies=needs, responses=READING)

    @router.get(
        "/changes",
        operation_id="followChanges",
        response_class=Stream,
        responses={
            200: {
                "description": "Server-sent events: `decisions` (decisions, columns, events, gone, counts, last), "
                "`reviewers` (reviewers: all who decided; here: who listens now), and comments as signs of life.",
                "content": {"text/event-stream": {"schema": _SERVER_SENT}},
            },
            **failures(422),
        },
    )
    async def changes(
        request: Request,
        session: Who,
        since: Annotated[int, Query(ge=0, le=2_000_000_000, description="The last decision that you know.")] = 0,
        seconds: Annotated[
            float | None, Query(ge=0, le=86_400, description="Seconds after which the stream ends; default: never.")
        ] = None,
    ) -> Stream:
        """Decisions as they are made, here or at another server of the same database."""
        if live.is_full:
            raise TurnedAwayError(503, "closed", "too many listen already", "close other windows")
        secret = request.state.secret

        def stays() -> bool:
            return settings.door is None or sessions.of(secret, use=False) is not None

        parts = live.listen(session.name, since, seconds, stays)
        return Stream(parts, headers={"X-Accel-Buffering": "no"}, kind="text/event-stream")

    return router


def showing(settings: Settings, films: Films) -> APIRouter:
    """Videos and sounds."""
    needs, _ = documented(settings)
    router = APIRouter(tags=["media"], dependencies=needs, responses=failures(400, 401, 403, 404))
    told: dict[int | str, dict[str, Any]] = {
        200: {"description": "The whole file.", "content": {"video/*": {}, "audio/*": {}}},
        206: {
            "description": "The bytes that Range asked for; several pieces as multipart/byteranges.",
            "content": {"video/*": {}, "audio/*": {}, "multipart/byteranges": {}},
        },
        304: {"description": "If-None-Match has this file."},
        **failures(416, 422),
    }

    async def media(
        request: Request,
        recording_id: str,
        part: Annotated[int | None, Query(ge=1, description="Of a recording of several files, which; from 1.")] = None,
    ) -> Response:
        """The video or sound of a recording, whole or by ranges."""
        try:
            found = films.of(recording_id, part)
            if found is not None:
                return await send_media(request, found)
        except OSError as error:
            raise RefusedError(
                "unknown", f"the file of {recording_id!r} is gone", "--media names the folder"
            ) from error
        raise RefusedError("unknown", f"there is no video or sound of {recording_id!r}", "--media names the folder")

    path = "/media/{recording_id:path}"
    router.add_api_route(path, media, methods=["GET"], operation_id="getMedia", response_class=Response, responses=told)
    told_of_head: dict[int | str, dict[str, Any]] = {
        status: meaning for status, meaning in told.items() if status in (200, 304, 422)
    }
    router.add_api_route(
        path, media, methods=["HEAD"], operation_id="headMedia", response_class=Response, responses=told_of_head
    )
    return router
