"""The main job: transcripts and a checklist come in, a Run with all its rows goes out.

from earwitness.pipeline import draft
run = draft("dive.vtt", "checklist.csv")
frame = run.frame()
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any

from earwitness.pipeline.describe import LASER_CM, describe
from earwitness.pipeline.judge import judge_mentions
from earwitness.pipeline.mention import find_mentions
from earwitness.pipeline.people import (
    Disguise,
    RecordingPeople,
    check_key,
    extend_key,
    find_people,
    people_of,
    refuse_key_within,
)
from earwitness.pipeline.place import Recording, match_recordings, place_rows
from earwitness.pipeline.read import Transcript, read_transcript
from earwitness.pipeline.segment import build_language, segment
from earwitness.pipeline.settle import settle, take_notes
from earwitness.pipeline.table import RecordingTalk, event_rows, mention_rows, to_frame, utterance_rows, write_run
from earwitness.schemas import InputError, Problem
from earwitness.taxonomy import Checklist, NameIndex, corrections_file, load_corrections, open_index

if TYPE_CHECKING:
    import pandas as pd

CAUTION = (
    "Machine drafts from spoken commentary. No row is a verified identification: have a qualified taxonomist check "
    "names against the video. Positions and depths, where given, are not fit for navigation or for finding protected "
    "habitats; local rules apply."
)
Watch = Callable[[str], None]


@dataclass(frozen=True)
class Run:
    """What one run made: rows as plain dicts in the schemas' shape, problems, and the summary for run.json.

    `key` is the file of pseudonyms, where there is one: it may not lie where the run is written.
    """

    events: list[dict[str, Any]]
    mentions: list[dict[str, Any]]
    problems: list[Problem]
    summary: dict[str, Any] = field(repr=False)
    key: Path | None = None
    utterances: list[dict[str, Any]] = field(default_factory=list, repr=False)

    def frame(self) -> pd.DataFrame:
        """The event table as a pandas DataFrame."""
        return to_frame(self.events)

    def write(self, out: str | Path) -> None:
        """Write the run's files into a folder (see `earwitness.pipeline.table.write_run`)."""
        if self.key:
            refuse_key_within(self.key, out)
        write_run(Path(out), self.events, self.mentions, self.problems, self.summary, self.utterances)


def draft(
    transcripts: str | Path | Sequence[str | Path],
    checklist: str | Path | Checklist | NameIndex,
    *,
    columns: Mapping[str, str] | None = None,
    starts: Mapping[str, datetime] | None = None,
    recordings: Sequence[str | Path | Recording] = (),
    own_words: Path | None = None,
    corrections: str | Path | None = None,
    model: str | None = None,
    laser_cm: float = LASER_CM,
    pseudonyms: str | Path | None = None,
    strict: bool = False,
    watch: Watch = lambda _: None,
) -> Run:
    """Draft the events of one or more transcripts.

    Args:
        transcripts: files in any format the read stage knows.
        checklist: a file (or Darwin Core Archive), whose index is kept (see `open_index`), or one already loaded.
        columns: for a checklist with columns of its own, {their column: Darwin Core term}.
        starts: UTC moment of a recording's first frame, by recordingID; without it no eventDate is given.
        recordings: descriptions of recordings (TOML, or read before: see `earwitness.pipeline.place`), which give
            dates, and with the logs they name places, to the transcripts they name.
        own_words: folder with word lists of the user's own, named as ours are.
        corrections: file of corrections (see `earwitness.taxonomy.corrections`); default: the one beside the checklist
            file, if there is one.
        model: name of an installed spaCy pipeline to use instead of blank English.
        laser_cm: distance (cm) of the vehicle's two laser dots.
        pseudonyms: key file of pseudonyms (see `earwitness.pipeline.people`): names of people and speakers' labels are
            replaced in all rows, and new ones added to the file; None leaves names as they are.
        strict: stop at the first cue that cannot be used.
        watch: called with what is being done, for a progress display.

    Raises:
        InputError: an input cannot be used; or, with `strict`, a cue.
    """
    clock = _Clock()
    if pseudonyms:
        check_key(pseudonyms)
    paths = [Path(p) for p in ([transcripts] if isinstance(transcripts, (str, Path)) else transcripts)]
    watch("Loading the checklist")
    index = _index(checklist, columns)
    clock.lap("checklistSeconds")
    transcribed = [
        read_transcript(path, recording_id=name, strict=strict)
        for path, name in zip(paths, recording_ids(paths), strict=True)
    ]
    clock.lap("readSeconds")
    starts = starts or {}
    for unknown in set(starts) - {r.recording_id for r in transcribed}:
        known = ", ".join(r.recording_id for r in transcribed)
        raise InputError(Problem("--start", 0, f"there is no recording {unknown!r}", known))
    described = match_recordings(recordings, [r.recording_id for r in transcribed])
    for twice in starts.keys() & described.keys():
        reason = f"the start of {twice!r} is given, and described in {described[twice].path}"
        raise InputError(Problem("--start", 0, reason, "one of the two"))
    nlp = build_language(model)
    learned = load_corrections(corrections_file(index.checklist.path, corrections), index.checklist)
    run = Run([], [], [*index.problems, *learned.problems], {}, Path(pseudonyms) if pseudonyms else None)
    named: list[_Named] = []
    for number, recording in enumerate(transcribed, start=1):
        watch(f"Listening to {recording.recording_id} ({number} of {len(transcribed)})")
        doc = segment(recording, nlp)
        mentions = find_mentions(doc, index, own_words, learned)
        people = find_people(doc, own_words, mentions)
        judgements = judge_mentions(doc, mentions, own_words, people)
        sightings = settle(doc, mentions, judgements, index.checklist, own_words=own_words)
        talk = RecordingTalk(
            recording.recording_id,
            doc,
            mentions,
            judgements,
            sightings,
            take_notes(doc, mentions, own_words),
            index.checklist,
            version("earwitness"),
            describe(doc, mentions, judgements, sightings, index.checklist, laser_cm=laser_cm, own_words=own_words),
            starts.get(recording.recording_id),
        )
        rows, problems = event_rows(talk), list(recording.problems)
        if recording.recording_id in described:
            placed = place_rows(rows, described[recording.recording_id])
            rows = placed.rows
            problems += [problem for problem in placed.problems if not any(problem in part.problems for part in named)]
        named.append(
            _Named(
                people_of(recording.recording_id, doc, mentions, people),
                rows,
                mention_rows(talk),
                utterance_rows(talk),
                problems,
            )
        )
    for part in _disguised(named, pseudonyms) if pseudonyms else named:
        run.events.extend(part.events)
        run.mentions.extend(part.mentions)
        run.utterances.extend(part.utterances)
        run.problems.extend(part.problems)
    clock.lap("draftSeconds")
    settings = {
        "strict": strict,
        "model": model,
        "laserCm": laser_cm,
        "pseudonyms": bool(pseudonyms),
        "ownWords": str(own_words) if own_words else None,
        "corrections": {"path": learned.path, "sha256": learned.sha256} if learned.sha256 else None,
    }
    run.summary.update(_summary(run, transcribed, index.checklist, starts, described, settings, clock))
    return run


@dataclass(frozen=True)
class _Named:
    """One recording's rows with the names in them."""

    said: RecordingPeople
    events: list[dict[str, Any]]
    mentions: list[dict[str, Any]]
    utterances: list[dict[str, Any]]
    problems: Sequence[Problem]


def _disguised(parts: Sequence[_Named], key_file: str | Path) -> list[_Named]:
    """The rows with pseudonyms. The key is on the disk before any row is handed on."""
    key = extend_key(key_file, [entry for part in parts for entry in part.said.entries])
    disguised = []
    for part in parts:
        disguise = Disguise(part.said, key, part.mentions)
        problems = [disguise.problem(problem) for problem in part.problems]
        told = disguise.utterances(part.utterances)
        disguised.append(_Named(part.said, disguise.events(part.events), disguise.mentions(), told, problems))
    return disguised


def recording_ids(paths: Sequence[Path]) -> list[str]:
    """Names for the recordings of one run: the file's stem; where two are alike, with their folder in front.

    Raises:
        InputError: the same file twice.
    """
    stems = Counter(path.stem for path in paths)
    names = [path.stem if stems[path.stem] == 1 else f"{path.resolve().parent.name}.{path.stem}" for path in paths]
    for path, name in zip(paths, names, strict=True):
        if names.count(name) > 1:
            raise InputError(Problem(str(path), 0, f"two recordings would be named {name!r}", "one file a recording"))
    return names


def _index(checklist: str | Path | Checklist | NameIndex, columns: Mapping[str, str] | None) -> NameIndex:
    if isinstance(checklist, NameIndex):
        return checklist
    if isinstance(checklist, Checklist):
        return NameIndex(checklist)
    return open_index(checklist, columns=columns)


class _Clock:
    """Seconds by stage, for run.json."""

    def __init__(self) -> None:
        self.began = datetime.now(UTC)
        self.last = time.perf_counter()
        self.laps: dict[str, float] = {}

    def lap(self, name: str) -> None:
        now = time.perf_counter()
        self.laps[name], self.last = round(now - self.last, 3), now


def _summary(
    run: Run,
    transcribed: Sequence[Transcript],
    checklist: Checklist,
    starts: Mapping[str, datetime],
    described: Mapping[str, Recording],
    settings: Mapping[str, Any],
    clock: _Clock,
) -> dict[str, Any]:
    kinds = Counter(row["recordKind"] for row in run.events)
    severities = Counter(problem.severity for problem in run.problems)
    zeros = {name: recording.clock.utc(0.0) for name, recording in described.items() if recording.clock}
    return {
        "software": "earwitness",
        "softwareVersion": version("earwitness"),
        "caution": CAUTION,
        "transcripts": [_recording(recording, {**starts, **zeros}) for recording in transcribed],
        "recordings": [
            recording.to_json(people=not settings["pseudonyms"])
            | {"recordingIDs": [name for name, own in described.items() if own is recording]}
            for recording in {id(recording): recording for recording in described.values()}.values()
        ],
        "checklist": {
            "path": str(checklist.path),
            "sha256": checklist.sha256,
            "name": checklist.name,
            "taxa": len(checklist),
        },
        "settings": dict(settings),
        "counts": {
            "events": len(run.events),
            **{f"{kind}s": kinds[kind] for kind in ("occurrence", "marker", "measurement")},
            "substrates": kinds["substrate"],
            "mentions": len(run.mentions),
            **{severity: severities[severity] for severity in ("skipped", "mended", "noted")},
        },
        "timing": {"startedAt": clock.began.isoformat(timespec="seconds"), **clock.laps},
    }


def _recording(recording: Transcript, starts: Mapping[str, datetime]) -> dict[str, Any]:
    start = starts.get(recording.recording_id)
    return {
        "recordingID": recording.recording_id,
        "path": recording.path,
        "sha256": recording.sha256,
        "format": recording.format,
        "encoding": recording.encoding,
        "start": start.isoformat().replace("+00:00", "Z") if start else None,
        "cuesRead": recording.cues_read,
        "cuesSkipped": sum(problem.severity == "skipped" for problem in recording.problems),
        "cuesMarked": sum(bool(cue.mark) for cue in recording.cues),
        "spokenSeconds": round(sum(cue.end - cue.start for cue in recording.cues), 3),
    }
