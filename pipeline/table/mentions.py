"""Rows of mentions.jsonl: every stretch of talk that may name a taxon, with what was made of it."""

from __future__ import annotations

from collections import Counter
from typing import Any

from earwitness.pipeline.judge import ActingCue
from earwitness.pipeline.segment import speaker_of, times_of
from earwitness.pipeline.table.events import (
    RecordingTalk,
    alternative_names,
    interval,
)
from earwitness.pipeline.table.taxa import taxon_columns


def mention_rows(talk: RecordingTalk) -> list[dict[str, Any]]:
    """The mention rows of one recording in order."""
    owner = {n: talk.event_ids[i] for i, sighting in enumerate(talk.sightings) for n in sighting.mentions}
    times = times_of(talk.doc)
    seen: Counter[str] = Counter()
    rows = []
    for number, (mention, judgement) in enumerate(zip(talk.mentions, talk.judgements, strict=True)):
        stem = f"{talk.recording_id}:n{round(float(times.start[mention.start]) * 1000):08d}"
        seen[stem] += 1
        utterance = talk.utterance_at(mention.start)
        best = mention.best
        rows.append(
            {
                "mentionID": stem if seen[stem] == 1 else f"{stem}.{seen[stem]}",
                "recordingID": talk.recording_id,
                "eventID": owner.get(number),
                **interval(talk, mention.start, mention.end),
                "utteranceStart": round(float(times.start[utterance.start]), 3),
                "utteranceEnd": round(float(times.end[utterance.end - 1]), 3),
                "utteranceText": utterance.text,
                "beginsAt": talk.doc[mention.start].idx - utterance.start_char,
                "endsAt": talk.doc[mention.start : mention.end].end_char - utterance.start_char,
                "speaker": speaker_of(talk.doc, mention.start),
                "verbatimIdentification": mention.text,
                "matchedName": best.matched,
                "matchedHow": best.how,
                **taxon_columns(talk.checklist, best.row),
                "nameScore": best.score,
                "alternatives": alternative_names(talk.checklist, mention.candidates, best.row),
                "status": judgement.status,
                "role": judgement.role,
                "certainty": judgement.certainty,
                "certaintyTerm": judgement.term,
                "certaintyCues": list(judgement.cues),
                "cues": [_cue(talk, cue, utterance.start_char) for cue in judgement.acting],
            }
        )
    return rows


def _cue(talk: RecordingTalk, cue: ActingCue, utterance_start: int) -> dict[str, Any]:
    """A cue with its place in the utterance; one of a neighbouring utterance lies before 0 or past its end."""
    return {
        "words": cue.words,
        "beginsAt": talk.doc[cue.start].idx - utterance_start,
        "endsAt": talk.doc[cue.start : cue.end].end_char - utterance_start,
        "category": cue.category,
        "did": cue.did,
        "source": cue.source,
    }
