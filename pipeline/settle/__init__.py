"""Settle: mentions and judgements come in, sightings and notes go out.

A sighting is an animal, or a group of one kind, that was on the screen, under the name the talk left it with, with how
that name came about. Notes are markers, spoken measurements and the ground. Talk of what is not there makes neither.
"""

from earwitness.pipeline.settle.homes import SettleSettings
from earwitness.pipeline.settle.notes import take_notes
from earwitness.pipeline.settle.settle import settle
from earwitness.pipeline.settle.sighting import Count, Determination, Note, Sighting

__all__ = ["Count", "Determination", "Note", "SettleSettings", "Sighting", "settle", "take_notes"]
