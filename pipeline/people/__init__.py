"""People: names of people said aloud, which are never taxa, and pseudonyms for them in everything that is written.

In: a Doc with its mentions, and finished rows. Out: the names as spans, and the rows with pseudonyms. Refuses a key of
pseudonyms that is none, or that would lie among the results.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from earwitness.pipeline.late import late
from earwitness.pipeline.people.key import check_key, extend_key, refuse_key_within

if TYPE_CHECKING:
    from earwitness.pipeline.people.find import PersonName, find_people
    from earwitness.pipeline.people.pseudonyms import Disguise, RecordingPeople, people_of

__all__ = [
    "Disguise",
    "PersonName",
    "RecordingPeople",
    "check_key",
    "extend_key",
    "find_people",
    "people_of",
    "refuse_key_within",
]
# Who only looks after a key of pseudonyms does not wait for spaCy.
__getattr__ = late(
    __name__,
    dict.fromkeys(("PersonName", "find_people"), "find")
    | dict.fromkeys(("Disguise", "RecordingPeople", "people_of"), "pseudonyms"),
)
