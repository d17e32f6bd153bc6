"""Describe: settled sightings come in, one Description a sighting goes out: size, sex, behaviour, host and the like.

Words of the lists `words/sizes.csv`, `words/behaviours.csv`, `words/colours.csv` and others, said of the animal;
nothing is made up, and nothing said of another animal is taken over.
"""

from __future__ import annotations

from earwitness.pipeline.describe.describe import describe
from earwitness.pipeline.describe.description import LASER_CM, Description, Relation, Size

__all__ = ["LASER_CM", "Description", "Relation", "Size", "describe"]
