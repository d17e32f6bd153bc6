"""Terms of the standards by short names ("dwc:eventID"), and tables whose columns are such terms."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

NAMESPACES: Mapping[str, str] = {
    "dwc": "http://rs.tdwg.org/dwc/terms/",
    "dcterms": "http://purl.org/dc/terms/",
    "dc": "http://purl.org/dc/elements/1.1/",
    "ac": "http://rs.tdwg.org/ac/terms/",
    "xmpRights": "http://ns.adobe.com/xap/1.0/rights/",
    "obis": "http://rs.iobis.org/obis/terms/",
}
_CONTROLS = re.compile("[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f]")
"""Characters that mean nothing in a table and that databases and readers of archives stumble over."""


def uri(term: str) -> str:
    """The whole address of a term."""
    prefix, _, name = term.partition(":")
    return NAMESPACES[prefix] + name


@dataclass(frozen=True, slots=True)
class Table:
    """Records of one kind.

    Args:
        file: name of the file they go into.
        row_type: class of a record, as a short name.
        key: column by which a record belongs to the core: the core's own ID in the core.
        columns: terms, in order.
        rows: by term; what is missing is empty.
        constants: terms that are the same for all records, and stand in no column.
    """

    file: str
    row_type: str
    key: str
    columns: tuple[str, ...]
    rows: Sequence[Mapping[str, Any]]
    constants: Mapping[str, str] = field(default_factory=dict)

    def used(self) -> tuple[str, ...]:
        """The columns in which something stands; the key and the first column always."""
        always = (self.columns[0], self.key)
        return tuple(term for term in self.columns if term in always or self._is_filled(term))

    def _is_filled(self, term: str) -> bool:
        return any(row.get(term) not in (None, "") for row in self.rows)


def cell(value: object) -> str:
    """A value as a cell of a file without quoting: on one line, without tabs; numbers as short as they can be."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        text = f"{value:.10f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text
    text = str(value)
    # Most cells are one plain line already.
    if text.isprintable() and "  " not in text and text == text.strip():
        return text
    return " ".join(_CONTROLS.sub("\N{REPLACEMENT CHARACTER}", text).split())
