"""What a run still has of its recordings' descriptions: a run's run.json comes in, people who may be credited go out.

A run keeps those people itself, unless it was drafted with pseudonyms; one of an earlier version did not: then the
description is read once more. What was gone or changed since is told as a Problem, and nobody is dropped in silence.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Protocol, TypeVar

from earwitness.pipeline.place.description import read_description
from earwitness.schemas import InputError, Problem

REMEDY = "the description as it was when the run was drafted; or draft the recording again"


class Described(Protocol):
    """Whatever was read of a description."""

    @property
    def sha256(self) -> str:
        """Of the description's bytes."""


T = TypeVar("T", bound=Described)


def as_drafted(told: Mapping[str, Any], read: Callable[[Path], T]) -> T:
    """A description, if it is still the one that the run was drafted with.

    Args:
        told: one of the "recordings" of run.json.
        read: makes something of the file at a path.

    Raises:
        InputError: it is gone, cannot be used, or has changed since.
    """
    path = Path(told["path"])
    found = read(path)
    if found.sha256 != told["sha256"]:
        raise InputError(Problem(str(path), 0, "the description has changed since the run", REMEDY))
    return found


def no_longer(error: InputError, lacking: str) -> Problem:
    """The problem that something is lacking because a description is not there as it was."""
    told = error.problem
    gone = REMEDY if told.line == 0 else told.expected
    return Problem(told.file, told.line, f"{lacking}: {told.reason}", gone, "noted")


def credited(run: Mapping[str, Any]) -> tuple[tuple[Mapping[str, Any], ...], tuple[Problem, ...]]:
    """People who may be credited for a run's recordings (name, role, orcid), and what stood in the way of the others'.

    Nobody, and no problem, where the run was drafted with pseudonyms.
    """
    people: list[Mapping[str, Any]] = []
    problems: list[Problem] = []
    if (run.get("settings") or {}).get("pseudonyms"):
        return (), ()
    for told in run.get("recordings") or ():
        if "people" in told:
            people.extend(told["people"])
            continue
        try:
            people.extend(as_drafted(told, read_description).values.get("people", ()))
        except InputError as error:
            problems.append(no_longer(error, "nobody is credited"))
    return tuple(people), tuple(problems)
