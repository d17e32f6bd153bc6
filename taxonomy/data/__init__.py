"""Data files of the taxonomy package."""
