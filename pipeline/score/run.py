"""Measuring a run's folder against gold files.

In: the folder of a run, gold CSV files, a checklist. Out: a `Score` of events, mentions or both.
Refuses a folder without the rows, several recordings with none chosen, two gold files of one kind.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from earwitness.pipeline.score.claims import ClaimScore, score_claims
from earwitness.pipeline.score.events import EVENT_TOLERANCE, EventScore, score_events
from earwitness.pipeline.score.figures import CERTAINTY_TERMS, STATUSES, tidy
from earwitness.pipeline.score.gold import GoldEvent, GoldMention, read_gold
from earwitness.pipeline.score.mentions import MENTION_TOLERANCE, MentionScore, score_mentions
from earwitness.pipeline.score.names import Lineages
from earwitness.pipeline.table import REMEDY, read_rows
from earwitness.schemas import InputError, Problem


@dataclass(frozen=True, slots=True)
class Score:
    """A run measured.

    Args:
        run: the run's folder as given.
        gold: the gold files as given.
        recording: the recording that was measured; None only if the run names none.
        events, mentions: None where no gold of that kind was given.
        claims: the figures that say whether the right claim was recorded.
    """

    run: str
    gold: tuple[str, ...]
    recording: str | None
    events: EventScore | None
    mentions: MentionScore | None
    claims: ClaimScore

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Names the checklist lacks, in gold and run, each once."""
        found = [part.problems for part in (self.events, self.mentions) if part is not None]
        return tuple(dict.fromkeys(problem for problems in found for problem in problems))

    def to_json(self) -> dict[str, Any]:
        """Everything as a plain dict, keys sorted, numbers rounded to 4 places; null: a share of nothing."""
        result: dict[str, Any] = tidy(
            {
                "run": self.run,
                "gold": list(self.gold),
                "recordingID": self.recording,
                "claims": self.claims.to_json(),
                "events": self.events.to_json() if self.events else None,
                "mentions": self.mentions.to_json() if self.mentions else None,
                "problems": [
                    {
                        "file": problem.file,
                        "line": problem.line,
                        "reason": problem.reason,
                        "expected": problem.expected,
                        "severity": problem.severity,
                    }
                    for problem in self.problems
                ],
            }
        )
        return result


def score_run(
    out: Path,
    gold: Sequence[Path],
    *,
    checklist: Lineages,
    recording: str | None = None,
    tolerance: float = EVENT_TOLERANCE,
    mention_tolerance: float = MENTION_TOLERANCE,
) -> Score:
    """Measure the run in folder `out` against gold files, events and mentions told apart by their headers.

    Args:
        out: a run's folder with events.jsonl (and mentions.jsonl where gold mentions are given).
        gold: at most one file of gold events and one of gold mentions, of one recording.
        checklist: the one the run was made with.
        recording: which recordingID to measure; may be None where the run holds only one.
        tolerance, mention_tolerance: seconds, see `score_events` and `score_mentions`.

    Raises:
        InputError: a file that is missing or broken, a recording that is not there or not chosen.
        ValueError: a negative tolerance.
    """
    gold_events, gold_mentions = _gold(gold)
    events = read_rows(out / "events.jsonl", {"certaintyTerm": CERTAINTY_TERMS})
    mentions: list[dict[str, Any]] = []
    if gold_mentions is not None:
        mentions = read_rows(out / "mentions.jsonl", {"certaintyTerm": CERTAINTY_TERMS, "status": STATUSES})
    recording = _choose(out, recording, [*events, *mentions])
    event_score = mention_score = None
    if gold_events is not None:
        event_score = score_events(_of(recording, events), gold_events, checklist, tolerance=tolerance)
    if gold_mentions is not None:
        said = _of(recording, mentions)
        mention_score = score_mentions(said, gold_mentions, checklist, tolerance=mention_tolerance)
    claims = score_claims(event_score, mention_score, gold_mentions or (), checklist)
    return Score(str(out), tuple(map(str, gold)), recording, event_score, mention_score, claims)


def _gold(paths: Sequence[Path]) -> tuple[tuple[GoldEvent, ...] | None, tuple[GoldMention, ...] | None]:
    files = [read_gold(path) for path in paths]
    events = [file for file in files if file.events is not None]
    mentions = [file for file in files if file.mentions is not None]
    for kind, some in (("events", events), ("mentions", mentions)):
        if len(some) > 1:
            reason = f"a second file of gold {kind} beside {some[0].path}"
            expected = "at most one file of gold events and one of gold mentions, of one recording"
            raise InputError(Problem(some[1].path, 0, reason, expected))
    if not files:
        raise InputError(Problem("", 0, "no gold file was given", "a CSV of gold events or gold mentions"))
    return (events[0].events if events else None), (mentions[0].mentions if mentions else None)


def _choose(out: Path, recording: str | None, rows: Sequence[Mapping[str, Any]]) -> str | None:
    held = {str(row["recordingID"]) for row in rows if row.get("recordingID") is not None}
    # A recording that gave no row at all is still known to run.json.
    held |= _recordings_in(_run_record(out / "run.json"))
    listed = f"one of {', '.join(sorted(held))}"
    if recording is None and len(held) > 1:
        reason = f"the run holds {len(held)} recordings and none was chosen"
        raise InputError(Problem(str(out), 0, reason, f"recording: {listed}"))
    if recording is not None and held and recording not in held:
        raise InputError(Problem(str(out), 0, f"the run holds no recording {recording!r}", listed))
    return recording if recording is not None else next(iter(held), None)


def _run_record(path: Path) -> object:
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return None  # Rows can be measured without it.
    except (OSError, ValueError) as error:
        raise InputError(Problem(str(path), 0, f"not JSON text ({error})", REMEDY)) from error


def _recordings_in(value: object) -> set[str]:
    if isinstance(value, dict):
        own = {value["recordingID"]} if isinstance(value.get("recordingID"), str) else set()
        return own.union(*map(_recordings_in, value.values()))
    return set().union(*map(_recordings_in, value)) if isinstance(value, list) else set()


def _of(recording: str | None, rows: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    # With no recording known there is only one, or there are no rows.
    return [row for row in rows if recording is None or str(row.get("recordingID")) == recording]
