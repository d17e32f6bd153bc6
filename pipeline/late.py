"""Names of a package that are imported when they are first asked for: what one does not use, one does not wait for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def late(package: str, places: Mapping[str, str]) -> Callable[[str], Any]:
    """A package's `__getattr__` (PEP 562): names -> the modules in it that they come from."""

    def get(name: str) -> Any:
        if name not in places:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        return getattr(import_module(f"{package}.{places[name]}"), name)

    return get
