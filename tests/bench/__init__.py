"""Measurements: `make bench`. Never part of a test's pass or fail."""
