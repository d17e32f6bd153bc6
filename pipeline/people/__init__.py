"""People: names of people said aloud, which are never taxa, and pseudonyms for them in everything that is written.

In: a Doc with its mentions, and finished rows. Out: the names as spans, and the rows with pseudonyms. Refuses a key of
pseudonyms that is none, or that would lie among the results.
"""

from __future__ import annotations

from earwitness.pipeline.people.find import PersonName, find_people
from earwitness.pipeline.people.key import check_key, extend_key, refuse_key_within
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
