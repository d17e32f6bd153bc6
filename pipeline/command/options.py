"""What several commands share: options of the form KEY=VALUE, and the exit code for an input that cannot be used."""

from __future__ import annotations

from collections.abc import Sequence

from earwitness.schemas import InputError, Problem

INPUT_CANNOT_BE_USED = 3
"""Exit code."""


def pairs(option: str, texts: Sequence[str], shape: str) -> dict[str, str]:
    """The texts of an option that is given as KEY=VALUE, by key.

    Raises:
        InputError: a text is not of that shape.
    """
    found = {}
    for text in texts:
        key, equals, value = text.partition("=")
        if not (equals and key.strip() and value.strip()):
            raise InputError(Problem(option, 0, f"{text!r} is not understood", shape))
        found[key.strip()] = value.strip()
    return found
