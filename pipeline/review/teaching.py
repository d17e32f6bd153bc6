"""What decisions teach: heard words and the name they mean go into the checklist's file of corrections, at once.

A decision says something of the words only where the words were misheard. Words that spell a name of the checklist mean
that name, whatever animal is on the picture: another name for such a row is a new identification and teaches nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from earwitness.pipeline.review.decisions import Decision, Lesson
from earwitness.pipeline.review.history import History
from earwitness.schemas import InputError
from earwitness.taxonomy import Checklist, load_corrections
from earwitness.taxonomy.corrections import LONGEST_HEARD, record, undo
from earwitness.taxonomy.fold import has_letters, spoken_key

MISHEARD = ("similar", "corrected")
"""How the words were matched where they may have been misheard: by their sound, or by what was taught before."""


def is_teachable(heard: str | None) -> bool:
    """Whether words can stand in a file of corrections."""
    return bool(heard) and len(heard or "") <= LONGEST_HEARD and has_letters(spoken_key(heard or ""))


def lesson_of_name(
    row: Mapping[str, Any], how: str | None, edits: Mapping[str, Any], wanted: bool | None
) -> Lesson | None:
    """What a change of name teaches of the words: by itself only where they were misheard."""
    heard = row["verbatimIdentification"]
    if not is_teachable(heard) or "taxonID" not in edits:
        return None
    if wanted is False or (wanted is None and how not in MISHEARD):
        return None
    return Lesson(heard, edits["taxonID"], edits["scientificName"])


def lesson_of_rejection(row: Mapping[str, Any], how: str | None, reason: str, wanted: bool | None) -> Lesson | None:
    """What a rejection teaches: that misheard words name no animal, where that was the reason."""
    heard = row["verbatimIdentification"]
    if not is_teachable(heard) or reason != "no-name":
        return None
    return None if wanted is False or (wanted is None and how not in MISHEARD) else Lesson(heard, None, None)


class Teacher:
    """Keeps a file of corrections in step with a run's decisions.

    Args:
        path: the file.
        checklist: the taxa that its names are of.
    """

    def __init__(self, path: Path, checklist: Checklist):
        self.path, self._checklist = path, checklist

    def tell(self, decisions: Sequence[Decision], history: History) -> list[str]:
        """Write what the decisions teach or, undone, no longer teach; returns what went wrong, in words."""
        complaints = []
        for decision in decisions:
            lesson = decision.lesson
            if lesson is None:
                continue
            try:
                if decision.action == "undo":
                    self._take_back(lesson, decision, history)
                else:
                    self._record(lesson, decision)
            except InputError as error:
                complaints.append(str(error))
        return complaints

    def _record(self, lesson: Lesson, decision: Decision) -> None:
        note = f"review desk, decision {decision.uid}"
        # Told before, when a crash came between the file and the note that it was told.
        if any(statement.note == note for statement in self._about(lesson)):
            return
        taxon = None
        if lesson.taxon_id is not None:
            row = self._checklist.by_id(lesson.taxon_id)
            taxon = self._checklist.taxon(row) if row is not None else None
            if taxon is None:
                return
        record(self.path, lesson.heard, taxon, by=decision.reviewer, note=note)

    def _take_back(self, lesson: Lesson, decision: Decision, history: History) -> None:
        if any(_same(other.lesson, lesson) for other in history.live()):
            return
        row = self._checklist.by_id(lesson.taxon_id) if lesson.taxon_id is not None else None
        taxon = self._checklist.taxon(row) if row is not None else None
        stands = self._about(lesson)
        told = any(s.note.startswith("review desk") and (s.row == row or taxon is None) for s in stands)
        if told:
            undo(self.path, self._checklist, lesson.heard, taxon, by=decision.reviewer, note="review desk, undone")

    def _about(self, lesson: Lesson) -> Sequence[Any]:
        return load_corrections(self.path, self._checklist).about(spoken_key(lesson.heard))


def _same(one: Lesson | None, other: Lesson) -> bool:
    return one is not None and spoken_key(one.heard) == spoken_key(other.heard) and one.taxon_id == other.taxon_id
