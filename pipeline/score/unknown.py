"""Names that the checklist lacks.

In: names as placed. Out: `Problem`s of severity "noted", since the rows are still counted.
Refuses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from earwitness.pipeline.score.names import Named
from earwitness.schemas import Problem


class GoldRow(Protocol):
    """A gold row's name and where it stands."""

    @property
    def name(self) -> str | None: ...  # noqa: D102
    @property
    def file(self) -> str: ...  # noqa: D102
    @property
    def line(self) -> int: ...  # noqa: D102


def unknown_names(
    gold: Sequence[GoldRow],
    placed: Sequence[Named],
    run_placed: Sequence[Named],
    run_file: str,
) -> tuple[Problem, ...]:
    """One problem for each gold row with an unknown name, and one for all the unknown names of the run."""
    problems = [
        Problem(
            row.file,
            row.line,
            f"gold name {row.name!r} is not in the checklist; counted all the same, compared as text",
            "a name of the checklist the run was made with",
            "noted",
        )
        for row, name in zip(gold, placed, strict=True)
        if name.text and not name.known
    ]
    strange = sorted({at.text for at in run_placed if at.text and not at.known})
    if strange:
        some = ", ".join(strange[:3]) + (" ..." if len(strange) > 3 else "")
        reason = f"{len(strange)} of the run's names are not in the checklist ({some}); compared as text"
        problems.append(Problem(run_file, 0, reason, "the checklist the run was made with", "noted"))
    return tuple(problems)
