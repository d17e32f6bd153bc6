"""What the API takes, checked before the desk sees it."""
# ruff: noqa: N815 - names are those of the JSON.

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from earwitness.pipeline.review.decisions import Request
from earwitness.pipeline.review.edits import LONGEST_TEXT
from earwitness.pipeline.review.web.doors import LONGEST_NAME, LONGEST_SECRET

Uid = Annotated[
    str,
    Field(
        min_length=1,
        max_length=100,
        pattern="^[ -~]+$",
        description="Yours to choose: the same uid twice is one decision.",
    ),
]
Id = Annotated[str, StringConstraints(min_length=1, max_length=500)]
Value = Annotated[str, StringConstraints(max_length=LONGEST_TEXT)] | int | float | bool | None
Values = Annotated[
    dict[Annotated[str, StringConstraints(max_length=100)], Value],
    Field(max_length=60, description="Columns of schemas/event.schema.json, taxonRank (raises the name), askNote."),
]


class Taken(BaseModel):
    """What all requests share."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)


class Target(Taken):
    """An event, and its version as you saw it."""

    eventID: Id
    version: Annotated[int, Field(ge=0, le=2_000_000_000)]


class WordsPlace(Taken):
    """Words of the transcript: characters [beginsAt, endsAt) of the utterance that begins at utteranceStart."""

    recordingID: Id
    utteranceStart: Annotated[float, Field(ge=-1e9, le=1e9)] | None = None
    beginsAt: Annotated[int, Field(ge=0, le=10_000_000)] | None = None
    endsAt: Annotated[int, Field(ge=0, le=10_000_000)] | None = None


class Wanted(Taken):
    """A decision as it is asked for."""

    model_config = ConfigDict(
        extra="forbid",
        allow_inf_nan=False,
        json_schema_extra={
            "examples": [
                {"uid": "6f1c", "action": "accept", "targets": [{"eventID": "dive_206:o00012000", "version": 0}]},
                {
                    "uid": "6f1d",
                    "action": "reject",
                    "targets": [{"eventID": "dive_206:o00031500", "version": 3}],
                    "reason": "not-seen",
                },
            ]
        },
    )
    uid: Uid
    action: Literal["accept", "change", "reject", "add", "split", "merge", "link", "ask", "note", "reopen", "teach"]
    targets: Annotated[list[Target], Field(max_length=1000)] = []
    set: Values = {}
    taxonID: Annotated[Id | None, Field(description="The name that it gets, by the checklist's taxonID.")] = None
    note: Annotated[str, Field(max_length=LONGEST_TEXT)] | None = None
    reason: Annotated[str, Field(max_length=40, description="Of a rejection; GET /api/run lists them.")] | None = None
    into: Annotated[Id | None, Field(description="Of a merge the event that stays, of a link the other one.")] = None
    relation: Annotated[str, Field(max_length=40, examples=["on", "host of"])] | None = None
    words: WordsPlace | None = None
    parts: Annotated[list[Values], Field(max_length=50, description="Of a split, what differs in each part.")] = []
    batch: Annotated[Uid | None, Field(description="What belongs to one stroke bears one, and is undone together.")] = (
        None
    )
    teach: Annotated[bool | None, Field(description="Whether heard words -> name is learned; null: by rule.")] = None

    def request(self) -> Request:
        """The same as the desk takes it."""
        return Request(
            uid=self.uid,
            action=self.action,
            targets={target.eventID: target.version for target in self.targets},
            columns=self.set,
            taxon_id=self.taxonID,
            note=self.note,
            reason=self.reason,
            into=self.into,
            relation=self.relation,
            words=self.words.model_dump() if self.words else None,
            parts=self.parts,
            batch=self.batch,
            teach=self.teach,
        )


class Step(Taken):
    """An undo or redo of your own last decision."""

    uid: Uid


class Knock(Taken):
    """Who wants to come in."""

    name: Annotated[str, Field(min_length=1, max_length=LONGEST_NAME * 2, examples=["Rosalind Quay"])]
    secret: Annotated[
        str, Field(min_length=1, max_length=LONGEST_SECRET, description="The desk's token, or your password.")
    ]
