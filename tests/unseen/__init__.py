"""A test set of invented dives, most of them blind; see README.md."""

OPENED = ("castellune_canyon_14", "hjelmvik_sill_15", "ossery_basin_16", "veyra_shelf_13")
"""Dives whose scripts rule writers have read, so a score on them says nothing of unseen talk. The rest are blind."""
