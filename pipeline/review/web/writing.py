"""The routes that write: decisions, undo and redo."""

from __future__ import annotations

from fastapi import APIRouter

from earwitness.pipeline.review import views
from earwitness.pipeline.review.desk import Desk, Outcome
from earwitness.pipeline.review.web import answers
from earwitness.pipeline.review.web.json_text import Json
from earwitness.pipeline.review.web.live import Live
from earwitness.pipeline.review.web.models import Step, Wanted
from earwitness.pipeline.review.web.routes import WRITING, Who, documented
from earwitness.pipeline.review.web.settings import Settings


def writing(desk: Desk, settings: Settings, live: Live) -> APIRouter:
    """What can be written; each answers when it is on the disk."""
    _, needs = documented(settings)
    router = APIRouter(prefix="/api", tags=["write"], dependencies=needs, responses=WRITING)

    def answer(outcome: Outcome) -> Json:
        live.nudge()
        return Json(views.outcome_json(desk, outcome))

    @router.post("/decisions", operation_id="decide", response_model=answers.Outcome)
    def decide(wanted: Wanted, session: Who) -> Json:
        """Decide on one event or more. All of it is written, or nothing."""
        return answer(desk.decide(wanted.request(), session.name))

    @router.post("/undo", operation_id="undo", response_model=answers.Outcome)
    def undo(step: Step, session: Who) -> Json:
        """Take back your own last decision, with all of its batch."""
        return answer(desk.undo(step.uid, session.name))

    @router.post("/redo", operation_id="redo", response_model=answers.Outcome)
    def redo(step: Step, session: Who) -> Json:
        """Bring back what your last undo took."""
        return answer(desk.redo(step.uid, session.name))

    return router
