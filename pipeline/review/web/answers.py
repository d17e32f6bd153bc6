"""What the API answers, described for programs that use it.

The routes answer with plain values, which is much quicker; tests hold them to this.
"""
# ruff: noqa: N815 - names are those of the JSON.

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Cell = str | int | float | bool | None
Row = Annotated[
    dict[str, Any], Field(description="An event with all columns of schemas/event.schema.json as they stand.")
]
Number = Annotated[int, Field(ge=0, description="Number of a decision; 0: none.")]
Compact = Annotated[list[list[Cell]], Field(description="Events, each a list in the order of `columns`.")]
Columns = Annotated[list[str], Field(description="Names of the cells of a compact event.")]
Seconds = Annotated[float, Field(description="Seconds into the recording.")]


class Answer(BaseModel):
    """What all answers share: nothing is in them that is not described."""

    model_config = ConfigDict(extra="forbid")


class Change(Answer):
    """What a decision did to one event."""

    eventID: str
    before: Annotated[dict[str, Any] | None, Field(description="Changed columns as they stood; null: not there.")]
    after: Annotated[dict[str, Any] | None, Field(description="As they stand now; null: taken away.")]


class Taught(Answer):
    """What a decision taught of heard words."""

    heard: str
    scientificName: Annotated[str | None, Field(description="What they mean; null: no name.")]


class Decision(Answer):
    """An entry of the history, which only grows."""

    number: int
    uid: str
    at: Annotated[str, Field(description="RFC 3339, UTC.", examples=["2031-11-04T10:00:00.000Z"])]
    reviewer: str
    action: str
    changes: list[Change]
    note: str
    undoes: Annotated[int | None, Field(description="The decision (or, of a redo, the undo) that it takes back.")]
    batch: Annotated[str | None, Field(description="What was decided at one stroke bears one batch.")]
    software: str
    draft: Annotated[str, Field(description="SHA-256 of the events.jsonl that it was decided on.")]
    taught: Taught | None
    stands: Annotated[bool, Field(description="Whether it was not taken back.")]


class ConflictingEvent(Answer):
    """An event that somebody else decided on since it was seen."""

    eventID: str
    seen: int
    stands: int
    by: str
    at: str
    row: Row | None
    decision: Decision | None


class ProblemBody(Answer):
    """What went wrong, in a word for programs and in words for people."""

    kind: Annotated[str, Field(examples=["conflict", "invalid", "unknown", "key", "sign-in"])]
    message: str
    remedy: str
    events: Annotated[list[ConflictingEvent] | None, Field(description="Of a conflict.")] = None


class Problem(Answer):
    """Every answer that is no success."""

    problem: ProblemBody


class Counts(Answer):
    """How many events stand how."""

    total: int
    draft: int
    accepted: int
    changed: int
    rejected: int
    ask: Annotated[int, Field(description="About how many somebody asks.")]


class Part(Answer):
    """A stretch of a recording that is one file."""

    media: Annotated[str | None, Field(description="Where it is; null: it does not lie here.")]
    mediaType: str | None
    startTime: Annotated[float, Field(description="Where it begins, in seconds into the recording.")]
    endTime: Annotated[float | None, Field(description="Where it ends, likewise; null: at the file's own end.")]
    name: Annotated[str, Field(description="Of the file, for people.")]


class Recording(Answer):
    """A recording of the run."""

    recordingID: str
    endTime: Seconds
    media: Annotated[str | None, Field(description="Where the one file of it is; null: none lies here, or several.")]
    mediaType: str | None
    frameRate: Annotated[float | None, Field(description="Frames a second, where they were told.")]
    parts: Annotated[list[Part], Field(description="Its files in the order of time; empty: none lies here.")]


class Reason(Answer):
    """Why a suggestion is rejected."""

    code: str
    words: str


class RunHead(Answer):
    """The run as a whole."""

    title: str
    caution: str
    software: str
    draft: Annotated[str, Field(description="SHA-256 of events.jsonl.")]
    me: Annotated[str, Field(description="The name that your decisions bear.")]
    door: Annotated[Literal["open", "token", "users"], Field(description="How one comes in; open: nobody signs in.")]
    key: Annotated[str, Field(description="What writes bear in the header X-Desk-Key.")]
    reviewers: Annotated[list[str], Field(description="All who decided on anything.")]
    recordings: list[Recording]
    counts: Counts
    last: Number
    rejectReasons: list[Reason]
    qualifiers: list[str]


class Events(Answer):
    """All events, compact."""

    columns: Columns
    rows: Compact
    last: Number


class Above(Answer):
    """A step of a lineage."""

    rank: str
    name: str
    taxonID: str


class Candidate(Answer):
    """A name that an event may bear."""

    scientificName: str | None
    taxonID: str | None
    taxonRank: str | None
    nameScore: Annotated[float | None, Field(description="That the heard words mean it (0-1); null: not scored.")]
    lineage: Annotated[str, Field(examples=["Animalia > Cnidaria > Anthozoa"])]
    vernacularName: str | None
    why: str


class Link(Answer):
    """Another event that this one stands in a relation to."""

    relation: str
    eventID: str
    scientificName: str | None
    startTime: Seconds


class Own(Answer):
    """What only the desk keeps of an event."""

    askNote: str | None
    reviewNote: str | None
    rejectReason: str | None
    mergedInto: str | None


class Event(Answer):
    """One event with all about it."""

    row: Row
    draft: Annotated[dict[str, Any] | None, Field(description="As it was drafted; null: people added it.")]
    version: Number
    own: Own
    lineage: list[Above]
    candidates: Annotated[list[Candidate], Field(description="The name that stands first, then others.")]
    mentions: Annotated[list[dict[str, Any]], Field(description="Rows of mentions.jsonl that it rests on.")]
    history: list[Decision]
    links: list[Link]


class UtteranceMention(Answer):
    """A name in an utterance: characters [beginsAt, endsAt) of its text."""

    mentionID: str
    eventID: str | None
    beginsAt: int
    endsAt: int
    status: str
    scientificName: str | None
    taxonRank: str | None


class Cue(Answer):
    """Words that said how sure a claim is, or that it is none."""

    beginsAt: int
    endsAt: int
    category: str
    words: str
    did: str
    mentionIDs: Annotated[list[str], Field(description="The mentions that it did this to, in order.")]


class Utterance(Answer):
    """What was said at one stretch."""

    startTime: Seconds
    endTime: Seconds
    speaker: str | None
    text: str
    words: Annotated[list[list[float]], Field(description="[beginsAt, endsAt, startTime, endTime] of each word.")]
    mentions: list[UtteranceMention]
    cues: list[Cue]


class Utterances(Answer):
    """All that was said in a recording."""

    rows: list[Utterance]


class Name(Answer):
    """A name of the checklist."""

    scientificName: str
    taxonID: str
    taxonRank: str | None
    authorship: str | None
    lineage: str
    vernacularName: str | None
    matched: Annotated[str, Field(description="The name that was found: this one, a synonym or a vernacular.")]
    how: str
    marks: Annotated[list[list[int]], Field(description="Characters [begin, end) of `matched` that were typed.")]


class Names(Answer):
    """Names that fit what was typed, the best first."""

    names: list[Name]
    ms: Annotated[float, Field(description="Milliseconds that it took.")]


class SameEvent(Answer):
    """A draft on the same heard words."""

    eventID: str
    startTime: Seconds
    recordingID: str
    text: str
    scientificName: str | None
    version: Number
    reviewStatus: str


class SameWords(Answer):
    """Drafts that rest on the same heard words as an event."""

    heard: str | None
    events: list[SameEvent]


class NamedEvent(Answer):
    """An event by its name and time."""

    eventID: str
    recordingID: str
    startTime: Seconds
    recordKind: str
    scientificName: str | None


class Differs(Answer):
    """A column of a decided event that the newest draft says otherwise."""

    eventID: str
    column: str
    decided: Any
    draft: Any
    before: Annotated[Any, Field(description="As it was drafted when people decided.")]


class Redraft(Answer):
    """A newer draft beside the decisions."""

    changed: list[Differs]
    gone: list[NamedEvent]
    new: list[NamedEvent]


class Outcome(Answer):
    """What came of a write; when it is here it is on the disk."""

    decisions: list[Decision]
    columns: Columns
    events: Annotated[list[list[Cell]], Field(description="The events touched, compact, as they stand.")]
    gone: Annotated[list[str], Field(description="eventIDs of those that are no more.")]
    counts: Counts
    last: Number
    complaints: Annotated[list[str], Field(description="What could not be taught, in words.")]


class Figure(Answer):
    """A coefficient with its 95% interval; null where it cannot be told."""

    value: float | None
    low: float | None
    high: float | None


class Compared(Answer):
    """Reviewers' views of the same events, in one aspect."""

    aspect: str
    reviewers: list[str]
    events: int
    alike: int
    kappa: Annotated[Figure, Field(description="Cohen's kappa, of two.")]
    alpha: Annotated[Figure, Field(description="Krippendorff's alpha.")]


class DecidedOn(Answer):
    """How many events somebody decided on."""

    name: str
    events: int


class MachineShare(Answer):
    """How often suggestions were right in one group of reviewed rows."""

    by: str
    group: str
    reviewed: int
    right: int
    renamed: int
    rejected: int
    share: float
    low: float
    high: float
    expected: Annotated[float | None, Field(description="Mean nameScore, which should be near the share.")]


class MixUp(Answer):
    """A suggested name that people did not let stand."""

    suggested: str
    suggestedRank: str | None
    decided: str | None
    decidedRank: str | None
    reason: str | None
    times: int


class Agreement(Answer):
    """Reviewers compared with each other, and the draft with what people decided."""

    reviewers: list[DecidedOn]
    shared: Annotated[int, Field(description="Events that two or more decided on.")]
    pairs: list[Compared]
    everybody: list[Compared]
    machine: list[MachineShare]
    mixUps: list[MixUp]


class SignedIn(Answer):
    """A session, whose secret is in a cookie."""

    me: str
    key: str


class SignedOut(Answer):
    """No session any more."""

    signedOut: Literal[True]
