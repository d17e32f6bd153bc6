"""A blind test set of invented dives; see README.md."""
