"""Values come in, JSON goes out, as bytes that are valid whatever text the values hold."""

from __future__ import annotations

import json
from typing import Any

from starlette.responses import Response


def dumped(value: Any) -> bytes:
    """JSON in UTF-8. Half of a surrogate pair, which UTF-8 cannot hold, is written as JSON's own escape."""
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.encode("utf-8", "backslashreplace")


class Json(Response):
    """An answer in JSON, which no cache keeps unless the headers say otherwise."""

    media_type = "application/json"

    def render(self, content: Any) -> bytes:
        """The bytes of a value."""
        return dumped(content)
