"""People: names of people said aloud, which are never taxa, and pseudonyms for them in everything that is written."""

from __future__ import annotations

from earwitness.pipeline.people.find import PersonName, find_people

__all__ = ["PersonName", "find_people"]
