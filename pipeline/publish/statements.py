"""What every export says of its rows: that they are a machine's drafts until a person has reviewed them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from earwitness.pipeline.table.remarks import DRAFT

DRAFT_STATEMENT = "machine draft from spoken commentary"
CAUTION = (
    "Rows that nobody has reviewed are machine drafts from spoken commentary: no verified identifications. Positions "
    "and depths are not fit for navigation, nor for finding protected habitats; local rules on publishing them apply."
)
REVIEWED = ("accepted", "changed")


def is_reviewed(row: Mapping[str, Any]) -> bool:
    """Whether a person has accepted or changed the row."""
    return row["reviewStatus"] in REVIEWED


def row_statement(row: Mapping[str, Any]) -> str:
    """The row's standing in a few words, for every export."""
    if is_reviewed(row):
        return f"{row['reviewStatus']} by {row['reviewedBy']}, drafted by machine from spoken commentary"
    return f"{DRAFT_STATEMENT}, not reviewed by a person"


def verification_status(row: Mapping[str, Any]) -> str:
    """For identificationVerificationStatus: unverified until a person has reviewed the row."""
    told = row["identificationVerificationStatus"]
    if not is_reviewed(row):
        return "unverified"
    return told if told and told != "unverified" else "reviewed by a person"


def identification_remarks(row: Mapping[str, Any]) -> str:
    """The row's remarks, with what it is in front."""
    told = (row["identificationRemarks"] or "").replace(DRAFT, "").strip()
    lead = f"{row_statement(row)}." if is_reviewed(row) else DRAFT
    return " ".join(part for part in (lead[0].upper() + lead[1:], told) if part)
