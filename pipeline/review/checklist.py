"""A run comes in; the checklist that it was drafted with goes out. Refuses another one, unless it is named."""

from __future__ import annotations

from pathlib import Path

from earwitness.pipeline.table import RunFiles
from earwitness.schemas import InputError, Problem
from earwitness.taxonomy import NameIndex, open_index


def open_checklist(run: RunFiles, given: str | Path | None = None) -> NameIndex:
    """The checklist of a run: the one given, else where the run says it lies, from here or from the run's folder.

    Raises:
        InputError: it is not there, or it is not the one that the run was drafted with.
    """
    told = run.summary["checklist"]
    places = [Path(given)] if given else [Path(told["path"]), run.folder / told["path"]]
    found = next((place for place in places if place.exists()), None)
    if found is None:
        expected = "the checklist that the run was drafted with; --checklist says where it lies now"
        raise InputError(Problem(str(places[0]), 0, "no such file", expected))
    index = open_index(found)
    if not given and index.checklist.sha256 != told["sha256"]:
        reason = "is another checklist than the run was drafted with"
        raise InputError(Problem(str(found), 0, reason, "draft again, or name the one to use with --checklist"))
    return index
