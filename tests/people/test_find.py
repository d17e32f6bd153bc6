"""People and animals of the same name, told apart by how they are said."""

from __future__ import annotations

import pytest

from .sentences import ADDRESSED, ANIMALS, BOTH, INTRODUCED, QUOTED, Case
from .talk import Teller


@pytest.mark.parametrize(
    "case", [*INTRODUCED, *ADDRESSED, *QUOTED, *ANIMALS, *BOTH], ids=lambda case: " / ".join(_lines(case))
)
def test_people_and_animals(case: Case, tell: Teller) -> None:
    told = tell(*_lines(case))
    assert (told.named, told.animals) == (case[1], case[2])


def _lines(case: Case) -> tuple[str, ...]:
    return (case[0],) if isinstance(case[0], str) else case[0]
