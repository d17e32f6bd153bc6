"""The talk of a run as the desk needs it: which mentions an event rests on, and stretches of words for new events."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from earwitness.pipeline.review.decisions import RefusedError, Row
from earwitness.pipeline.review.edits import LARGEST
from earwitness.pipeline.review.reshaping import Words
from earwitness.pipeline.table import RunFiles

_OF_THE_RUN = ("softwareVersion", "checklistName", "checklistHash")


class Talk:
    """What was said, by recording and by event."""

    def __init__(self, run: RunFiles):
        self._run = run
        self.utterances: dict[str, list[Row]] = {name: [] for name in run.recording_ids}
        self._by_place: dict[tuple[str, int], list[Row]] = {}
        for row in run.utterances or _from_mentions(run.mentions):
            self.utterances.setdefault(row["recordingID"], []).append(row)
            self._by_place.setdefault((row["recordingID"], _ms(row["startTime"])), []).append(row)
        self.mentions: dict[str, list[Row]] = {}
        self.mentions_at: dict[tuple[str, int], list[Row]] = {}
        for row in run.mentions:
            self.mentions_at.setdefault((row["recordingID"], _ms(row["utteranceStart"])), []).append(row)
            if row["eventID"] is not None:
                self.mentions.setdefault(row["eventID"], []).append(row)

    def mentions_of(self, event_id: str) -> list[Row]:
        """The mentions that became an event, in order."""
        return self.mentions.get(event_id, [])

    def mentions_in(self, utterance: Mapping[str, Any]) -> list[Row]:
        """The mentions in an utterance."""
        key = (utterance["recordingID"], _ms(utterance["startTime"]))
        return [row for row in self.mentions_at.get(key, ()) if row["utteranceText"] == utterance["text"]]

    def heard_how(self, event_id: str) -> str | None:
        """How the words that an event's name rests on were matched."""
        row = self._run.events.get(event_id)
        said = row["verbatimIdentification"] if row else None
        found = [m for m in self.mentions_of(event_id) if m["verbatimIdentification"] == said]
        return found[0]["matchedHow"] if found else None

    def words(self, place: Mapping[str, Any] | None, columns: Mapping[str, Any]) -> Words:
        """The stretch of talk that a new event rests on.

        Args:
            place: recordingID, utteranceStart, beginsAt, endsAt; or recordingID alone, where the columns say startTime.
            columns: what is set on the event.

        Raises:
            RefusedError: there are no such words.
        """
        place = place or {}
        recording = place.get("recordingID", columns.get("recordingID"))
        if recording is None and len(self.utterances) == 1:
            recording = next(iter(self.utterances))
        if not isinstance(recording, str) or recording not in self.utterances:
            raise RefusedError("unknown", f"there is no recording {recording!r}", ", ".join(self.utterances))
        if place.get("utteranceStart") is None:
            start = columns.get("startTime")
            if not isinstance(start, int | float) or isinstance(start, bool) or not 0 <= start <= LARGEST:
                raise RefusedError("invalid", "a new event needs its words or its startTime", "words, or seconds")
            return self._stretch(recording, start, start, "", "", None)
        start = place["utteranceStart"]
        if not isinstance(start, int | float) or not abs(start) <= LARGEST:
            raise RefusedError("invalid", f"utteranceStart {start!r}", "the startTime of an utterance")
        begin, end = place.get("beginsAt"), place.get("endsAt")
        for row in self._by_place.get((recording, _ms(start)), ()):
            text = row["text"]
            if isinstance(begin, int) and isinstance(end, int) and 0 <= begin < end <= len(text):
                timed = [word for word in row["words"] if word[0] < end and word[1] > begin]
                first, last = (timed[0][2], timed[-1][3]) if timed else (row["startTime"], row["endTime"])
                return self._stretch(recording, first, last, text[begin:end].strip(), text, row["speaker"])
        raise RefusedError("unknown", f"there are no such words at {start} s", "a stretch of one utterance")

    def _stretch(self, recording: str, start: float, end: float, heard: str, text: str, speaker: str | None) -> Words:
        rows = [row for row in self._run.events.values() if row["recordingID"] == recording]
        near = min(rows, key=lambda row: abs(row["startTime"] - start), default=None)
        any_row = near or next(iter(self._run.events.values()), None)
        given = {name: any_row[name] for name in _OF_THE_RUN} if any_row else self._given()
        return Words(recording, start, end, heard, text, speaker, near["timeUncertainty"] if near else 0.0, given)

    def _given(self) -> dict[str, Any]:
        summary = self._run.summary
        checklist = summary["checklist"]
        values = (summary["softwareVersion"], checklist["name"], checklist["sha256"])
        return dict(zip(_OF_THE_RUN, values, strict=True))


def _from_mentions(mentions: tuple[Row, ...]) -> tuple[Row, ...]:
    """The utterances that a run without utterances.jsonl still tells of: those in which a name was heard."""
    found: dict[tuple[str, float, str], Row] = {}
    for row in mentions:
        key = (row["recordingID"], row["utteranceStart"], row["utteranceText"])
        found.setdefault(
            key,
            {
                "recordingID": row["recordingID"],
                "startTime": row["utteranceStart"],
                "endTime": row["utteranceEnd"],
                "speaker": row["speaker"],
                "text": row["utteranceText"],
                "words": [],
            },
        )
    order = {name: place for place, name in enumerate(dict.fromkeys(row["recordingID"] for row in mentions))}
    return tuple(sorted(found.values(), key=lambda row: (order[row["recordingID"]], row["startTime"])))


def _ms(seconds: float) -> int:
    return round(seconds * 1000)
