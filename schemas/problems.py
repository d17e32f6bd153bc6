"""What could not be used, and the errors that say so.

EarwitnessError
├── InputError      a file the user gave cannot be used; carries one Problem
└── ContractError   a row we made breaks its schema: our defect, never the user's
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["skipped", "mended", "noted"]
"""skipped: left out of the result; mended: used after a stated repair; noted: used as it is, worth a look."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing in an input that was not as expected.

    Args:
        file: path as the user gave it.
        line: 1-based line (or record) number; 0 when the problem is the whole file's.
        reason: what is wrong, in words a data manager can act on.
        expected: what would have been right; may be empty.
        severity: what was done about it.
    """

    file: str
    line: int
    reason: str
    expected: str = ""
    severity: Severity = "skipped"

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}" if self.line else self.file
        return f"{where}: {self.reason}" + (f"; expected {self.expected}" if self.expected else "")


class EarwitnessError(Exception):
    """Base of every error the package raises on purpose."""


class InputError(EarwitnessError):
    """A file cannot be used. `problem` says which, where, why and what was expected."""

    def __init__(self, problem: Problem):
        super().__init__(str(problem))
        self.problem = problem


class ContractError(EarwitnessError):
    """A row breaks its JSON Schema."""
