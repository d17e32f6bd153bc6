"""Tests of the taxonomy package."""
