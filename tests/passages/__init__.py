"""Invented talk with its claims marked in the text; see README.md."""

HELD_OUT = ("held_out_a", "held_out_b")
"""Files nobody learns from or reads to write rules: only they, and the blind dives, measure talk that was not seen."""
