"""A quick check that may say "fine" and nothing else: whatever it does not call fine, jsonschema decides, and tells.

It is a hundred times as fast on event rows. Where its package is not installed (no wheel for a platform), jsonschema
checks every row.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

try:
    import jsonschema_rs
except ImportError:
    HAS_QUICK = False
else:
    HAS_QUICK = True

Check = Callable[[object], bool]
_LEAVES = frozenset({str, int, float, bool, type(None)})
_DEEPEST = 8
"""Levels of lists and objects in a value; rows of ours have three."""


def quick_check(schema: dict[str, Any], others: Mapping[str, dict[str, Any]]) -> Check:
    """A check of values against a schema: True only if jsonschema would find no error.

    Args:
        schema: draft 2020-12.
        others: schemas by the address under which this one may refer to them.
    """
    if not HAS_QUICK:
        return lambda _: False
    registry = jsonschema_rs.Registry([(address, other) for address, other in others.items()])
    validator = jsonschema_rs.Draft202012Validator(schema, registry=registry)

    def is_fine(value: object) -> bool:
        try:
            return is_plain(value) and validator.is_valid(value)
        except ValueError:
            # Half a pair of UTF-16 surrogates, and what else has no place in UTF-8.
            return False

    return is_fine


def is_plain(value: object, deepest: int = _DEEPEST) -> bool:
    """Whether a value is as a JSON reader makes it: the two checks differ on tuples and on types of other packages."""
    if type(value) in _LEAVES:
        return True
    parts: Iterable[object]
    if type(value) is dict:
        parts = value.values()
    elif type(value) is list:
        parts = value
    else:
        return False
    return deepest > 0 and all(type(part) in _LEAVES or is_plain(part, deepest - 1) for part in parts)
