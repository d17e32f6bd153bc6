"""Review: a run's drafted rows and people's decisions come in; the rows as people left them go out.

Decisions are a history that only grows, in a database beside the run or on a team's server; the draft is never touched,
and a newer draft never overwrites a decision. Refuses what breaks the event schema, and a decision on a row that has
changed since its reviewer saw it (Conflict).
"""

from earwitness.pipeline.review.decisions import (
    ACTIONS,
    REJECT_REASONS,
    Action,
    Change,
    Conflict,
    ConflictError,
    Decision,
    Proposed,
    RefusedError,
    Request,
)
from earwitness.pipeline.review.desk import Desk, Outcome, open_desk
from earwitness.pipeline.review.store import Store, open_store

__all__ = [
    "ACTIONS",
    "REJECT_REASONS",
    "Action",
    "Change",
    "Conflict",
    "ConflictError",
    "Decision",
    "Desk",
    "Outcome",
    "Proposed",
    "RefusedError",
    "Request",
    "Store",
    "open_desk",
    "open_store",
]
