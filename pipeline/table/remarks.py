"""What identificationRemarks say of a row's standing: that it is a machine's draft, and who reviewed it.

A signature is the end of the remarks, and is taken away before the next one signs.
"""

from __future__ import annotations

import re
from typing import Any

DRAFT = "Machine draft from spoken commentary, not a verified identification."
_SIGNATURE = re.compile(r"(?:^| )Reviewed by (?:(?! Reviewed by ).)+ on \d{4}-\d\d-\d\d\.$")
_LONGEST = 250
"""Characters of a signature: a name has 100 at the most."""


def signed(row: dict[str, Any]) -> dict[str, Any]:
    """The row with its reviewer and the day at the end of the remarks, in place of those who signed before."""
    told = unsigned(row["identificationRemarks"] or "")
    signature = f"Reviewed by {row['reviewedBy']} on {row['reviewedAt'][:10]}."
    return row | {"identificationRemarks": f"{told} {signature}" if told else signature}


def unsigned(told: str) -> str:
    """Remarks without the signatures at their end: there are several where a run was taken back and reviewed again."""
    while found := _SIGNATURE.search(told, max(0, len(told) - _LONGEST)):
        told = told[: found.start()]
    return told
