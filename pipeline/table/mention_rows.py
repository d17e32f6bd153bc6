"""Rows of mentions.jsonl: every stretch of talk that may name a taxon, with what was made of it."""

from __future__ import annotations

from collections import Counter
from typing import Any

from earwitness.pipeline.segment import speaker_of, times_of
from earwitness.pipeline.table.event_rows import (
    RecordingTalk,
    alternative_names,
    interval,
    taxon_columns,
)


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
                "speaker": speaker_of(talk.doc, mention.start),
                "verbatimIdentification": mention.text,
                "matchedName": best.matched,
                "matchedHow": best.how,
                **taxon_columns(talk.checklist, best.row),
                "nameScore": best.score,
                "alternatives": alternative_names(talk.checklist, mention.candidates, best.row),
                "status": judgement.status,
                "certainty": judgement.certainty,
                "certaintyTerm": judgement.term,
                "certaintyCues": list(judgement.cues),
            }
        )
    return rows
