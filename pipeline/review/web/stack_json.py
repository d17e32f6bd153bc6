"""All events as JSON, each written once for as long as it stands as it is: asking again costs next to nothing."""

from __future__ import annotations

import threading

from earwitness.pipeline.review import views
from earwitness.pipeline.review.decisions import Row
from earwitness.pipeline.review.desk import Desk
from earwitness.pipeline.review.web.json_text import dumped


class StackJson:
    """The answer to "which events are there", kept in step with the desk. Safe to use from several threads."""

    def __init__(self, desk: Desk):
        self._desk = desk
        self._lock = threading.Lock()
        self._kept: dict[str, tuple[Row, int, bytes]] = {}

    def __call__(self) -> bytes:
        """The same as `views.all_events`, as JSON."""
        with self._lock:
            # The number first: what is decided meanwhile comes again, and is not lost.
            last, rows = self._desk.last, self._desk.rows
            parts = [self._part(name, row) for name, row in rows.items()]
        return b'{"columns":%s,"rows":[%s],"last":%d}' % (dumped(list(views.COLUMNS)), b",".join(parts), last)

    def _part(self, name: str, row: Row) -> bytes:
        version = self._desk.version(name)
        kept = self._kept.get(name)
        # Whatever is decided on an event gives it another version, and a newer row is another object.
        if kept is None or kept[0] is not row or kept[1] != version:
            kept = self._kept[name] = (row, version, dumped(views.compact(self._desk, name)))
        return kept[2]
