"""Rows of the event table: one a sighting, a marker, a measurement or a stretch of ground."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from spacy.tokens import Doc, Span

from earwitness.pipeline.describe import Description
from earwitness.pipeline.judge import Judgement
from earwitness.pipeline.mention import Candidate, Mention
from earwitness.pipeline.place import event_date
from earwitness.pipeline.segment import UTTERANCES, speaker_of, times_of
from earwitness.pipeline.settle import Count, Note, Sighting
from earwitness.pipeline.table.remarks import DRAFT
from earwitness.pipeline.table.taxa import taxon_columns
from earwitness.pipeline.words.terms import certainty_term
from earwitness.schemas import columns
from earwitness.taxonomy import Checklist

_KIND_LETTERS = {"occurrence": "o", "marker": "m", "measurement": "q", "substrate": "s"}
_QUANTITY_TYPES = {
    "about": "individuals, approximate",
    "at least": "individuals, at least",
    "abundance": "abundance as spoken",
}
_HOW = {
    "exact": "as in the checklist",
    "group": "the group that holds all taxa of this name",
    "abbreviated": "from an abbreviated genus",
    "epithet": "from the epithet alone",
    "similar": "by its sound",
    "corrected": "as people corrected these words before",
}


@dataclass(frozen=True)
class RecordingTalk:
    """All that the earlier stages found in one recording."""

    recording_id: str
    doc: Doc
    mentions: tuple[Mention, ...]
    judgements: tuple[Judgement, ...]
    sightings: tuple[Sighting, ...]
    notes: tuple[Note, ...]
    checklist: Checklist
    version: str
    descriptions: tuple[Description, ...]
    start: datetime | None = None

    @cached_property
    def event_ids(self) -> tuple[str, ...]:
        """IDs of the sightings' events, then of the notes': recording, kind, and the millisecond of the first word."""
        starts = times_of(self.doc).start
        kinds = [("occurrence", s.first) for s in self.sightings] + [(n.kind, n.start) for n in self.notes]
        seen: Counter[str] = Counter()
        ids = []
        for kind, token in kinds:
            stem = f"{self.recording_id}:{_KIND_LETTERS[kind]}{round(float(starts[token]) * 1000):08d}"
            seen[stem] += 1
            ids.append(stem if seen[stem] == 1 else f"{stem}.{seen[stem]}")
        return tuple(ids)

    @cached_property
    def utterances(self) -> tuple[Span, ...]:
        """The Doc's utterances."""
        return tuple(self.doc.spans[UTTERANCES])

    @cached_property
    def _utterance_by_token(self) -> dict[int, int]:
        return {i: number for number, span in enumerate(self.utterances) for i in range(span.start, span.end)}

    def utterance_at(self, token: int) -> Span:
        """The utterance that holds a token."""
        return self.utterances[self._utterance_by_token[token]]

    def text_of(self, tokens: list[int]) -> str:
        """The utterances that hold these tokens, each once, in order."""
        numbers = sorted({self._utterance_by_token[token] for token in tokens})
        return " | ".join(self.utterances[number].text for number in numbers)


def event_rows(talk: RecordingTalk) -> list[dict[str, Any]]:
    """The event rows of one recording, ordered by time, every column of the schema present."""
    size = len(talk.sightings)
    rows = [_occurrence(talk, number) for number in range(size)]
    rows += [_note(talk, n, i) for n, i in zip(talk.notes, talk.event_ids[size:], strict=True)]
    return sorted(rows, key=lambda row: (row["startTime"], row["eventID"]))


def alternative_names(checklist: Checklist, candidates: tuple[Candidate, ...], row: int) -> list[dict[str, Any]]:
    """The candidates other than the one that stands, best first."""
    return [
        {
            "scientificName": (taxon := checklist.taxon(c.row)).scientific_name,
            "taxonID": taxon.taxon_id,
            "taxonRank": taxon.rank or None,
            "nameScore": c.score,
        }
        for c in candidates
        if c.row != row
    ]


def interval(talk: RecordingTalk, first: int, last: int) -> dict[str, Any]:
    """Times of tokens [first, last), to the millisecond."""
    times = times_of(talk.doc)
    begin = round(float(times.start[first]), 3)
    end = round(max(float(times.end[last - 1]), begin), 3)
    return {"startTime": begin, "endTime": end, "timeUncertainty": round(float(times.uncertainty[first]), 3)}


def _blank(talk: RecordingTalk, event_id: str, kind: str, first: int, last: int) -> dict[str, Any]:
    row: dict[str, Any] = dict.fromkeys(columns("event"))
    times = interval(talk, first, last)
    row |= times
    row |= {
        "eventID": event_id,
        "recordingID": talk.recording_id,
        "recordKind": kind,
        "eventDate": event_date(talk.start, times["startTime"], times["endTime"]),
        "speaker": speaker_of(talk.doc, first),
        "alternatives": [],
        "certaintyCues": [],
        "determinations": [],
        "placeFlags": [],
        "reviewStatus": "draft",
        "softwareVersion": talk.version,
        "checklistName": talk.checklist.name,
        "checklistHash": talk.checklist.sha256,
    }
    return row


def _occurrence(talk: RecordingTalk, number: int) -> dict[str, Any]:
    sighting, description = talk.sightings[number], talk.descriptions[number]
    row = _blank(talk, talk.event_ids[number], "occurrence", sighting.first, sighting.last)
    mention, judgement = talk.mentions[sighting.said], talk.judgements[sighting.said]
    taxon = talk.checklist.taxon(sighting.row)
    row |= taxon_columns(talk.checklist, sighting.row)
    candidate, score = _support(talk.checklist, mention, sighting.row)
    row |= {
        "transcriptText": talk.text_of([*(talk.mentions[n].start for n in sighting.mentions), *sighting.answers]),
        "speaker": speaker_of(talk.doc, mention.start),
        "verbatimIdentification": mention.text,
        "scientificNameAuthorship": taxon.authorship or None,
        "acceptedNameUsageID": taxon.taxon_id,
        "vernacularName": taxon.vernaculars[0] if taxon.vernaculars else None,
        "identificationQualifier": sighting.qualifier,
        "identificationVerificationStatus": "unverified",
        "nameScore": score,
        "alternatives": alternative_names(talk.checklist, mention.candidates, sighting.row),
        "certainty": sighting.certainty,
        "certaintyTerm": certainty_term(sighting.certainty),
        "certaintyCues": list(judgement.cues),
        "occurrenceStatus": "present",
        "previousIdentifications": _history(talk, sighting),
        "determinations": _determinations(talk, sighting),
        "identificationRemarks": _remarks(talk, sighting, candidate, description),
        "basisOfRecord": "MachineObservation",
    }
    return row | _quantity(sighting.count) | _described(talk, description)


def _support(checklist: Checklist, mention: Mention, row: int) -> tuple[Candidate, float]:
    """The candidate that a name rests on, and the name's score.

    A group above what was said ("Chaceon affinis, well, some Chaceon") is meant as far as the words mean a name in it.
    """
    within = [c for c in mention.candidates if checklist.is_same_or_ancestor(row, c.row)]
    if not within:
        return mention.best, mention.best.score
    best = max(within, key=lambda c: c.score)
    if best.row == row:
        return best, best.score
    return best, min(1.0, round(sum(c.score for c in within), 3))


def _described(talk: RecordingTalk, description: Description) -> dict[str, Any]:
    size = description.size
    names = [talk.checklist.taxon(talk.sightings[r.other].row).scientific_name for r in description.relations]
    kinds = [relation.kind for relation in description.relations]
    ids = [talk.event_ids[relation.other] for relation in description.relations]
    return {
        "sex": description.sex,
        "lifeStage": description.life_stage,
        "behavior": description.behavior,
        "vitality": description.vitality,
        "colour": description.colour,
        "positionInFrame": description.position,
        "habitat": description.habitat,
        "sizeValue": size.value if size else None,
        "sizeUnit": size.unit if size else None,
        "sizeMethod": size.method if size else None,
        "associatedTaxa": _related(kinds, names),
        "associatedOccurrences": _related(kinds, ids),
    }


def _related(kinds: list[str], others: list[str]) -> str | None:
    """Relations in the form of Darwin Core's examples: "host":"Quercus alba", joined by " | "."""
    parts = [f'"{kind}":"{other}"' for kind, other in zip(kinds, others, strict=True)]
    return " | ".join(dict.fromkeys(parts)) or None


def _determinations(talk: RecordingTalk, sighting: Sighting) -> list[dict[str, Any]]:
    starts = times_of(talk.doc).start
    chain = []
    for step in sighting.determinations:
        mention = talk.mentions[step.mention]
        taxon = talk.checklist.taxon(step.row) if step.row is not None else None
        chain.append(
            {
                "scientificName": taxon.scientific_name if taxon else None,
                "taxonID": taxon.taxon_id if taxon else None,
                "step": step.step,
                "verbatimIdentification": mention.text,
                "speaker": speaker_of(talk.doc, mention.start),
                "time": round(float(starts[mention.start]), 3),
                "certainty": round(step.certainty, 3),
            }
        )
    return chain


def _quantity(count: Count | None) -> dict[str, Any]:
    if count is None:
        return {}
    if count.kind == "exact":
        return {"individualCount": int(count.quantity)}
    return {"organismQuantity": count.quantity, "organismQuantityType": _QUANTITY_TYPES[count.kind]}


def _history(talk: RecordingTalk, sighting: Sighting) -> str | None:
    """Names that were said for the animal and do not stand, in order."""
    starts = times_of(talk.doc).start
    parts: list[str] = []
    for place, step in enumerate(sighting.determinations):
        if step.row is None or step.row == sighting.row:
            continue
        # A name that was only "named" or "refined" has gone when another stands; the rest says itself what it was.
        token = talk.mentions[step.mention].start
        speaker = speaker_of(talk.doc, token)
        who = f"{speaker}, " if speaker else ""
        name = talk.checklist.taxon(step.row).scientific_name
        later = next((s.step for s in sighting.determinations[place + 1 :] if s.row == sighting.row), "left")
        fate = step.step if step.step in ("offered", "alternative", "retracted") else f"then {later}"
        parts.append(f"{name} ({who}{float(starts[token]):.3f} s, {fate})")
    return " | ".join(parts) or None


def _remarks(talk: RecordingTalk, sighting: Sighting, candidate: Candidate, description: Description) -> str:
    said = talk.checklist.taxon(candidate.said_row)
    remarks = [DRAFT, f"Name read {_HOW[candidate.how]}."]
    if candidate.row != sighting.row:
        remarks.append("The name that stands is a group above what was said.")
    elif candidate.said_row != candidate.row and candidate.how != "group":
        remarks.append(f"Said under the name {said.scientific_name}, not accepted in the checklist.")
    if description.characters:
        remarks.append(f"Reasons given: {'; '.join(description.characters)}.")
    return " ".join(remarks)


def _note(talk: RecordingTalk, note: Note, event_id: str) -> dict[str, Any]:
    row = _blank(talk, event_id, note.kind, note.start, note.end)
    row["transcriptText"] = talk.text_of([note.start, note.end - 1])
    if note.kind == "marker":
        row |= {"markerType": note.type, "markerRank": note.rank, "sampleContainer": note.container}
    elif note.kind == "substrate":
        row["habitat"] = note.type
    else:
        row |= {
            "measurementType": note.type,
            "measurementValue": f"{note.value:g}",
            "measurementUnit": note.unit,
        }
    return row
